import sqlite3

import pytest
from sqlite_utils import Database

from register.facts.assumptions import load_assumptions
from register.facts.build import refresh
from register.resources import rules_folder
from register.store.database import create, opened

SITE = {
    "site": "Low Mill",
    "practice": "us",
    "site_frequency_hz": 60.0,
    "site_altitude_m": 250.0,
    "site_ambient_c": 38.0,
}

PLANT = """
INSERT INTO bus (bus, bus_voltage_v) VALUES ('MCC-1', 480), ('MCC-2', 480);
INSERT INTO position (tag, area, bus, criticality) VALUES
    ('P-1', 'wet end', 'MCC-1', 'critical'), ('P-2', 'wet end', 'MCC-1', NULL),
    ('P-3', 'dry end', 'MCC-2', 'ordinary'), ('P-4', NULL, NULL, NULL);
INSERT INTO motor (motor, tag, power_kw, motor_voltage_v, fla_a, phases, poles, speed_rpm) VALUES
    ('m1', 'P-1', 7.457, 460, 12.5, 3, 4, 1755), ('m2', 'P-2', 37.3, 460, 60, NULL, 4, NULL),
    ('m3', NULL, 5.5, NULL, NULL, 3, 2, NULL);
INSERT INTO model (model, device_kind, rated_current_a, derate_above_c, derate_pct_per_c) VALUES
    ('A16', 'soft starter', 16, NULL, 1.5), ('B80', 'across-the-line', 80, 50, NULL);
INSERT INTO device (device, model, tag, device_status) VALUES
    ('d1', 'A16', 'P-1', 'in service'), ('d2', 'B80', 'P-2', NULL),
    ('d3', 'A16', 'P-1', 'scrapped'), ('d4', 'B80', NULL, 'in store');
INSERT INTO setting (device, setting_recorded_on, ramp_s) VALUES
    ('d1', '2024-05-01', 8), ('d1', '2025-02-01', 12), ('d2', '2023-01-01', NULL);
INSERT INTO protection (tag, protection_kind, overload_place) VALUES
    ('P-1', 'inverse-time breaker', 'device');
INSERT INTO record (tag, record_kind, done_on, result) VALUES
    ('P-1', 'bump test', '2025-01-01', 'failed'), ('P-1', 'bump test', '2025-01-01', 'passed'),
    ('P-1', 'bump test', '2019-01-01', 'failed'), ('P-2', 'load test', '2024-01-01', 'not done');
"""


@pytest.fixture(scope="session")
def method():
    folder = rules_folder()
    tables = {}
    if (folder / "tables").is_dir():
        from register.facts.standard_tables import load_tables

        tables = load_tables(folder / "tables")
    return {"tables": tables, "assumptions": load_assumptions(folder / "assumptions.yml")}


@pytest.fixture(scope="session")
def plant_bytes(tmp_path_factory):
    place = tmp_path_factory.mktemp("plant") / "plant.db"
    create(place, SITE)
    raw = sqlite3.connect(place)
    raw.executescript(PLANT)
    raw.close()
    return place.read_bytes()


@pytest.fixture
def path(tmp_path, plant_bytes):
    place = tmp_path / "plant.db"
    place.write_bytes(plant_bytes)
    return place


@pytest.fixture
def db(path):
    with opened(path, write=True) as register:
        yield register


@pytest.fixture
def fact(method):
    """One value of the facts, freshly built."""

    def look(db, tag, name, **how):
        refresh(db, **method, **how)
        row = db.conn.execute(f"SELECT {name} FROM facts WHERE tag = ?", (tag,)).fetchone()
        return row and row[0]

    return look


@pytest.fixture
def whole(method):
    """All facts and gaps as a build from nothing would make them, from a copy of the register."""

    def build(db):
        copy = sqlite3.connect(":memory:", isolation_level=None)
        db.conn.backup(copy)
        copy.execute("DELETE FROM facts_state")
        refresh(Database(copy), **method)
        return contents(copy)

    return build


@pytest.fixture
def contents_of():
    return contents


def contents(conn):
    """The facts and gaps that stand in a register, without the numbers given to reasons."""
    facts = conn.execute("SELECT * FROM facts ORDER BY tag")
    kept = [i for i, (name, *_) in enumerate(facts.description) if name != "gap_reasons"]
    rows = [tuple(row[i] for i in kept) for row in facts]
    return rows, sorted(conn.execute("SELECT tag, column_name, fields, note FROM gap"))
