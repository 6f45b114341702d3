"""What the review says in sentences: summary, conclusions, limits of its scope; and where clauses find evidence."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from register.audit.actions import OVERDUE
from register.audit.comparison import BETTER, CONCEDED, GONE, NEW, TURNED, WORSE, Comparison
from register.audit.finding import Finding
from register.audit.outline import GRADES
from register.audit.report import Report
from register.reports.first import HURTS, answer, known_words, unknown_pct
from register.text import percent

HAZARDOUS = "sizing/hazardous-area-judged-elsewhere"
FEW = 6


@dataclass(frozen=True, slots=True)
class Turned:
    """Verdicts of one rule that turned alike and for the same cause, and were no finding in either audit."""

    rule: str
    before: str
    after: str
    cause: str
    places: tuple[str, ...]

    @property
    def where(self) -> str:
        """The first places, and how many more."""
        more = len(self.places) - FEW
        return ", ".join(self.places[:FEW]) + (f" and {more} more" if more > 0 else "")


def _digits(number: int) -> str:
    """The number, its digits in threes with a space that does not break."""
    return f"{number:,}".replace(",", "\u202f")


def _many(number: int, noun: str) -> str:
    """A number of things.

    >>> _many(1, "clause"), _many(1309, "verdict").replace("\u202f", " ")
    ('1 clause', '1 309 verdicts')
    """
    return f"{_digits(number)} {noun}{'' if number == 1 else 's'}"


def summary(report: Report, compared: Comparison | None) -> tuple[str, ...]:
    """What was judged, with what result, and what moved."""
    failed = {grade: report.grades[grade]["failed"] for grade in GRADES}
    conceded = sum(report.conceded.values())
    by_grade = ", ".join(f"{_digits(n)} {grade}" for grade, n in failed.items())
    passed = sum(report.grades[grade]["passed"] for grade in GRADES)
    judged = passed + sum(failed.values())
    told = (
        f"Of {_digits(judged)} verdicts that could be told, {percent(100 * passed / judged)} passed" if judged else ""
    )
    return (
        answer(report).sentence,
        f"{_many(sum(failed.values()), 'requirement')} not met ({by_grade}); {_digits(conceded)} of them conceded,"
        f" {_digits(sum(failed.values()) - conceded)} standing.",
        f"{told or 'No verdict could be told'}; {_digits(report.provisional)} are provisional, which is to say that"
        " they assume a value.",
        _moved(compared),
    )


def _moved(compared: Comparison | None) -> str:
    if compared is None:
        return "It is compared with no earlier audit."
    words = {NEW: "new", WORSE: "worse", BETTER: "better", GONE: "gone", CONCEDED: "conceded and not corrected"}
    said = ", ".join(f"{_digits(len(compared.of_kind(kind)))} {word}" for kind, word in words.items())
    return f"Since {compared.old}: findings {said}; {_digits(len(compared.persisting))} stand as they stood."


def conclusions(report: Report) -> Iterator[str]:
    """What follows from the result, for those who sign."""
    majors = [f for f in report.findings if f.grade == "major" and not f.conceded]
    unknown = sum(report.grades[grade]["cant-tell"] for grade in GRADES)
    if majors:
        hurting = sum(f.priority.harm in HURTS for f in majors)
        places = len({f.at for f in majors})
        yield (
            f"The criteria are not met: {_many(len(majors), 'major finding')} at {_many(places, 'place')} without"
            f" a concession. Those that can hurt people or start a fire ({hurting}) come first."
        )
    else:
        yield "No major finding stands without a concession."
    if unknown:
        yield f"Unknown is no pass: {_many(unknown, 'verdict')} stay open until their data are collected."
    if report.lapsed:
        yield f"Void concessions: {len(report.lapsed)}. Their findings stand again."
    yield from _on_actions(report, majors)
    if report.to_verify:
        yield (
            f"{_many(len(report.to_verify), 'clause')} behind the verdicts were seen by nobody yet. Someone licensed"
            " reads them before this is signed."
        )
    yield "Whether the plant may run on as it is, those decide who sign; the review judges records."


def _on_actions(report: Report, majors: list[Finding]) -> Iterator[str]:
    seen_to = {(a.rule, a.at) for a in report.actions}
    without = sum(f.identity not in seen_to for f in majors)
    if without:
        yield f"Standing majors without a corrective action assigned: {without}."
    if late := sum(a.state == OVERDUE for a in report.actions):
        yield f"Corrective actions overdue: {late}."


def scope_limits(report: Report) -> Iterator[str]:
    """What was not judged, or only in part, and why."""
    unknown = sum(report.grades[grade]["cant-tell"] for grade in GRADES)
    yield (
        f"Of the verdicts that apply, or may apply, {known_words(unknown_pct(report))} ({_digits(unknown)}): a value is"
        " missing there. Under Can’t tell the fields are listed."
    )
    yield "What is not in the register was not judged: no motor, starter or lineup was looked for on site."
    yield _outside(report)
    trial = ", ".join(rule.rule for rule in report.on_trial)
    yield f"On trial, judged and not counted: {trial}." if trial else "No rule is on trial: each one counts."
    yield from _without_place(report)
    yield from _hazardous(report)
    if report.scope.measured_only:
        yield "No assumed value was used: what hangs on a missing value is unknown."
    else:
        yield f"{_many(report.provisional, 'verdict')} assume a value for a missing one, and are marked provisional."
    yield (
        "Not within the scope: power studies, arc-flash hazard, the certification of equipment, safety functions as a"
        " whole, competence of persons, and work on site."
    )


def _outside(report: Report) -> str:
    beyond = [rule for rule in report.rules if rule.outside]
    if not beyond:
        return "No rule was asked beyond the bounds that its tables and formulas are good for."
    most = max(rule.outside for rule in beyond)
    return (
        f"Beyond the bounds that their tables and formulas are good for, {_many(len(beyond), 'rule')} judged nothing,"
        f" at up to {_many(most, 'place')} each: {', '.join(rule.rule for rule in beyond)}."
    )


def _without_place(report: Report) -> Iterator[str]:
    for row in report.areas:
        if row.area == "(area unknown)" and row.positions:
            yield f"{_many(row.positions, 'position')} are in no known area; they were judged."
    for lineup in report.lineups:
        if lineup.lineup == "(lineup unknown)" and lineup.positions:
            yield (
                f"{_many(lineup.positions, 'position')} are on no known lineup: what hangs on the fault current or the"
                " voltage dip of a lineup is unknown there."
            )


def _hazardous(report: Report) -> Iterator[str]:
    counts = next((rule.counts for rule in report.rules if rule.rule == HAZARDOUS), None)
    if counts is None:
        return
    within = counts["failed"] + counts["passed"]
    yield (
        f"Hazardous areas: whether equipment may be there was not judged, only whether those who may judge it have"
        f" inspected it lately. Decided at {_many(within, 'position')}, unknown at {counts['cant-tell']}."
    )


def turned(compared: Comparison | None) -> tuple[Turned, ...]:
    """The differences that were never findings, those alike as one; most first."""
    alike: dict[tuple[str, str, str, str], list[str]] = defaultdict(list)
    for one in compared.of_kind(TURNED) if compared else ():
        alike[one.rule, one.before, one.after, one.cause or "no cause was found"].append(one.tag)
    rows = (Turned(*key, tuple(sorted(tags))) for key, tags in alike.items())
    return tuple(sorted(rows, key=lambda row: (-len(row.places), row.rule, row.before, row.after, row.cause)))


def turned_by_cause(rows: tuple[Turned, ...]) -> tuple[tuple[str, int], ...]:
    """(cause, how many), most first."""
    counts: Counter[str] = Counter()
    for row in rows:
        counts[row.cause] += len(row.places)
    return tuple(sorted(counts.items(), key=lambda item: (-item[1], item[0])))


def conceded_majors(report: Report) -> tuple[Finding, ...]:
    """The majors that somebody accepted for a time: each is signed for by itself."""
    return tuple(f for f in report.findings if f.grade == "major" and f.conceded)


# Clauses of ISO 55001, 2014 and 2024, from memory: the edition (both, or one), the clause, what it is about, the
# sections of the pack that speak to it, and what they leave to others. The ten main clauses are alike in both.
ISO_55001 = (
    (
        "both",
        "4 Context of the organization",
        ("scope",),
        "Scope of this review only; stakeholders and the scope of the management system are elsewhere.",
    ),
    (
        "2024",
        "4.5 Decision-making",
        ("findings", "concessions"),
        "What was accepted, by whom, until when; the criteria for such decisions are the site’s.",
    ),
    ("both", "5 Leadership", ("control", "sign"), "Who prepared, reviewed and accepted; policy is elsewhere."),
    (
        "both",
        "6 Planning",
        ("findings", "actions"),
        "Risks by harm, criticality and margin, and what is planned against them; objectives are elsewhere.",
    ),
    (
        "both",
        "7 Support: competence",
        ("control",),
        "The auditors’ own competence, as stated; training records are elsewhere.",
    ),
    (
        "both",
        "7 Support: information and data",
        ("unknown", "verified", "contents"),
        "Which data are missing, how those on file were verified, and the files.",
    ),
    (
        "both",
        "7 Support: documented information",
        ("control", "contents"),
        "Number, revision, distribution, hash of each file.",
    ),
    (
        "both",
        "8 Operation: control, management of change",
        ("criteria", "since"),
        "The criteria, and every change of data, rule or limit that turned a verdict.",
    ),
    ("both", "8 Operation: what others do for the plant", (), "Nothing in this pack."),
    ("both", "9 Evaluation: monitoring, analysis", ("summary", "findings", "since"), "Results, and what moved."),
    (
        "both",
        "9 Evaluation: internal audit",
        ("control", "scope", "method", "criteria"),
        "Auditors and their independence, scope, method, criteria.",
    ),
    ("both", "9 Evaluation: management review", ("summary", "sign"), "Input to it, and the signatures."),
    (
        "both",
        "10 Improvement: nonconformity, corrective action",
        ("findings", "concessions", "actions"),
        "Each finding, what was done about it, and whether the next audit confirms it.",
    ),
    (
        "2014",
        "10 Improvement: preventive action",
        ("findings", "unknown"),
        "Minor findings, observations and missing data, before anything fails.",
    ),
    (
        "2024",
        "10 Improvement: predictive action",
        ("findings", "unknown"),
        "As above; condition monitoring is elsewhere.",
    ),
    ("both", "10 Improvement: continual improvement", ("since",), "New, worse, gone, better; conceded apart."),
)
