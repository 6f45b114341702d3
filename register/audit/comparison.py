"""Two audits side by side: what is new, gone, worse, better, and the one cause of each.

A cause is found by judging again, with one thing after another changed from old to new. Where two
things together turned a verdict, the later one in `STEPS` is its cause; where either would have
done, the earlier one; where a margin moved by several, the one that moved it most.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import pairwise

from register.audit.concessions import alike
from register.rulebook.model import Outcome

NEW, GONE, WORSE, BETTER = ("new", "gone", "worse", "better")
CONCEDED, PERSISTING, TURNED = ("conceded", "persisting", "turned")
KINDS = (NEW, WORSE, GONE, BETTER, CONCEDED, PERSISTING, TURNED)

# What is changed from the old audit to the new one, in this order.
DATA, DAY, STAND_IN, LIMIT, RULE = "data", "day", "assumed value", "limit", "rule"
STEPS = (DATA, DAY, STAND_IN, LIMIT, RULE)
CONCESSION, PROGRAM = "concession", "program"
JUDGEABLE, UNJUDGEABLE, LOST = "became judgeable", "no longer judgeable", "value lost"
ADDED, RETIRED = "position added", "position retired"
CAUSES = (DATA, JUDGEABLE, UNJUDGEABLE, LOST, DAY, LIMIT, RULE, CONCESSION, STAND_IN, ADDED, RETIRED, PROGRAM)
UNEXPLAINED = ""

ABSENT = "absent"
FAILED, CANT_TELL = "failed", "cant-tell"

Pair = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Verdict:
    """An outcome and, of a failed one, how grave it is and by how much; `absent` if none is."""

    outcome: str = ABSENT
    grade: str = ""
    margin: float | None = None
    margin_unit: str = ""
    concession: str = ""
    conceded: bool = False

    def same(self, other: Verdict) -> bool:
        """Whether the two tell the same; margins of different units can't be held together."""
        if (self.outcome, self.grade) != (other.outcome, other.grade):
            return False
        if self.margin is None or other.margin is None or self.margin_unit != other.margin_unit:
            return True
        return alike(self.margin, other.margin)


PLAIN = {outcome.letter: Verdict(outcome.word) for outcome in Outcome}


@dataclass(frozen=True)
class Judged:
    """The verdicts of an audit: a letter for each rule at each place, and findings whole.

    `grades` are those of the rules, for the failed ones that are not among the findings. What has
    no letter (a rule about something else, a place that was not there) is absent.
    """

    rules: tuple[str, ...]
    letters: Mapping[str, str]
    findings: Mapping[Pair, Verdict]
    grades: Mapping[str, str] = field(default_factory=dict)

    def at(self, pair: Pair) -> Verdict:
        """One verdict."""
        if pair in self.findings:
            return self.findings[pair]
        column, row = self._columns.get(pair[0]), self.letters.get(pair[1])
        if column is None or row is None:
            return Verdict()
        verdict = PLAIN.get(row[column], Verdict())
        if verdict.outcome == FAILED:
            return replace(verdict, grade=self.grades.get(pair[0], ""))
        return verdict

    @cached_property
    def _columns(self) -> dict[str, int]:
        return {rule: column for column, rule in enumerate(self.rules)}


@dataclass(frozen=True, slots=True)
class Difference:
    """One verdict that is another than it was, and the one cause of it."""

    tag: str
    rule: str
    grade: str
    kind: str
    cause: str
    detail: str
    before: str
    after: str
    margin_before: float | None
    margin_after: float | None
    margin_unit: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two audits: their names, every difference, and the findings that stand as they stood."""

    old: str
    new: str
    site: str
    differences: tuple[Difference, ...]
    persisting: tuple[Pair, ...]
    findings_before: int
    findings_after: int
    conceded_before: int
    conceded_after: int

    @property
    def unexplained(self) -> tuple[Difference, ...]:
        """The differences without a cause; there must be none."""
        return tuple(d for d in self.differences if d.cause == UNEXPLAINED)

    @property
    def counts(self) -> dict[str, dict[str, int]]:
        """Kind → cause → how many."""
        counted = Counter((d.kind, d.cause) for d in self.differences)
        return {
            kind: {cause: n for cause in CAUSES if (n := counted[kind, cause])} for kind in KINDS if kind != PERSISTING
        }

    def of_kind(self, kind: str) -> tuple[Difference, ...]:
        """The differences of one kind."""
        return tuple(d for d in self.differences if d.kind == kind)


def kind_of(old: Verdict, new: Verdict) -> str:
    """What happened to a finding between two audits; `turned` where it was none in either.

    One that was conceded since is `conceded` and never `better`: somebody accepted it, nothing was corrected.
    """
    was, is_now = old.outcome == FAILED, new.outcome == FAILED
    if was != is_now:
        return NEW if is_now else GONE
    if not was:
        return PERSISTING if old.outcome == new.outcome else TURNED
    if old.conceded != new.conceded:
        return CONCEDED if new.conceded else WORSE
    if old.same(new):
        return PERSISTING
    if old.grade != new.grade:
        return WORSE if GRAVITY.index(new.grade) < GRAVITY.index(old.grade) else BETTER
    return WORSE if _moved_by(old, new) < 0 else BETTER


GRAVITY = ("major", "minor", "observation")


def moved(old: Judged, new: Judged) -> Iterator[Pair]:
    """The verdicts that are not what they were, place by place."""
    every = tuple(sorted({*old.rules, *new.rules}))
    at = defaultdict(set)
    for rule, tag in old.findings.keys() | new.findings.keys():
        at[tag].add(rule)
    for tag in sorted(old.letters.keys() | new.letters.keys()):
        same = old.rules == new.rules and old.letters.get(tag) == new.letters.get(tag)
        for rule in sorted(at[tag]) if same else every:
            if kind_of(old.at((rule, tag)), new.at((rule, tag))) != PERSISTING:
                yield rule, tag


def cause_of(path: Sequence[tuple[str, Verdict]]) -> str:
    """The step of the way from the old verdict to the new one that made it what it is.

    Parameters
    ----------
    path : the old verdict first; then what was changed, and the verdict after it.
    """
    old, new = path[0][1], path[-1][1]
    steps = [(step, a, b) for (_, a), (step, b) in pairwise(path) if not a.same(b)]
    if old.outcome == new.outcome == FAILED:
        if old.conceded != new.conceded:
            return CONCESSION
        if old.grade == new.grade:
            onward = 1 if _moved_by(old, new) > 0 else -1
            steps = sorted(steps, key=lambda step: onward * _moved_by(*step[1:]))
    return _named(*steps[-1]) if steps else UNEXPLAINED


def _moved_by(before: Verdict, after: Verdict) -> float:
    """How far a margin moved; nothing where either verdict has none."""
    return 0.0 if before.margin is None or after.margin is None else after.margin - before.margin


def _named(step: str, before: Verdict, after: Verdict) -> str:
    if step == DATA and before.outcome == CANT_TELL:
        return JUDGEABLE
    if step == DATA and after.outcome == CANT_TELL:
        return UNJUDGEABLE
    return step
