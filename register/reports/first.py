"""The answer to "where does it hurt", and the ten things to do first: for the page and the terminal alike."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Hashable, Mapping
from dataclasses import dataclass, replace

from register import columns
from register.audit.finding import Finding, Found
from register.audit.outline import GRADES, Outline
from register.audit.priority import HARMS
from register.rulebook.model import Rule
from register.text import counted, percent, steps

MOST = 10
MOSTLY = 50.0  # %, from which it is said first that so much is unknown
HURTS = ("people", "fire")
# A rule of the site's own that does not say it: by what it reads.
BY_TABLE = {"setting": "setting", "record": "record", "motor": "reading"}


@dataclass(frozen=True, slots=True)
class First:
    """One thing to do: the finding to settle first, what may well go with it, what to do, what it takes.

    `grade` and `harm` are those of the gravest of them. `alike` are findings of the same rule at other
    places, where what is wrong is the records only: one walk settles them, so they are one thing.
    """

    finding: Found | Finding
    others: tuple[Found | Finding, ...]
    grade: str
    harm: str
    do: str
    takes: str
    caution: str
    alike: tuple[Found | Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Answer:
    """One sentence in two halves: what hurts most, and where the rest is; both may be empty."""

    alarm: str
    rest: str
    found: bool = True  # what alarms was found, and is not how much is unknown

    @property
    def sentence(self) -> str:
        """The two halves as one sentence.

        >>> Answer("2 of 5 major findings can hurt people or start a fire", "17 % is unknown").sentence
        '2 of 5 major findings can hurt people or start a fire; 17 % is unknown.'
        """
        return "; ".join(filter(None, (self.alarm, self.rest))) + "."


def takes(rule: Rule | None) -> str:
    """What setting it right takes, in a few words; of a rule that does not say it, by what it reads.

    >>> takes(None)
    'part, outage'
    """
    if rule and rule.takes:
        return ", ".join(rule.takes)
    tables = {columns.column(name).table for name in rule.columns if name in columns.COLUMNS} if rule else set()
    return next((word for table, word in BY_TABLE.items() if table in tables), "part, outage")


def unknown_pct(report: Outline) -> float | None:
    """The share of the verdicts that apply, or may apply, which is unknown; None where none applies."""
    sums = {o: sum(report.grades[g][o] for g in GRADES) for o in ("failed", "cant-tell", "passed")}
    asked = sum(sums.values())
    return 100 * sums["cant-tell"] / asked if asked else None


def known_words(pct: float | None) -> str:
    """How much is unknown, in words.

    >>> known_words(17.3), known_words(0.4)
    ('17 % of the verdicts are unknown', 'under 1 % of the verdicts are unknown')
    >>> known_words(0.0), known_words(None)
    ('no verdict is unknown', 'no rule applies')
    """
    if pct is None:
        return "no rule applies"
    return "no verdict is unknown" if not pct else f"{percent(pct)} of the verdicts are unknown"


def answer(report: Outline) -> Answer:
    """What the first line says: how many majors hurt, which lineup is worst, how much is unknown."""
    if not report.scope.positions:
        return Answer("", "There is no position yet: nothing was judged")
    pct = unknown_pct(report)
    unknown = known_words(pct)
    majors = report.standing["major"]
    if pct is not None and pct > MOSTLY:
        so_far = _alarm(_hurting(report), majors, known=False) if majors else "no major finding"
        return Answer(unknown, ", ".join(filter(None, (f"so far {so_far}", _worst(report)))), found=False)
    if not majors:
        others = sum(report.standing.values())
        lesser = counted(others, "lesser one") if others else "nor any other"
        return Answer("", f"No major finding stands, {lesser}; {unknown}")
    worst = _worst(report)
    return Answer(_alarm(_hurting(report), majors), f"{worst}, and {unknown}" if worst else unknown)


def _hurting(report: Outline) -> int:
    return sum(f.priority.harm in HURTS for f in report.findings if f.grade == "major" and not f.conceded)


def _alarm(hurting: int, majors: int, *, known: bool = True) -> str:
    """How many of the majors can hurt; `known` is whether enough is known to say that none does.

    >>> _alarm(2, 5), _alarm(1, 1)
    ('2 of 5 major findings can hurt people or start a fire', 'The one major finding can hurt people or start a fire')
    >>> _alarm(0, 5), _alarm(0, 1, known=False)
    ('5 major findings, none that can hurt people or start a fire', '1 major finding, none known to hurt people')
    """
    if not hurting:
        none = "none that can hurt people or start a fire" if known else "none known to hurt people"
        return f"{counted(majors, 'major finding')}, {none}"
    many = f"{hurting} of {majors} major findings" if majors > 1 else "The one major finding"
    return f"{many if known else many.replace('The', 'the')} can hurt people or start a fire"


def _worst(report: Outline) -> str:
    """`MCC-21 has most majors (28), MCC-51 most for its size (7 at 6 positions)`; empty where there is one lineup."""
    lineups = [row for row in report.lineups if row.positions > 1]
    if len(lineups) < 2:
        return ""
    worst = max(lineups, key=lambda row: row.failed["major"])
    dense = max(lineups, key=lambda row: row.failed["major"] / row.positions)
    if not worst.failed["major"]:
        return ""
    most = worst.failed["major"]
    alike = [row.lineup for row in lineups if row.failed["major"] == most]
    if len(alike) > 1:
        who = " and ".join(alike) if len(alike) == 2 else f"{len(alike)} lineups"
        return f"{who} have most majors ({most} each)"
    text = f"{worst.lineup} has most majors ({most})"
    if dense is not worst:
        text += f", {dense.lineup} most for its size ({dense.failed['major']} at {dense.positions} positions)"
    return text


def first_things(report: Outline, most: int = MOST) -> list[First]:
    """What to do first: by harm, then in the report's own order; nothing that is conceded."""
    rules = rules_of(report)
    made = []
    for group in report.groups:
        standing = [f for f in group.findings if not f.conceded]
        if standing and not group.lead.conceded:
            gravest = min(standing, key=_gravest_first)
            made.append(
                (_gravest_first(gravest), gravest, group.lead, tuple(f for f in standing if f is not group.lead))
            )
    # Among equals sorted() keeps the report's own order.
    things = [
        First(
            finding=lead,
            others=others,
            grade=gravest.grade,
            harm=gravest.priority.harm,
            do=first_step(lead.action),
            takes=takes(rules.get(lead.rule)),
            caution=first_sentence(lead.caution or gravest.caution),
        )
        for _, gravest, lead, others in sorted(made, key=lambda one: one[0])
    ]
    return _one_walk(things)[:most]


def _one_walk(things: list[First]) -> list[First]:
    """The things to do, those of one rule about records alone put together at the place of the first."""
    kept: dict[Hashable, First] = {}
    for place, thing in enumerate(things):
        records = thing.harm == "records"
        key = (thing.grade, thing.finding.rule) if records else place
        first = kept.setdefault(key, thing)
        if first is not thing:
            kept[key] = replace(first, others=(*first.others, *thing.others), alike=(*first.alike, thing.finding))
    return list(kept.values())


def rules_of(report: Outline) -> Mapping[str, Rule]:
    """The rules that were judged by, by their id; none where the report does not hold them."""
    return {rule.id: rule for rule in report.evidence.criteria.rules} if report.evidence.criteria else {}


def _gravest_first(finding: Found | Finding) -> tuple[int, int]:
    return GRADES.index(finding.grade), HARMS.index(finding.priority.harm)


def left_by_harm(report: Outline, things: list[First]) -> list[tuple[str, int]]:
    """How many standing majors are left after these, by harm."""
    counts = Counter(f.priority.harm for f in report.findings if f.grade == "major" and not f.conceded)
    named = (finding for thing in things for finding in (thing.finding, *thing.others, *thing.alike))
    counts.subtract(f.priority.harm for f in named if f.grade == "major" and not f.conceded)
    return [(harm, counts[harm]) for harm in HARMS if counts[harm] > 0]


def by_harm(report: Outline) -> list[tuple[str, int]]:
    """The standing majors, by harm."""
    return left_by_harm(report, [])


def first_step(action: str) -> str:
    """The first of an action's numbered steps, or all of one that has none.

    >>> first_step("1. Read it. Twice.\\n2. Set it.")
    'Read it. Twice.'
    """
    return re.sub(r"^1\.\s", "", next(iter(steps(action)), ""))


def first_sentence(text: str) -> str:
    """The first sentence of a text.

    >>> first_sentence("Do not rack it.  Local codes decide."), first_sentence("")
    ('Do not rack it.', '')
    """
    return re.split(r"(?<=[.!?])\s", " ".join(text.split()), maxsplit=1)[0]
