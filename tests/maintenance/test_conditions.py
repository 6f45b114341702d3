"""What a condition is based on: entered goes before the lineup's, that before a proposal; the worst governs."""

from datetime import date

import pytest
from years_plant import edit

from register.maintenance.conditions import conditions, conditions_of
from register.maintenance.model import ENTERED, OF_LINEUP, PROPOSED, UNKNOWN
from register.maintenance.places import Place
from register.store.database import create, opened

TODAY = date(2026, 11, 25)
BARE = dict.fromkeys(
    [
        "tag",
        "area",
        "bus",
        "physical_condition",
        "criticality_condition",
        "environment_condition",
        "bus_physical_condition",
        "bus_criticality_condition",
        "bus_environment_condition",
        "criticality",
        "service_kind",
        "device_place",
        "ambient_c",
        "hazardous_area",
        "device",
        "device_status",
        "device_installed_on",
        "made_on",
        "device_kind",
        "life_years",
    ]
) | {"tag": "P-1"}
GOOD = {"made_on": "2020-01-01", "life_years": 15.0, "device_place": "indoor", "criticality": "ordinary"}
LOOKED = {"visual inspection": [("2026-05-01", "passed")]}


def _of(records=None, events=(), majors=(), **values):
    place = Place(BARE | values, records or {}, list(events), tuple(majors), "audit 1 of 2026-01-01")
    return conditions_of(place, TODAY)


def test_the_worst_governs_once_it_is_known():
    assert _of(LOOKED, **GOOD).governing == 1
    assert _of(LOOKED, **GOOD | {"criticality": "critical"}).governing == 3
    unknown = _of(LOOKED, **GOOD | {"criticality": None})
    assert (unknown.governing, unknown.possible, unknown.read) == (None, (1, 2, 3), ("criticality",))
    worst = _of(LOOKED, **GOOD | {"criticality": None, "device_place": "washdown"})
    assert (worst.possible, worst.governing, worst.read) == ((3,), 3, ())


def test_entered_goes_first_then_the_lineups_then_a_proposal():
    each = _of(LOOKED, **GOOD, physical_condition="2", bus_physical_condition="3").each[0]
    assert (each.value, each.how) == (2, ENTERED)
    each = _of(LOOKED, **GOOD, bus_physical_condition="3").each[0]
    assert (each.value, each.how) == (3, OF_LINEUP)
    each = _of(LOOKED, **GOOD).each[0]
    assert (each.value, each.how) == (1, PROPOSED)


@pytest.mark.parametrize(
    ("given", "value", "basis"),
    [
        ({"records": {"trip test": [("2024-01-01", "failed"), ("2026-01-01", "failed")]}}, 3, "trip test failed twice"),
        ({"records": {"trip test": [("2026-01-01", "failed")]}}, 2, "trip test failed on 2026-01-01"),
        ({"events": [("2025-06-01", "UST")]}, 2, "UST on 2025-06-01"),
        ({"events": [("2024-11-24", "UST")]}, 1, "within its life"),  # a day over two years ago
        ({"events": [("2025-06-01", "VIB")]}, 1, "within its life"),
        ({"made_on": "2011-11-24"}, 2, "older than its life of 15 years"),
        ({"made_on": "2011-11-25"}, 1, "within its life"),
        ({"majors": ["overload/present"]}, 2, "overload/present"),
    ],
)
def test_what_a_physical_condition_is_proposed_from(given, value, basis):
    given = dict(given)
    records = LOOKED | given.pop("records", {})
    events, majors = given.pop("events", ()), given.pop("majors", ())
    each = _of(records, events, majors, **GOOD | given).each[0]
    assert each.value == value and basis in each.basis and each.how == PROPOSED


@pytest.mark.parametrize(
    ("records", "values", "read"),
    [
        ({}, {}, "physical_condition"),
        (LOOKED, {"life_years": None}, "life_years"),
        (LOOKED, {"made_on": None}, "made_on"),
    ],
)
def test_condition_1_is_never_proposed_of_what_nobody_looked_at(records, values, read):
    each = _of(records, **GOOD | values).each[0]
    assert (each.value, each.how, each.read) == (None, UNKNOWN, read)


def test_place_and_service():
    assert [_of(**GOOD | {"device_place": p}).each[2].value for p in ("indoor", "outdoor", "washdown")] == [1, 2, 3]
    assert _of(**GOOD | {"ambient_c": 41.0}).each[2].value == 2
    assert _of(**GOOD | {"device_place": None, "hazardous_area": "yes"}).each[2].value == 3
    assert _of(**GOOD | {"service_kind": "fire pump"}).each[1].value == 3


LINEUP = dict.fromkeys(BARE) | {"tag": "MCC-1", "bus": "MCC-1", "main_kind": "breaker"}


def _lineup(records=None, majors=(), fed=(), serves=(), **values):
    below = tuple(Place(BARE | one, {}, [], (), "") for one in fed)
    place = Place(
        LINEUP | values, records or {}, [], tuple(majors), "audit 1 of 2026-01-01", "bus", below, tuple(serves)
    )
    return conditions_of(place, TODAY)


def test_a_lineups_own_conditions_are_entered_and_not_inherited():
    made = _lineup(bus_physical_condition="1", bus_criticality_condition="2", bus_environment_condition="1")
    assert made.tag == "bus MCC-1" and (made.governing, made.proposed) == (2, False)
    assert {each.how for each in made.each} == {ENTERED}


def test_the_state_of_a_lineup_is_proposed_from_its_own_records_and_never_as_good():
    assert _lineup(LOOKED).each[0].read == "bus_physical_condition"  # no column has its age
    assert _lineup({"cleaning": [("2026-01-01", "failed")]}).each[0].value == 2
    assert _lineup({"cleaning": [("2025-01-01", "failed"), ("2026-01-01", "failed")]}).each[0].value == 3
    assert _lineup(majors=["line-protection/main"]).each[0].value == 2


@pytest.mark.parametrize(
    ("serves", "value"),
    [
        ([("ordinary", "process"), ("essential", None)], 2),
        ([("ordinary", "process"), ("critical", "process")], 3),
        ([(None, "process"), ("critical", "process")], 3),  # none can be worse
        ([(None, "process"), ("ordinary", "process")], None),
        ([("ordinary", "fire pump")], 3),
        ([], None),
    ],
)
def test_a_lineup_is_as_critical_as_the_worst_that_it_serves(serves, value):
    assert _lineup(serves=serves).each[1].value == value


@pytest.mark.parametrize(
    ("places", "value", "read"),
    [
        (["indoor", "indoor dusty"], 2, ""),
        (["indoor", None], None, "device_place"),
        ([None, "washdown"], 3, ""),
        ([], None, "bus_environment_condition"),
    ],
)
def test_the_environment_of_a_lineup_is_the_worst_of_its_devices(places, value, read):
    each = _lineup(fed=[{"device_place": place} for place in places]).each[2]
    assert (each.value, each.read) == (value, read)


def test_what_a_lineup_below_serves_counts_for_the_one_above(tmp_path):
    path = tmp_path / "r.db"
    create(path, {"site": "Oldmarrow Works", "practice": "us"})
    edit(
        path,
        "INSERT INTO bus (bus, fed_from) VALUES ('SB', NULL), ('MCC-1', 'SB'), ('MCC-2', 'MCC-1')",
        "UPDATE bus SET fed_from = 'MCC-2' WHERE bus = 'SB'",  # a ring: nobody may enter it, and it must end
        "INSERT INTO position (tag, bus, criticality) VALUES ('P-1', 'MCC-1', 'ordinary'), ('P-2', 'MCC-2', 'critical')",
    )
    with opened(path) as db:
        found = {one.tag: one.each[1].value for one in conditions(db, today=TODAY)}
    assert found == {"bus SB": 3, "bus MCC-1": 3, "bus MCC-2": 3, "P-1": 1, "P-2": 3}
