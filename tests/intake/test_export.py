"""Export and intake are each other's inverse; no cell becomes a formula."""

import csv
import tempfile

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from xlsxwriter.packager import Packager

from register import columns
from register.errors import StartrollError
from register.intake.export import export, heading
from register.intake.sheet import read
from register.intake.take_in import plan_intake
from register.store.database import opened, writing
from register.text import neutral

pytest_plugins = ["intake_plant"]

# fmt: off
TROUBLE = ["=1+1", "+49 30 1234", "-spare-", "@home", "'=x", "''-y", "  spaced  ", "two\nlines",
           'quoted "x", comma', "Müller ½", "N/A", "00123", "-5", "1e5", "TRUE", "2026-01-02"]
# fmt: on


def fill(path):
    with opened(path, write=True) as db, writing(db, reason="test"):
        db.conn.execute("INSERT INTO bus (bus, bus_voltage_v) VALUES ('MCC-1', 480)")
        for number, text in enumerate(TROUBLE):
            db.conn.execute(
                "INSERT INTO position (tag, description, bus, altitude_m, load_inertia_kgm2)"
                " VALUES (?, ?, 'MCC-1', -5.5, ?)",
                (f"P-{number}", text, 0.1 + number / 3),
            )
            db.conn.execute("INSERT INTO motor (motor, tag) VALUES (?, ?)", (f"M {number}", f"P-{number}"))
        for _ in range(2):
            db.conn.execute(
                "INSERT INTO record (tag, record_kind, done_on, result)"
                " VALUES ('P-1', 'bump test', '2024-01-02', 'passed')"
            )
        for _ in range(2):
            db.conn.execute(
                "INSERT INTO record (bus, record_kind, done_on, result)"
                " VALUES ('MCC-1', 'thermography', '2024-01-02', 'passed')"
            )
        db.conn.execute("INSERT INTO blank VALUES ('motor', 'M 1', 'fla_a', 'illegible', '2024-01-02', 'x')")
        db.conn.execute("INSERT INTO motor (motor, motor_status) VALUES ('=M99', 'in store')")


@pytest.mark.parametrize("target", ["out.xlsx", "out"])
def test_what_is_exported_is_planned_as_unchanged(plant, target):
    fill(plant.path)
    with opened(plant.path) as db:
        plan = plan_intake(db, read(export(db, plant.folder / target)))
        rows = sum(db[t].count for t in columns.TABLES)
    assert plan.problems() == []
    assert plan.changed == ()
    assert not any(plan.added.values())
    assert sum(plan.unchanged.values()) == rows


@pytest.mark.parametrize("target", ["out.xlsx", "out"])
def test_an_export_fills_an_empty_register_with_the_same(plant, tmp_path_factory, target):
    from intake_plant import Plant

    fill(plant.path)
    with opened(plant.path) as db:
        export(db, plant.folder / target)
    other = Plant(tmp_path_factory.mktemp("other"))
    other.take(plant.folder / target)
    for name, table in columns.TABLES.items():
        names = ", ".join(c.name for c in table.columns)
        query = f"SELECT {names} FROM {name} ORDER BY 1"
        one, two = plant.rows(query), other.rows(query)
        assert len(one) == len(two), name
        for a, b in zip(one, two, strict=True):
            a = {k: None if v == "N/A" else v for k, v in a.items()}  # a note, not a value
            assert a.keys() == b.keys()
            for column, value in a.items():
                exact = not isinstance(value, float)  # a workbook keeps 16 figures of a number
                assert b[column] == (value if exact else pytest.approx(value, rel=1e-15))
    blanks = other.rows("SELECT row_key, reason FROM blank WHERE column_name = 'fla_a'")
    assert blanks == [{"row_key": "M 1", "reason": "illegible"}]


def test_no_exported_text_begins_like_a_formula(plant):
    # OWASP, "CSV Injection": = + - @ tab and carriage return begin a formula.
    fill(plant.path)
    with opened(plant.path) as db:
        folder = export(db, plant.folder / "out")
    for path in folder.glob("*.csv"):
        for row in csv.reader(path.open(encoding="utf-8", newline="")):
            for cell in row:
                if cell[:1] in "=+-@\t\r" and cell:
                    float(cell)


def test_headings_carry_their_unit_and_tell_the_column():
    assert heading(columns.column("fla_a")) == "fla_a [A]"
    assert heading(columns.column("tag")) == "tag"


@given(st.text(max_size=12))
def test_neutralised_text_is_undone(text):
    from register.intake.cells import Manner, read_column

    manner = Manner(columns.column("description"), verbatim=True)
    (got,) = read_column([neutral(text)], manner).values
    assert got == text or got is None


@settings(deadline=None, max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(value=st.floats(1e-5, 1e6, allow_nan=False))
def test_any_number_comes_back_exactly(plant, value, tmp_path_factory):
    path = tmp_path_factory.mktemp("x")
    with opened(plant.path, write=True) as db:
        db.conn.execute("INSERT OR REPLACE INTO position (tag, load_inertia_kgm2) VALUES ('P', ?)", [value])
        for target in ("a.xlsx", "b"):
            plan = plan_intake(db, read(export(db, path / target)))
            assert plan.problems() == []
            assert plan.changed == ()


def test_an_interrupted_export_leaves_nothing_of_the_plant_aside(plant, monkeypatch):
    """Sheets are laid aside while they are written; an interrupt left them in the folder of temporary files."""
    aside = plant.folder / "aside"
    aside.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(aside))
    seen = []

    def interrupted(packing):
        seen.extend(path for path in aside.rglob("*") if path.is_file())
        raise KeyboardInterrupt

    monkeypatch.setattr(Packager, "_create_package", interrupted)
    with opened(plant.path) as db, pytest.raises(KeyboardInterrupt):
        export(db, plant.folder / "out.xlsx")
    assert seen and not list(aside.iterdir()) and not (plant.folder / "out.xlsx").exists()


def test_an_existing_target_is_left_alone(plant):
    (plant.folder / "out.xlsx").write_text("mine")
    with opened(plant.path) as db, pytest.raises(StartrollError, match="something of that name"):
        export(db, plant.folder / "out.xlsx")
    assert (plant.folder / "out.xlsx").read_text() == "mine"
