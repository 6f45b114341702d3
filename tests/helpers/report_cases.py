"""Reports to show: one of the demo plant, one whose every text means harm, ones of any size."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date

from by_path import of_register
from sample_plant import Sample

from register.audit.actions import Followed
from register.audit.concessions import Standing
from register.audit.finding import Finding, Unknown, Value
from register.audit.outline import GRADES, AreaCount, Criteria, Evidence, RuleCount, Scope, StartCourse
from register.audit.priority import priority
from register.audit.report import Report, report
from register.columns.source import Source
from register.rulebook.model import Grade, Limit, Override, Rule

TODAY = date(2026, 11, 25)
FAILS, OPEN = "overload/set-within-nameplate", "bypass/bypass-tested"

HOSTILE = {
    "markup": "</script><script>document.title='caught'</script><img src=x onerror=alert(1)>",
    "attribute": '" onmouseover="alert(1)" x=\'',
    "template": "{{ 7 * 7 }} {% raw %} ${7*7} {0} [here](https://example.invalid/)",
    "formula": '=HYPERLINK("https://example.invalid/";"go")',
    "command": "@SUM(1+1)*cmd|' /C calc'!A0",
    "control": "bell \x07 escape \x1b[2J\x1b]0;caught\x07 null-free \x01 delete \x7f csi \x9b31m",
    "turned": "P-\u202e101 \u2067right to left\u2069 \u200fmark",
    "hebrew": "משאבה 3 כביסה",
    "lines": "first\r\nsecond\ttab\u2028third",
    "astral": "pump 😀 𝛥 \U0010ffff",
    "long": "long " + "x" * 70_000 + " end",
}


def demo(folder, area: str | None = None) -> Report:
    """The report on the demo plant, or on an area of it."""
    return of_register(Sample("demo-plant", folder).path, today=TODAY, area=area)


def finding(tag: str = "P-101", text: str = "90 A", **more) -> Finding:
    """A failed verdict; `text` stands wherever the register's own text can."""
    values = {
        "tag": tag,
        "rule": FAILS,
        "title": "The overload is set above what the nameplate permits",
        "grade": "major",
        "outcome": "failed",
        "sentence": f"Overload set at {text}; this nameplate permits 81.25 A.",
        "clauses": (("overload_set_a <= overload_set_max_a", f"{text} <= 81.25 A", False),),
        "values": (
            Value("relay_set_a", 90.0, "A", f"list.xlsx 'MCC-1'!F14, there '{text}'"),
            Value("device_kind", text, "", "entered, table model"),
            Value("service_factor", None, "", "not known"),
        ),
        "margin": -8.75,
        "margin_unit": "A",
        "limits": {"overload_lowest_share": (0.9, "area", text)},
        "stand_ins": (f"assumed: {text}",),
        "why": "It protects the motor.",
        "action": "1. Compare with the nameplate.\n2. Set it lower.\n3. Record it.",
        "caution": "Work on live parts kills.",
        "basis": (Source("NFPA 70-2023, 430.32(A)(1)", "text"),),
        "priority": priority("major", "critical", -8.75, {"overload_set_a": 90.0}),
        "place": place(tag, text),
    }
    return Finding(**values | more)


def place(tag: str, text: str) -> dict:
    return {"tag": tag, "description": text, "area": f"area {text}", "bus": text, "criticality": "critical"}


def of(
    findings: list[Finding],
    unknowns: list[Unknown],
    *,
    text: str = "Oldmarrow Works",
    course: StartCourse | None = None,
    concessions: tuple[Standing, ...] = (),
    actions: tuple[Followed, ...] = (),
) -> Report:
    """A report of two rules on the positions of these verdicts."""
    failed, open_ones = {f.tag for f in findings}, {u.tag for u in unknowns}
    tags = sorted(failed | open_ones)
    letters = {t: ("?" if t in open_ones else "-") + ("F" if t in failed else "P") for t in tags}
    rules = [
        _count(OPEN, "minor", [w[0] for w in letters.values()]),
        _count(FAILS, "major", [w[1] for w in letters.values()]),
    ]
    places = {f.tag: f.place for f in findings} | {u.tag: place(u.tag, text) for u in unknowns}
    scope = Scope(text, "us", f"{text[:60]}.db", TODAY.isoformat(), len(tags), 2, "pack 1", "0.1.0", False)
    evidence = Evidence(
        verdicts=letters, places=places, criteria=_criteria(text), courses={tags[0]: course} if course else {}
    )
    return report(
        scope,
        rules,
        findings,
        unknowns,
        areas=_areas(places, findings, unknowns),
        evidence=evidence,
        concessions=concessions,
        actions=actions,
    )


def _areas(places: dict, findings: list[Finding], unknowns: list[Unknown]) -> list[AreaCount]:
    """Two verdicts a position; what did not fail and is known has passed."""
    area_of = {tag: row["area"] for tag, row in places.items()}
    made = []
    for area, positions in sorted(Counter(area_of.values()).items()):
        failed = Counter(f.grade for f in findings if area_of[f.tag] == area)
        open_ones = sum(area_of[u.tag] == area for u in unknowns)
        passed = 2 * positions - failed.total() - open_ones
        made.append(AreaCount(positions, {g: failed[g] for g in GRADES}, open_ones, passed, area))
    return made


def _count(rule: str, grade: str, letters: list[str]) -> RuleCount:
    counts = {
        "failed": letters.count("F"),
        "cant-tell": letters.count("?"),
        "passed": letters.count("P"),
        "inapplicable": letters.count("-"),
    }
    titles = ("The overload is set within the nameplate", "The overload is set above the nameplate")
    return RuleCount(rule, *titles, grade, counts, 0)


def _criteria(text: str) -> Criteria:
    rules = tuple(
        Rule(
            id=name,
            title=name,
            title_failed=f"{name} is not met",
            grade=Grade(grade),
            practice="any",
            requires="relay_set_a <= 1",
            finding="",
            why="Why.",
            action="Act.",
            basis=(Source("common practice", "common practice"),),
            examples=(),
        )
        for name, grade in ((OPEN, "minor"), (FAILS, "major"))
    )
    limit = Limit("overload_lowest_share", 0.8, "", "least share", Source("common practice", "common practice"))
    laid = Override(limit.name, "area", text, 0.9, text, text, "2026-03-01")
    return Criteria("pack", "1", "abc", rules, (limit,), (laid,))


def hostile(*texts: str) -> Report:
    """A report in which these texts stand wherever the register's own can; the first where there is but one place."""
    unknowns = [Unknown(f"open {text}", OPEN, "minor", ("relay_set_a",)) for text in texts]
    stands = tuple(standing(f"tag {text}", text) for text in texts)
    found = [finding(one.tag, text, concession=one) for one, text in zip(stands, texts, strict=True)]
    done = tuple(_followed(f"tag {text}", text) for text in texts)
    return of(found, unknowns, text=texts[0], concessions=stands, actions=done)


def _followed(tag: str, text: str) -> Followed:
    """A corrective action for the failed rule at that position."""
    return Followed(
        1, tag, FAILS, text, text, "2026-01-05", "2026-03-01", "2026-02-01", text, text, "closed, unchecked", text
    )


def standing(tag: str, text: str, status: str = "used") -> Standing:
    """A concession for the failed rule at that position."""
    return Standing(
        1,
        FAILS,
        tag,
        status,
        f"holds until 2027-01-31 {text}",
        text,
        text,
        "2026-01-10",
        text,
        "2026-01-12",
        "2027-01-31",
    )


def many(count: int) -> Report:
    """A report of that many findings, no two alike, in forty areas and sixty rules."""
    findings = []
    for n in range(count):
        tag = f"P-{n // 3:06d}"
        made = finding(tag, f"{40 + n * 0.37:.2f} A", margin=-(n % 900) / 7 - 0.1)
        where = {
            "tag": tag,
            "description": f"No {n % 9 + 1} transfer pump, line {n % 23}",
            "area": f"Area {n // 3 % 40:02d}",
            "bus": f"MCC-{n // 3 % 120:03d}",
            "criticality": ("critical", "essential", "ordinary")[n % 3],
        }
        findings.append(
            replace(
                made,
                place=where,
                rule=f"theme-{n % 6}/rule-{n % 60:02d}",
                limits={},
                stand_ins=(),
                grade=("major", "minor", "observation")[n % 60 % 3],
                values=(
                    Value("relay_set_a", 40 + n * 0.37, "A", f"list.xlsx 'MCC-{n % 120}'!F{n}"),
                    Value("fla_a", 30 + n * 0.29, "A", f"list.xlsx 'MCC-{n % 120}'!G{n}"),
                    Value("service_factor", 1.15, "", f"list.xlsx 'MCC-{n % 120}'!H{n}"),
                    Value("overload_set_max_a", 37.5, "A", "computed from fla_a, service_factor"),
                ),
            )
        )
    rules = [
        RuleCount(
            f"theme-{r % 6}/rule-{r:02d}",
            f"Rule {r} asks for something",
            f"Something of rule {r} is missing",
            grade_of(r),
            {"failed": len(range(r, count, 60)), "cant-tell": 0, "passed": 0, "inapplicable": 0},
            0,
        )
        for r in range(60)
    ]
    places = {f.tag: f.place for f in findings}
    scope = Scope("Oldmarrow Works", "us", "plant.db", TODAY.isoformat(), len(places), 60, "pack 1", "0.1.0", False)
    return report(scope, rules, findings, [], areas=_areas(places, [], []), evidence=Evidence(places=places))


def grade_of(number: int) -> str:
    return ("major", "minor", "observation")[number % 3]


COURSE = StartCourse(
    time_s=tuple(0.2 * n for n in range(60)),
    speed_pct=tuple(min(98.5, 1.7 * n) for n in range(60)),
    current_xfla=tuple(4.0 if n < 55 else 1.1 for n in range(60)),
    voltage_pct=tuple(91.5 if n < 55 else 98.0 for n in range(60)),
    outcome="reaches full speed in 11.2 s",
    limit_xfla=4.0,
    dip_limit_pct=15.0,
)
