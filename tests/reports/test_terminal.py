"""The terminal report: it adds up, fits 80 columns, and says the same without colour."""

import io
import re

import pytest
from rich.console import Console

from register.audit.finding import Finding, Unknown, Value
from register.audit.outline import GRADES, OUTCOMES, AreaCount, LineupCount, RuleCount, Scope
from register.audit.priority import priority
from register.audit.report import report
from register.columns.source import Source
from register.reports.terminal import report as terminal

# fmt: off
SCOPE = Scope("Oldmarrow Works", "us", "plant.db", "2026-11-25", 4, 3, "startroll 1 (abc)", "0.1.0",
              False, (("position", 4, 2), ("bus", 1, 1)))
# fmt: on


def _finding(tag="P-101", **more):
    values = {
        "tag": tag,
        "rule": "overload/set-within-nameplate",
        "title": "The overload is set above what the nameplate permits",
        "grade": "major",
        "outcome": "failed",
        "sentence": "Overload set at 90 A; this nameplate permits 81.25 A.",
        "clauses": (("overload_set_a <= overload_set_max_a", "90 A <= 81.25 A", False),),
        "values": (Value("overload_set_a", 90.0, "A", "list.xlsx 'MCC-1'!F14"),),
        "margin": -8.75,
        "margin_unit": "A",
        "limits": {},
        "stand_ins": (),
        "why": "It protects the motor.",
        "action": "Set it lower. Then record it.",
        "caution": "Work on live parts kills.",
        "basis": (Source("NFPA 70-2023, 430.32(A)(1)", "text"),),
        "priority": priority("major", "critical", -8.75, {"overload_set_a": 90.0}),
    }
    return Finding(**values | more)


@pytest.fixture
def shown_report():
    rules = [
        RuleCount(
            "overload/set-within-nameplate",
            "t",
            "not t",
            "major",
            {"failed": 1, "cant-tell": 1, "passed": 2, "inapplicable": 0},
            1,
        ),
        RuleCount(
            "bypass/bypass-tested",
            "t",
            "not t",
            "minor",
            {"failed": 0, "cant-tell": 0, "passed": 1, "inapplicable": 3},
            0,
        ),
        RuleCount(
            "line-protection/lineup-withstands-fault",
            "t",
            "not t",
            "major",
            {"failed": 0, "cant-tell": 1, "passed": 0, "inapplicable": 0},
            0,
            "bus",
        ),
    ]
    unknowns = [Unknown("P-102", "overload/set-within-nameplate", "major", ("relay_set_a",))]
    none, one = ({"major": n, "minor": 0, "observation": 0} for n in (0, 1))
    areas = [
        AreaCount(1, none, 1, 0, "(area unknown)"),
        AreaCount(0, none, 1, 0, "(lineups)"),
        AreaCount(1, none, 0, 1, "Dryer"),
        AreaCount(2, one, 0, 2, "Pump house"),
    ]
    lineups = [LineupCount(4, one, 2, 3, "MCC-1")]
    return report(SCOPE, rules, [_finding()], unknowns, areas=areas, lineups=lineups)


def _printed(report, width, *, most=None, **options):
    out = io.StringIO()
    terminal.show(report, Console(file=out, width=width, highlight=False, **options), most=most)
    return out.getvalue()


def test_the_verdicts_add_up_to_what_is_judged_times_rules(shown_report):
    verdicts = sum(shown_report.grades[g][o] for g in GRADES for o in OUTCOMES)
    assert verdicts == SCOPE.verdicts == 4 * 2 + 1 * 1
    assert "9 verdicts = 4 positions × 2 rules + 1 bus × 1 rule" in _printed(shown_report, 80)
    assert sum(a.positions for a in shown_report.areas) == SCOPE.positions
    assert sum(sum(a.failed.values()) for a in shown_report.areas) == len(shown_report.findings)


@pytest.mark.parametrize("width", [80, 140])
def test_no_line_is_wider_than_the_terminal_and_nothing_is_lost(shown_report, width):
    text = _printed(shown_report, width)
    assert max(map(len, text.splitlines())) <= width
    for words in ("P-101", "90 A", "81.25 A", "relay_set_a", "cubicle", "(area unknown)"):
        assert words in text


def test_a_pipe_gets_no_colour(shown_report):
    assert "\x1b" not in _printed(shown_report, 80)


def test_an_unknown_area_is_its_own_row_and_a_hole_names_where_to_read(shown_report):
    (field,) = shown_report.fields
    assert (field.column, field.verdicts, field.majors, field.tags) == ("relay_set_a", 1, 1, ("P-102",))


def test_a_finding_opened_tells_clause_value_origin_caution_and_basis():
    out = io.StringIO()
    Console(file=out, width=80, highlight=False).print(terminal.explained(_finding()))
    for words in ("90 A <= 81.25 A", "'MCC-1'!F14", "Work on live parts", "430.32", "-8.75 A"):
        assert words in out.getvalue()


def test_priority_shows_its_three_factors_and_an_unknown_criticality_is_not_hidden():
    critical = priority("major", "critical", None, {})
    assert critical.product == 9 * 3 * 2 and "3 (critical)" in critical.explained()
    assert "2 (criticality unknown)" in priority("major", None, None, {}).explained()
    # 67 % of 90 A missed: 1.67, by arithmetic
    assert "1.67 (missed by 67 %)" in priority("major", None, -60.0, {"a": 90.0}).explained()
    unknown, ordinary = (priority("minor", c, -1.0, {"a": 2.0}) for c in (None, "ordinary"))
    assert unknown.product > ordinary.product
    worse = priority("minor", "ordinary", -2.0, {"a": 2.0})
    assert worse.product > ordinary.product


def test_a_share_of_passed_stands_beside_the_share_that_could_be_judged(shown_report):
    # Lineup: 3 passed and 1 failed of 4 judged is 75 %, and 4 of 6 could be judged, 66 %.
    (lineup,) = shown_report.lineups
    assert (lineup.passed_pct, round(lineup.judged_pct)) == (75, 67)
    text = " ".join(_printed(shown_report, 80).split())
    assert "MCC-1 4 1 0 0 33 % 75 %" in text
    # Nothing judged is no score at all.
    assert "(area unknown) 1 0 0 0 100 % –" in text


def test_the_first_screen_is_the_answer_what_to_do_and_where(shown_report):
    text = _printed(shown_report, 80, most=20)
    lines = text.splitlines()
    said = " ".join(line.strip() for line in lines[:2])
    assert said == "1 major finding, none that can hurt people or start a fire; 33 % of the verdicts are unknown."
    assert lines[2] == "Oldmarrow Works, 25 November 2026: 4 positions, 3 rules, US practice"
    assert "P-101    the overload is set above what the nameplate permits" in text
    assert "Major by harm   machine 1" in text
    assert len(lines) < 24  # it fits where it is read


def test_colour_stands_on_the_word_and_never_alone(shown_report, monkeypatch):
    """Select Graphic Rendition, ECMA-48: 31 is red; without colour the same words are there."""
    monkeypatch.delenv("NO_COLOR", raising=False)
    bare = _printed(shown_report, 80)
    coloured = _printed(shown_report, 80, force_terminal=True, color_system="standard")
    assert re.search(r"\x1b\[1;31m1 major finding", coloured)
    assert re.search(r"\x1b\[1;31m *major", coloured)
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == bare
