"""What is known of a bus and of a device in store, and which fields are behind what is not."""

from datetime import date

import pytest

from register.audit.findings import opened_verdict, unknowns
from register.audit.judge import run
from register.errors import StartrollError
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Outcome
from register.store.database import create, opened, writing

PACK = load_pack()
TODAY = date(2026, 11, 25)
FEEDER = "line-protection/feeder-protection-within"
SHELF = "lifecycle/spare-shelf-life"
PLACE = "lifecycle/spare-has-a-place"

# NFPA 70, Annex D, example D8 with squirrel-cage motors: 25 hp of 34 A and two of 30 hp, 40 A;
# inverse-time breakers of 250 % (430.52): 85 → 90 A and 100 A. 100 + 34 + 40 = 174 A (430.62(A)).
MOTORS = {"P-1": 18.65, "P-2": 22.38, "P-3": 22.38}


@pytest.fixture
def path(tmp_path):
    made = tmp_path / "plant.db"
    create(made, {"site": "Oldmarrow Works", "practice": "us", "site_frequency_hz": 60.0})
    sqls = [
        "INSERT INTO bus (bus, bus_voltage_v, main_breaker_pickup_a, bus_rating_a, feeder_ampacity_a)"
        " VALUES ('MCC-1', 480, 174, 600, 100)",
        "INSERT INTO model (model, device_kind) VALUES ('V1', 'drive'), ('V2', 'drive')",
        "INSERT INTO device (device, model, device_status, stored_since) VALUES"
        " ('S1', 'V1', 'in store', '2021-01-01'), ('S2', 'V2', 'in store', '2026-01-01')",
    ]
    for tag, kw in MOTORS.items():
        sqls += [
            f"INSERT INTO position (tag, bus) VALUES ('{tag}', 'MCC-1')",
            "INSERT INTO motor (motor, tag, power_kw, motor_voltage_v, phases, speed_rpm, poles,"
            " motor_frequency_hz, design_letter)"
            f" VALUES ('M{tag}', '{tag}', {kw}, 460, 3, 1770, 4, 60, 'B')",
            f"INSERT INTO protection (tag, protection_kind) VALUES ('{tag}', 'inverse-time breaker')",
            f"INSERT INTO device (device, model, tag) VALUES ('D{tag}', 'V1', '{tag}')",
        ]
    with opened(made, write=True) as db, writing(db, reason="walk", author="rk"):
        for sql in sqls:
            db.conn.execute(sql)
    return made


def audited(path, *edits):
    with opened(path, write=True) as db:
        with writing(db, reason="edit", author="rk"):
            for sql in edits:
                db.conn.execute(sql)
        audit = run(db, PACK, today=TODAY)
        row = next(db.query("SELECT * FROM bus_facts"))
        return audit, row, unknowns(db, audit)


def test_a_lineup_s_limit_is_that_of_its_motors(path):
    audit, row, _ = audited(path)
    assert (row["bus_positions"], row["feeder_limit_a"], row["feeder_limit_known_a"]) == (3, 174, 174)
    assert audit.outcome("MCC-1", FEEDER) is Outcome.PASSED
    audit, _, _ = audited(path, "UPDATE bus SET main_breaker_pickup_a = 175")
    assert audit.outcome("MCC-1", FEEDER) is Outcome.FAILED


def test_an_unknown_motor_leads_to_its_field_and_its_position(path):
    audit, row, open_ones = audited(path, "UPDATE protection SET protection_kind = NULL WHERE tag = 'P-2'")
    # Without P-2: 100 + 34 = 134 A for certain.
    assert (row["feeder_limit_a"], row["feeder_limit_known_a"]) == (None, 134)
    (unknown,) = [u for u in open_ones if u.rule == FEEDER]
    assert (unknown.tag, unknown.subject) == ("MCC-1", "bus")
    assert unknown.fields == ("protection_kind",)
    assert unknown.elsewhere == {"protection_kind": ("P-2",)}
    audit, _, _ = audited(path, "UPDATE bus SET main_breaker_pickup_a = 134")
    assert audit.outcome("MCC-1", FEEDER) is Outcome.PASSED


def test_a_position_of_unknown_bus_may_stand_on_any(path):
    _, row, open_ones = audited(
        path, "INSERT INTO position (tag) VALUES ('P-9')", "UPDATE bus SET main_breaker_pickup_a = 200"
    )
    assert (row["bus_positions"], row["feeder_limit_a"], row["feeder_limit_known_a"]) == (3, None, 174)
    (unknown,) = [u for u in open_ones if u.rule == FEEDER]
    assert unknown.elsewhere == {"bus": ("P-9",)}


def test_a_verdict_of_a_lineup_rests_on_the_stand_ins_of_its_motors(path):
    sentence = "phases: the motor has three phases"
    audit, _, _ = audited(path)
    assert sentence not in audit.stand_ins("MCC-1", PACK.rule(FEEDER))
    audit, _, _ = audited(path, "UPDATE motor SET phases = NULL WHERE tag = 'P-3'")
    assert audit.outcome("MCC-1", FEEDER) is Outcome.PASSED
    assert audit.is_provisional("MCC-1", FEEDER)
    assert sentence in audit.stand_ins("MCC-1", PACK.rule(FEEDER))


def test_a_stored_drive_ages_until_it_is_formed_anew(path):
    audit, _, open_ones = audited(path)
    assert audit.outcome("S2", SHELF) is Outcome.PASSED
    assert audit.outcome("S1", SHELF) is Outcome.CANT_TELL
    (unknown,) = [u for u in open_ones if (u.rule, u.tag) == (SHELF, "S1")]
    assert unknown.fields == ("last_powered_on",)
    for day, outcome in (("2021-01-01", Outcome.FAILED), ("2026-01-01", Outcome.PASSED)):
        audit, _, _ = audited(path, f"UPDATE device SET last_powered_on = '{day}' WHERE device = 'S1'")
        assert audit.outcome("S1", SHELF) is outcome


def test_a_spare_without_a_place_and_one_whose_place_nobody_has_identified(path):
    audit, _, _ = audited(path)
    assert audit.outcome("S1", PLACE) is Outcome.PASSED
    assert audit.outcome("S2", PLACE) is Outcome.FAILED
    audit, _, open_ones = audited(
        path,
        "INSERT INTO model (model, device_kind) VALUES ('unidentified model at P-2', 'drive')",
        "UPDATE device SET model = 'unidentified model at P-2' WHERE tag = 'P-2'",
    )
    assert audit.outcome("S2", PLACE) is Outcome.CANT_TELL
    (unknown,) = [u for u in open_ones if u.rule == PLACE]
    assert unknown.elsewhere == {"model": ("P-2",)}
    # One of another kind cannot be of that model.
    audit, _, _ = audited(path, "UPDATE model SET device_kind = 'soft starter' WHERE model LIKE 'unidentified%'")
    assert audit.outcome("S2", PLACE) is Outcome.FAILED


def test_every_open_verdict_of_a_bus_or_spare_names_a_field(path):
    _, _, open_ones = audited(path)
    assert {u.subject for u in open_ones} >= {"position", "bus"}
    assert all(u.fields for u in open_ones)


def test_a_bus_opened_tells_its_values_and_where_they_came_from(path):
    with opened(path, write=True) as db:
        audit = run(db, PACK, today=TODAY)
        told = opened_verdict(db, audit, "MCC-1", FEEDER)
        assert told.subject == "bus" and told.place["bus"] == "MCC-1"
        origins = {value.column: value.origin for value in told.values}
        assert "protection_kind" in origins["feeder_limit_a"]
        with pytest.raises(StartrollError, match="no bus 'P-1'"):
            opened_verdict(db, audit, "P-1", FEEDER)


def test_some_positions_are_judged_without_buses_and_spares(path):
    with opened(path, write=True) as db:
        audit = run(db, PACK, today=TODAY, tags=["P-1"])
    assert [table.subject for table in audit.tables] == ["position"]
