"""What rules, limits and verdicts are."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import IntEnum, StrEnum
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np

from register.columns import SUBJECTS, Subject
from register.columns.source import Source

PRACTICES = ("us", "iec", "any")
TODAY = "today"
LETTERS = "PF?-"


class Outcome(IntEnum):
    """How a rule came out, in the four words of W3C's Evaluation and Report Language."""

    PASSED = 0
    FAILED = 1
    CANT_TELL = 2
    INAPPLICABLE = 3

    @property
    def word(self) -> str:
        """As written in rules and reports: `cant-tell`."""
        return self.name.lower().replace("_", "-")

    @property
    def letter(self) -> str:
        """One letter, where a row of outcomes is kept as text."""
        return LETTERS[self]

    @classmethod
    def of_word(cls, word: str) -> Outcome:
        """The outcome of that word; KeyError when there is none."""
        return cls[word.upper().replace("-", "_")]


OUTCOME_WORDS = tuple(outcome.word for outcome in Outcome)


class Grade(StrEnum):
    """How grave a finding is, in the words of ISO/IEC 17021-1."""

    MAJOR = "major"
    MINOR = "minor"
    OBSERVATION = "observation"


class Harm(StrEnum):
    """Who or what is hurt where a rule is not met; people and fire come before all else."""

    PEOPLE = "people"
    FIRE = "fire"
    MACHINE = "machine"
    PRODUCTION = "production"
    RECORDS = "records"


class Takes(StrEnum):
    """What setting a finding right takes; what can be done while the machine runs comes first."""

    READING = "reading"
    RECORD = "record"
    CHECK = "check"
    STUDY = "study"
    SETTING = "setting"
    PART = "part"
    OUTAGE = "outage"


@dataclass(frozen=True)
class Example:
    """One case of a rule: the outcome it must have with these values.

    `row` has facts columns, and limits or the day under their names with a colon (`:today`).
    """

    outcome: Outcome
    row: Mapping[str, Any]
    place: str = ""

    @property
    def facts(self) -> dict[str, Any]:
        """The facts columns given; those left out are unknown."""
        return {name: value for name, value in self.row.items() if not name.startswith(":")}

    @property
    def named(self) -> dict[str, Any]:
        """The limits, and the day, that the example sets for itself; names without colon."""
        return {name[1:]: value for name, value in self.row.items() if name.startswith(":")}


@dataclass(frozen=True)
class Outside:
    """Where a rule's tables and formulas do not reach: the condition, and what is said there."""

    when: str
    says: str


@dataclass(frozen=True)
class Rule:
    """One rule; the expressions are SQL text that has been checked.

    `title` is what is required, `title_failed` what is wrong where it is not met.

    `columns` decide the outcome; `margin_columns` and `finding_columns` are only shown. A rule on
    `trial` is judged and shown, and does not count until it is taken in. One that is
    `measured_only` can't tell where an assumed value lies behind what it reads. `outside` is judged first:
    where one holds the rule does not apply, where none is known to hold it goes on. Where a rule fails
    that `doubts` a column, what reads it is provisional; `safe_side` is the column to judge by instead.
    `takes` is empty where a rule of the site's own does not say it.
    """

    id: str
    title: str
    title_failed: str
    grade: Grade
    practice: str
    requires: str
    finding: str
    why: str
    action: str
    basis: tuple[Source, ...]
    examples: tuple[Example, ...]
    harm: Harm = Harm.MACHINE
    takes: tuple[Takes, ...] = ()
    subject: str = "position"
    trial: bool = False
    measured_only: bool = False
    outside: tuple[Outside, ...] = ()
    doubts: str = ""
    safe_side: str = ""
    applies: str = ""
    margin: str = ""
    caution: str = ""
    unknown_is_deliberate: str = ""
    path: Path = Path()
    columns: tuple[str, ...] = ()
    margin_columns: tuple[str, ...] = ()
    finding_columns: tuple[str, ...] = ()
    outside_columns: tuple[str, ...] = ()
    applies_columns: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()
    margin_unit: str = ""

    @property
    def about(self) -> Subject:
        """What the rule is about, with the table of its facts."""
        return SUBJECTS[self.subject]

    @property
    def condition(self) -> str:
        """Where the rule applies, practice included; empty for everywhere."""
        practice = "" if self.practice == "any" else f"practice = '{self.practice}'"
        if practice and self.applies:
            return f"{practice} AND ({self.applies})"
        return practice or self.applies

    def title_at(self, outcome: Outcome) -> str:
        """The title that is true at that outcome."""
        return self.title_failed if outcome == Outcome.FAILED else self.title

    @property
    def beyond(self) -> str:
        """Where the rule does not reach, as one expression; empty for nowhere."""
        return " OR ".join(f"({outside.when})" for outside in self.outside)

    @property
    def shown_columns(self) -> tuple[str, ...]:
        """Every column that an explanation gives the value of."""
        return tuple(dict.fromkeys(self.columns + self.margin_columns + self.finding_columns + self.outside_columns))

    @property
    def reads_today(self) -> bool:
        """Whether the outcome, or the margin, depends on the day."""
        return f":{TODAY}" in f"{self.applies} {self.requires} {self.margin}"


@dataclass(frozen=True)
class Limit:
    """A number that rules compare with, at the value of the pack."""

    name: str
    value: float
    unit: str
    sentence: str
    basis: Source

    def at(self, value: float) -> Limit:
        """The same limit at another value."""
        return replace(self, value=value)


@dataclass(frozen=True)
class Override:
    """A site's own value for a limit: at the whole site, in an area, or at a position."""

    limit: str
    layer: str
    at: str
    value: float
    reason: str
    by: str
    on: str


@dataclass(frozen=True)
class Line:
    """One dated line about a rule, for a reason: it is taken in, or lost findings are accepted."""

    rule: str
    reason: str
    by: str
    on: str


@dataclass(frozen=True)
class Pack:
    """The rules and limits in force, and the lines by which rules on trial were taken in.

    `own_limits` are those that the site declares.
    """

    name: str
    version: str
    sentence: str
    rules: tuple[Rule, ...]
    limits: Mapping[str, Limit]
    overrides: tuple[Override, ...]
    hash: str
    folder: Path
    site_folder: Path | None = None
    taken_in: tuple[Line, ...] = ()
    own_limits: frozenset[str] = frozenset()

    def at_limits(self, limits: Mapping[str, Limit]) -> Pack:
        """The same rules at these limits, and no overrides."""
        return replace(self, limits=limits, overrides=())

    def layer_of(self, limit: str) -> str:
        """Who declares a limit: the pack or the site."""
        return "site" if limit in self.own_limits else "pack"

    def on_trial(self, rule: Rule, today: str) -> bool:
        """Whether a rule does not count yet on that day."""
        return rule.trial and not any(line.rule == rule.id and line.on <= today for line in self.taken_in)

    def rule(self, rule_id: str) -> Rule:
        """The rule of that id; KeyError when there is none."""
        return self._by_id[rule_id]

    @cached_property
    def _by_id(self) -> dict[str, Rule]:
        return {rule.id: rule for rule in self.rules}


@dataclass(frozen=True)
class Verdicts:
    """The outcome of every rule at every position, and the assumed values used at each position.

    `outcomes` is uint8, a row for each of `tags`, a column for each of `rules`; `provisional` is as
    large, true where a verdict assumes a value: nowhere until the audit has marked it. Of another
    `subject`, `tags` are its keys.
    """

    tags: tuple[str, ...]
    rules: tuple[Rule, ...]
    outcomes: np.ndarray
    stand_ins: np.ndarray
    provisional: np.ndarray = None  # type: ignore[assignment]
    subject: str = "position"

    def __post_init__(self) -> None:
        if self.provisional is None:
            object.__setattr__(self, "provisional", np.zeros(self.outcomes.shape, bool))

    def row(self, tag: str) -> int:
        """The row of a position; KeyError when it was not judged."""
        return self._rows[tag]

    def has(self, tag: str) -> bool:
        """Whether that position was judged."""
        return tag in self._rows

    def column(self, rule_id: str) -> int:
        """The column of a rule; KeyError when it was not asked."""
        return self._columns[rule_id]

    def of(self, rules: Iterable[Rule]) -> Verdicts:
        """The same of some of the rules."""
        rules = tuple(rules)
        chosen = [self.column(rule.id) for rule in rules]
        return replace(self, rules=rules, outcomes=self.outcomes[:, chosen], provisional=self.provisional[:, chosen])

    @cached_property
    def _rows(self) -> dict[str, int]:
        return {tag: row for row, tag in enumerate(self.tags)}

    @cached_property
    def _columns(self) -> dict[str, int]:
        return {rule.id: column for column, rule in enumerate(self.rules)}


@dataclass(frozen=True)
class Clause:
    """One part of a predicate: as written, with its values, and whether it holds (None: unknown).

    Of a choice (`OR`) each side is a clause; `text` then begins with `either` or `or`.
    """

    text: str
    valued: str
    truth: bool | None


@dataclass(frozen=True)
class Explanation:
    """Why a rule came out as it did at one position.

    `margin` is positive by how far the requirement is met, negative by how far it is missed; None
    where it is unknown, or where another clause decided. `limits` gives for each limit its value,
    the layer that it comes from and the reason. `unknown_columns` are those that left it undecided;
    `outside` says why the rule does not reach there.
    """

    tag: str
    rule: str
    outcome: Outcome
    clauses: tuple[Clause, ...]
    values: dict[str, Any]
    margin: float | None
    margin_unit: str
    limits: dict[str, tuple[float | None, str, str]]
    sentence: str
    outside: str = ""
    unknown_columns: tuple[str, ...] = field(default=())
