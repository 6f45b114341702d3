"""What planning hands on to reports: sheets, checklists, answers; nothing formatted."""

from __future__ import annotations

from dataclasses import dataclass

from register.starts.model import Figure, Input


@dataclass(frozen=True, slots=True)
class Line:
    """One setting of a sheet: the value to give, the one there is, what it assumes and why.

    `value` None is can't tell, with the fields `to_read`.
    """

    column: str
    sentence: str
    value: float | str | None
    unit: str
    now: float | str | None
    why: str
    rests: tuple[Input, ...]
    to_read: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Told:
    """One rule as it comes out for a device there; `provisional` is based on assumed values."""

    rule: str
    grade: str
    outcome: str
    title: str
    provisional: bool = False
    to_read: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Step:
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
    steps: tuple[Step, ...]
    today: str = ""

    @property
    def owed(self) -> tuple[Step, ...]:
        """The steps to be entered as records that have not passed yet."""
        return tuple(step for step in self.steps if step.kind and not step.done)


@dataclass(frozen=True)
class Sheet:
    """The settings of one device at one position, and how it is put in service.

    `source` says whether the device is installed, lies in store, or is a catalogue entry. `passed`
    are, in words, the bounds that even the best settings exceed; `protection` what stands before the
    device, with what it is held against.
    """

    site: str
    today: str
    tag: str
    description: str
    place: str
    device: str
    source: str
    motor: tuple[Input, ...]
    lines: tuple[Line, ...]
    figures: tuple[Figure, ...]
    why_no_start: str
    passed: tuple[str, ...]
    protection: tuple[Line, ...]
    assumed: tuple[Input, ...]
    checklist: Checklist
    told: tuple[Told, ...] = ()
    practice: str = ""


CAN, CANNOT, CANT_TELL = "can", "cannot", "can't tell"


@dataclass(frozen=True, slots=True)
class Part:
    """One condition: whether it is met, in words, and the fields to read if that is unknown."""

    name: str
    met: bool | None
    words: str
    rule: str = ""
    provisional: bool = False
    to_read: tuple[str, ...] = ()


@dataclass(frozen=True)
class Tonight:
    """Whether a load can run on its bypass: the conditions, the start, what to mind."""

    tag: str
    description: str
    today: str
    how: str
    parts: tuple[Part, ...]
    figures: tuple[Figure, ...]
    certainty: str
    mind: tuple[str, ...]
    assumed: tuple[Input, ...]

    @property
    def answer(self) -> str:
        """CAN where every condition is met, CANNOT where one is not, else CANT_TELL."""
        met = {part.met for part in self.parts}
        if False in met:
            return CANNOT
        return CANT_TELL if None in met else CAN

    @property
    def to_read(self) -> tuple[str, ...]:
        """The fields that would decide it, each once."""
        return tuple(dict.fromkeys(n for part in self.parts if part.met is None for n in part.to_read))
