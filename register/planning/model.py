"""The results that planning hands on to reports: sheets, checklists, answers; nothing formatted."""

from __future__ import annotations

from dataclasses import dataclass

from register.starts.model import Figure, Input

# Arrangements on which a load can run while its device is out.
BYPASSED = ("two-contactor", "three-contactor", "standby starter")


@dataclass(frozen=True, slots=True)
class SettingLine:
    """One setting of a sheet: the value to give, the one there is, the values it is based on, and why.

    `value` None is unknown, with the fields `to_read`.
    """

    column: str
    sentence: str
    value: float | str | None
    unit: str
    now: float | str | None
    why: str
    based_on: tuple[Input, ...]
    to_read: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RuleResult:
    """One rule that a device fails at a position, with the finding's sentence, or that is unknown.

    Of the latter, `to_read` are the entered fields that would decide it. A `provisional` result
    assumes a value.
    """

    rule: str
    grade: str
    outcome: str
    title: str
    sentence: str = ""
    provisional: bool = False
    to_read: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CommissioningStep:
    """One step of putting a device in service; `kind` is the record it is entered as, or empty.

    `last` is the latest record of that kind in words, `done` whether it passed since device and
    motor were installed; None where that is unknown.
    """

    name: str
    what: str
    kind: str = ""
    last: str = ""
    done: bool | None = False


@dataclass(frozen=True)
class Checklist:
    """The steps at a position, in their order."""

    tag: str
    description: str
    device: str
    steps: tuple[CommissioningStep, ...]
    today: str = ""

    @property
    def outstanding(self) -> tuple[CommissioningStep, ...]:
        """The steps to be entered as records that have not passed yet."""
        return tuple(step for step in self.steps if step.kind and not step.done)


@dataclass(frozen=True)
class Sheet:
    """The settings of one device at one position, and how it is put in service.

    `source` says whether the device is installed there, lies in store, or is a catalogue entry.
    `exceeded` are, in words, the limits that even the best settings exceed; `protection` is the line
    protection with what it is held against; `rules` are those that the device fails there, or that
    are unknown.
    """

    site: str
    today: str
    tag: str
    description: str
    place: str
    device: str
    source: str
    motor: tuple[Input, ...]
    lines: tuple[SettingLine, ...]
    figures: tuple[Figure, ...]
    why_no_start: str
    exceeded: tuple[str, ...]
    protection: tuple[SettingLine, ...]
    assumed: tuple[Input, ...]
    checklist: Checklist
    rules: tuple[RuleResult, ...] = ()
    practice: str = ""


CAN, CANNOT, CANT_TELL = "can", "cannot", "can't tell"


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition of running on the bypass: if it is met, why, and the fields to read where that is unknown."""

    name: str
    met: bool | None
    words: str
    rule: str = ""
    provisional: bool = False
    to_read: tuple[str, ...] = ()


@dataclass(frozen=True)
class Tonight:
    """If a load can run on its bypass: the conditions, the start, what to mind."""

    tag: str
    description: str
    today: str
    how: str
    conditions: tuple[Condition, ...]
    figures: tuple[Figure, ...]
    certainty: str
    mind: tuple[str, ...]
    assumed: tuple[Input, ...]

    @property
    def answer(self) -> str:
        """CAN where every condition is met, CANNOT where one is not, else CANT_TELL."""
        met = {c.met for c in self.conditions}
        if False in met:
            return CANNOT
        return CANT_TELL if None in met else CAN

    @property
    def to_read(self) -> tuple[str, ...]:
        """The fields that would decide it, each once."""
        return tuple(dict.fromkeys(n for c in self.conditions if c.met is None for n in c.to_read))
