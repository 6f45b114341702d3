"""The first screen's answer, the ten things to do first, the readings that decide most."""

from dataclasses import replace

import pytest
from report_cases import finding, of, standing
from sample_plant import Sample

from register.audit.finding import Unknown
from register.audit.outline import LineupCount
from register.audit.priority import HARMS, priority
from register.reports.first import answer, by_harm, first_things, left_by_harm, takes
from register.reports.readings import next_readings
from register.resources import rules_folder
from register.rulebook.load.pack import load_pack


def _harmed(tag, harm, grade="major", **more):
    return finding(tag, grade=grade, priority=priority(grade, "critical", None, {}, harm=harm), **more)


def test_the_answer_counts_what_can_hurt_and_what_is_unknown():
    found = [_harmed("P-1", "people"), _harmed("P-2", "fire"), _harmed("P-3", "machine")]
    unknown = [Unknown("P-4", found[0].rule, "major", ("fla_a",))]
    said = answer(of(found, unknown)).sentence
    # Of the verdicts that apply three failed; at P-4 one is unknown and one passed.
    assert said == "2 of 3 major findings can hurt people or start a fire; 20 % of the verdicts are unknown."


def test_the_answer_where_nothing_is_wrong_or_nothing_is_there():
    nothing = of([], [])
    assert answer(nothing).sentence == "There is no position yet: nothing was judged."
    clean = of([], [Unknown("P-4", "bypass/bypass-tested", "minor", ("fla_a",))])
    assert answer(clean).sentence == "No major finding stands, nor any other; 50 % of the verdicts are unknown."


def test_where_most_is_unknown_that_is_said_first():
    lone = _harmed("P-3", "machine")
    unknown = [Unknown(f"P-{n}", lone.rule, "major", ("fla_a",)) for n in range(4, 9)]
    report = of([lone], unknown)
    passed = {grade: counts | {"passed": 0} for grade, counts in report.grades.items()}
    said = answer(replace(report, grades=passed))
    assert not said.found and said.alarm.endswith("% of the verdicts are unknown")
    assert said.rest == "so far 1 major finding, none known to hurt people"


def test_lineups_that_are_equally_bad_are_both_named():
    report = of([_harmed("P-1", "people"), _harmed("P-2", "people")], [])
    one = {"positions": 9, "failed": {"major": 1}, "cant_tell": 0, "passed": 9}
    lineups = tuple(LineupCount(**one, lineup=name) for name in ("L-1", "L-2"))
    assert "; L-1 and L-2 have most majors (1 each), " in answer(replace(report, lineups=lineups)).sentence


def test_first_comes_what_hurts_people_then_fire_and_nothing_conceded():
    used = standing("P-0", "")
    found = [
        _harmed("P-5", "records"),
        _harmed("P-4", "production"),
        _harmed("P-3", "machine"),
        _harmed("P-2", "fire"),
        _harmed("P-1", "people"),
        _harmed("P-0", "people", concession=used),
        _harmed("P-6", "people", grade="minor"),
    ]
    things = first_things(of(found, [], concessions=(used,)))
    assert [t.finding.tag for t in things] == ["P-1", "P-2", "P-3", "P-4", "P-5", "P-6"]
    assert [t.harm for t in things[:5]] == HARMS


def test_no_more_than_ten_and_the_rest_is_counted():
    found = [_harmed(f"P-{n:02d}", "people" if n < 8 else "fire") for n in range(14)]
    report = of(found, [])
    things = first_things(report)
    assert len(things) == 10
    assert left_by_harm(report, things) == [("fire", 4)]
    assert by_harm(report) == [("people", 8), ("fire", 6)]


def test_findings_of_one_cause_are_one_thing_as_grave_as_the_gravest():
    doubt = _harmed("P-1", "fire", grade="minor", causes=("one",))
    behind = _harmed("P-2", "people", causes=("one",))
    report = of([_harmed("P-3", "fire"), doubt, behind], [])
    report = replace(report, groups=tuple(sorted(report.groups, key=lambda g: g.lead.tag)))
    first = first_things(report)[0]
    assert {f.tag for f in (first.finding, *first.others)} == {"P-1", "P-2"}
    assert (first.grade, first.harm) == ("major", "people")


def test_records_that_lack_the_same_are_one_thing_and_the_others_are_not():
    lacking = [_harmed(f"P-{n:02d}", "records", grade="minor") for n in range(12)]
    hurting = [_harmed(f"P-{n}", "people", grade="minor") for n in range(20, 23)]
    things = first_things(of([*lacking, *hurting], []))
    assert [t.finding.tag for t in things] == ["P-20", "P-21", "P-22", "P-00"]
    assert [f.tag for f in things[-1].alike] == [f"P-{n:02d}" for n in range(1, 12)]
    assert not any(t.alike for t in things[:-1])


@pytest.fixture(scope="module")
def pack():
    return load_pack(rules_folder())


def test_every_rule_of_the_pack_says_what_it_takes(pack):
    assert [rule.id for rule in pack.rules if not rule.takes] == []
    # Whoever replaces a part stops the machine, but for what lies in store.
    without = {rule.id for rule in pack.rules if "part" in rule.takes and "outage" not in rule.takes}
    assert all(rule.startswith("lifecycle/") for rule in without)


def test_a_rule_of_the_sites_own_may_leave_it_to_its_columns(pack):
    rule = replace(pack.rules[0], id="ours/any", takes=(), columns=("current_limit_xfla",))
    assert takes(rule) == "setting"


def test_readings_complete_what_lacks_nothing_more():
    rule = "overload/set-within-nameplate"
    unknowns = [
        Unknown("P-1", rule, "major", ("fla_a",)),
        Unknown("P-1", rule, "major", ("fla_a", "service_factor")),
        Unknown("P-2", rule, "major", ("fla_a",)),
        Unknown("P-3", rule, "major", ("local_stop",), elsewhere={"local_stop": ("P-4", "P-5")}),
    ]
    found = next_readings(of([], unknowns), most=2)
    assert [(r.tag, r.column, r.completes) for r in found.readings] == [
        ("P-1", "fla_a", 1),
        ("P-1", "service_factor", 1),
    ]
    assert found.groups[0] == ("fla_a", 2)
    assert found.unknown == 4 and found.share(1) == 25
    assert found.safety == (("local_stop", 2),)


def test_what_the_readings_complete_is_what_is_left_out_when_they_are_known(tmp_path):
    """Counted another way: of the demo plant's unknown verdicts, those whose every blank is among the readings."""
    from by_path import of_register
    from report_cases import TODAY

    report = of_register(Sample("demo-plant", tmp_path).path, today=TODAY)
    found = next_readings(report)
    known = {(r.tag, r.column) for r in found.readings}
    whole = 0
    for unknown in report.evidence.unknowns:
        needs = {(tag, name) for name in unknown.fields for tag in unknown.elsewhere.get(name, (unknown.at,))}
        whole += bool(needs) and needs <= known
    assert whole == found.by_readings > 0
    columns = {name for name, _ in found.groups}
    assert sum(bool(u.fields) and set(u.fields) <= columns for u in report.evidence.unknowns) == found.by_groups
