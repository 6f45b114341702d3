"""What a round asks: all that verdicts wait for, once each, in the order of the walk, and nothing that cannot apply."""

from datetime import date

import pytest
from sample_plant import Sample

from register.audit.findings import unknowns
from register.audit.session import AuditRequest, session
from register.columns import COLUMNS
from register.errors import StartrollError
from register.rounds.follow_ups import CONDITION, applies
from register.rounds.questions import CHECKS, ELSEWHERE, Asked, Which, round_of
from register.rounds.saved_file import ASKED_OF
from register.rounds.stations import ASKED, CLOSED, DESK, OPEN, OUTSIDE, STATIONS, station
from register.store.queries import rows_at

MADE_ON = "2026-11-25T08:00:00+00:00"


@pytest.fixture(scope="module")
def missing(asked):
    """(tag, column) of every blank of a position that a verdict waits for."""

    def every(opened):
        return {(u.tag, n) for u in unknowns(opened.db, opened.audit()) if u.subject == "position" for n in u.fields}

    return asked(every)


def test_every_blank_is_asked_or_counted_as_left_out(whole, missing):
    cells = {(s.at, q.column.name) for s in whole.stops for q in s.questions}
    cells |= {(tag, "fuse_class") for tag, name in missing if name == "fuse_class"}  # see below
    cells |= {(tag, q.column.name) for s in whole.stops for q in s.questions for tag in q.also}
    on_walk = {(tag, name) for tag, name in missing if COLUMNS[name].table in ASKED_OF and name != "device_status"}
    assert {(tag, name) for tag, name in on_walk if COLUMNS[name].table != "bus"} <= cells
    checks = {(tag, name) for tag, name in missing if COLUMNS[name].table not in (*ASKED_OF, "site")}
    assert whole.left_out[CHECKS] == len(checks) > 100
    assert set(whole.left_out) <= {CHECKS, ELSEWHERE}


def test_no_cell_is_asked_twice(whole):
    cells = [(q.column.table, q.row or s.at, q.column.name) for s in whole.stops for q in s.questions]
    assert len(cells) == len(set(cells)) == whole.count


def test_what_is_on_file_is_that_of_the_register(whole, asked):
    rows = asked(lambda opened: {s.at: rows_at(opened.db, s.at) for s in whole.stops if not s.is_bus})
    for stop in whole.stops:
        for q in () if stop.is_bus else stop.questions:
            assert q.on_file == rows[stop.at].get(q.column.table, {}).get(q.column.name), (stop.at, q.column.name)
            assert (q.on_file is None) == (not q.doubt), (stop.at, q.column.name)


def test_a_value_that_a_rule_doubts_is_asked_for_again_with_what_is_wrong(whole):
    """samples/demo-plant/seeded.csv lists a fault current that does not go with its transformer."""
    lineup = next(s for s in whole.stops if s.is_bus and s.at == "MCC-21")
    doubted = next(q for q in lineup.questions if q.column.name == "fault_current_ka")
    assert doubted.on_file == 21.0 and "disagrees with its transformer" in doubted.doubt and doubted.origin


def test_a_stop_tells_a_motor_in_the_unit_of_the_plants_practice(whole, tmp_path):
    """NIST SP 811, appendix B.8: 75 hp are 55.93 kW, as the US sample's register holds them; the other's plate has kW."""
    us = {s.at: s.told.split(" · ") for s in whole.stops if not s.is_bus}
    assert "75 hp" in us["K-1128"] and not any(part.endswith(("kW", "kW)")) for told in us.values() for part in told)
    with session(Sample("small-plant", tmp_path).path, AuditRequest(today=date(2026, 11, 25))) as opened:
        made = round_of(opened, Which(), made_on=MADE_ON)
    iec = {s.at: s.told.split(" · ") for s in made.stops if not s.is_bus}
    assert "55 kW" in iec["K-112"] and not any(part.endswith("hp") for told in iec.values() for part in told)


def test_the_walk_goes_by_area_lineup_and_bucket(whole):
    order = [(s.area, s.bus) for s in whole.stops]
    assert order == sorted(order, key=lambda place: [(not name, name) for name in place])
    for stop, after in zip(whole.stops, whole.stops[1:], strict=False):
        assert not (after.is_bus and after.bus == stop.bus and after.area == stop.area), (
            "a lineup comes before its buckets"
        )


def test_no_question_stands_where_it_needs_more_than_the_part_says():
    """Common practice: behind the door are the line protection, the relay and the bypass; a current is not measured."""
    for name in ("relay_set_a", "protection_rating_a", "fuse_class", "bypass_interlock", "ct_primary_a", "made_on"):
        assert station(name) is OPEN, name
    for name in ("ramp_s", "device_overload_set_a", "disconnect_lockable"):
        assert station(name) is CLOSED, name
    assert station("running_current_a") is station("fault_current_ka") is DESK
    assert station("fla_a") is OUTSIDE and station("inching") is ASKED
    assert {s for s in STATIONS if s.lead} == {CLOSED, OPEN, OUTSIDE}
    assert "permit" in OPEN.safety and "Never open a live panel" in OPEN.safety


def test_rules_never_wait_for_what_a_condition_says_does_not_apply(missing, asked):
    """The conditions are of trade practice; the rules' own scope is the other source: they have to agree."""
    rows = asked(lambda opened: {tag: rows_at(opened.db, tag) for tag, _ in missing})
    tried = 0
    for tag, name in missing:
        condition = CONDITION.get(name)
        known = rows[tag].get(COLUMNS[condition.column].table, {}).get(condition.column) if condition else None
        if known is not None:
            tried += 1
            # A rule offers a fuse of class CC in place of a breaker: nobody can read its class where there is none.
            fits = applies(name, known) or name == "fuse_class"
            assert fits, f"{name} is asked at {tag} where {condition.column} is {known}"
    assert tried > 30


def test_a_question_follows_only_another_of_the_same_stop(whole):
    found = 0
    for stop in whole.stops:
        here = {q.column.name for q in stop.questions}
        for q in stop.questions:
            found += q.condition is not None
            assert q.condition is None or q.condition.column in here
    assert found > 100


def test_the_most_questions_are_those_first_in_order(asked):
    order = (Asked("P-2117", "inching"), Asked("A-4108", "poles"), Asked("A-4108", "fla_a"), Asked("A-1103", "poles"))
    few = asked(lambda s: round_of(s, Which(selected=lambda _: {"A-4108"}, order=order, top=2), made_on=MADE_ON))
    assert [(s.at, [q.column.name for q in s.questions]) for s in few.stops] == [("A-4108", ["poles", "speed_rpm"])]


def test_one_lineup_or_one_area_is_all_that_is_asked(asked):
    lineup = asked(lambda s: round_of(s, Which(bus="MCC-31"), made_on=MADE_ON))
    assert {s.bus for s in lineup.stops} == {"MCC-31"} and lineup.title == "MCC-31"
    area = asked(lambda s: round_of(s, Which(area="Woodyard"), made_on=MADE_ON), area="Woodyard")
    assert {s.area for s in area.stops} == {"Woodyard"}


@pytest.mark.parametrize(
    ("which", "says"),
    [(Which(bus="MCC-9"), "there is no bus 'MCC-9'"), (Which(selected=lambda _: ()), "there is nothing to ask here")],
)
def test_a_round_of_nothing_is_refused(asked, which, says):
    with pytest.raises(StartrollError, match=says):
        asked(lambda opened: round_of(opened, which, made_on=MADE_ON))
