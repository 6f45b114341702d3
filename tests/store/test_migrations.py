"""The register's form: frozen steps, the dictionary they lead to, and every old register brought up to date."""

import gzip
import json
import sqlite3
from pathlib import Path

import new_step
import pytest
from sqlite_utils import Database

from register.columns import TABLES
from register.columns.model import choice, text
from register.columns.renamed import VALUES
from register.errors import RegisterNewer
from register.store import migrations
from register.store.database import backup, create, opened, writing
from register.store.identity import register_id
from register.store.migrations import VERSION, bring_up, statements, step_files
from register.store.views import VIEWS

DATA = Path(__file__).parent / "data"
OLD = sorted(DATA.glob("made-by-*.db.gz"))
REMEDY = "run .venv/bin/python docs/new_step.py NAME (an unreleased step: delete it first)"


def form(path):
    """The text of every table, index, trigger and view, as SQLite keeps it."""
    connection = sqlite3.connect(path)
    found = dict(connection.execute("SELECT type || ' ' || name, sql FROM sqlite_schema"))
    connection.close()
    return found


@pytest.fixture
def new(tmp_path):
    path = tmp_path / "new.db"
    create(path, {"site": "Oldmarrow Works", "practice": "us"})
    return path


@pytest.fixture(params=OLD, ids=lambda path: path.name)
def old(request, tmp_path):
    path = tmp_path / "old.db"
    path.write_bytes(gzip.decompress(request.param.read_bytes()))
    return path


def test_the_steps_lead_to_the_dictionary():
    assert new_step.differences() == [], REMEDY


def test_the_newest_step_knows_the_views_and_triggers():
    assert step_files()[-1].read_text("utf-8").splitlines()[-1] == new_step.fingerprint(), REMEDY


def test_an_old_register_brought_up_to_date_is_a_new_one(new, old):
    assert VERSION >= 4
    assert form(new) != form(old)
    with opened(old, write=True):
        pass
    assert form(new) == form(old)


def test_from_every_form_there_ever_was(new, tmp_path, monkeypatch):
    steps = step_files()
    for count in range(1, len(steps)):
        path = tmp_path / f"form{count}.db"
        with monkeypatch.context() as then:
            then.setattr(migrations, "step_files", lambda count=count: steps[:count])
            then.setattr(migrations, "VERSION", count)
            create(path, {"site": "Oldmarrow Works", "practice": "us"})
        with opened(path, write=True) as db:
            ran = [row["name"] for row in db.query("SELECT name FROM _sqlite_migrations ORDER BY id")]
        assert ran == [step.stem for step in steps]
        assert form(path) == form(new)


def test_every_step_is_in_the_history_of_the_register_it_changed(old):
    with opened(old, write=True) as db:
        before = db["change"].count
        with writing(db, reason="read on the door", author="rk"):
            db.conn.execute("UPDATE position SET cubicle = '3B' WHERE tag = 'P-113'")
            db.conn.execute("UPDATE motor SET frame = '160M' WHERE motor = 'P581699-67'")
        made = list(db.query("SELECT * FROM change WHERE change_id > ? ORDER BY change_id", [before]))
    assert [json.loads(change["after"]) for change in made] == [{"cubicle": "3B"}, {"frame": "160M"}]
    assert [json.loads(change["before"]) for change in made] == [{"cubicle": None}, {"frame": None}]


# The words of closed lists that have another name now; the history keeps what was entered.
WORDS = {old: new for words in VALUES.values() for old, new in words.items()}


def test_the_rows_and_the_history_of_an_old_register_are_all_there(old):
    def rows(db):
        kept = [
            *TABLES,
            "change",
            "change_set",
            "blank",
            "found",
            "source_row",
            "audit",
            "verdict",
            "finding",
            "content",
        ]
        return {table: db.execute(f"SELECT * FROM {table}").fetchall() for table in kept}

    connection = sqlite3.connect(old)
    before = rows(connection)
    connection.close()
    with opened(old, write=True) as db:
        after = rows(db)
    assert before["change"] and before["audit"] and before["concession"] and before["action"]
    for table, earlier in before.items():
        words = WORDS if table == "setting" else {}
        now = [tuple(words.get(value, value) for value in row) for row in earlier]
        assert [row[: len(earlier[0])] for row in after[table]] == now, table


def test_a_look_at_an_old_register_reads_it_and_leaves_it_as_it_was(old):
    before = old.read_bytes()
    with opened(old) as db:
        assert db["position"].count == 25
        assert db.execute("SELECT count(*) FROM positions_overview").fetchone() == (25,)
    assert old.read_bytes() == before


def test_a_step_that_breaks_off_leaves_the_register_as_it_was(old, tmp_path, monkeypatch):
    bad = tmp_path / "999_bad.sql"
    bad.write_text("ALTER TABLE site ADD COLUMN owner TEXT;\nALTER TABLE nowhere ADD COLUMN a TEXT;\n")
    before = form(old)
    with monkeypatch.context() as now:
        now.setattr(migrations, "step_files", lambda: [*step_files(), bad])
        with pytest.raises(Exception, match="nowhere"), opened(old, write=True):
            pass
    assert form(old) == before


def test_what_a_user_made_in_the_register_stays(old):
    connection = sqlite3.connect(old)
    connection.execute("CREATE VIEW my_pumps AS SELECT tag FROM position WHERE load_kind LIKE '%pump'")
    connection.close()
    with opened(old, write=True) as db:
        assert db.execute("SELECT count(*) FROM my_pumps").fetchone()[0] > 0


def test_a_program_of_an_earlier_version_refuses_a_newer_form(new, monkeypatch):
    monkeypatch.setattr("register.store.database.VERSION", 1)
    with pytest.raises(RegisterNewer, match=f"form {VERSION}; this program knows 1"), opened(new):
        pass


# The helper that writes the next step.


@pytest.fixture
def grown(monkeypatch):
    """The dictionary with a new column, a longer closed list, and a new table."""
    site, event = TABLES["site"], TABLES["event"]
    owner = text("owner", "who owns the plant")
    longer = choice("failure_mode", "|".join([*event.column("failure_mode").choices, "NEW"]), "failure mode")
    events = [longer if c.name == "failure_mode" else c for c in event.columns]
    monkeypatch.setitem(TABLES, "site", site.__class__("site", "", site.key, (*site.columns, owner)))
    monkeypatch.setitem(TABLES, "event", event.__class__("event", "", event.key, tuple(events)))
    monkeypatch.setitem(TABLES, "crane", site.__class__("crane", "", ("owner",), (owner,)))


def test_the_next_step_is_what_the_dictionary_has_and_the_steps_have_not(grown, old, tmp_path, monkeypatch):
    step = tmp_path / "900_grown.sql"
    connection = sqlite3.connect(old)
    connection.execute("INSERT INTO event (tag, happened_on, failure_mode) VALUES ('P-113', '2026-11-20', 'STP')")
    connection.commit()
    connection.close()
    step.write_text(new_step.step_text("grown", new_step.differences()))
    assert {"ALTER", "CREATE", "INSERT", "DROP"} <= {sql.split()[0] for sql in statements(step.read_text())}
    steps = [*step_files(), step]
    for module in (migrations, new_step):
        monkeypatch.setattr(module, "step_files", lambda: steps)
    monkeypatch.setattr(migrations, "VERSION", len(steps))
    monkeypatch.setattr("register.store.database.VERSION", len(steps))
    assert new_step.differences() == []
    with opened(old, write=True) as db:
        assert ("STP",) in db.execute("SELECT failure_mode FROM event").fetchall()
        assert {i.name for i in db["event"].indexes} == {"event_by_tag"}
        db.conn.execute("UPDATE event SET failure_mode = 'NEW'")
        assert db.execute("SELECT after FROM change ORDER BY change_id DESC").fetchone() == ('{"failure_mode":"NEW"}',)
        assert not db.execute("PRAGMA foreign_key_check").fetchall()


def test_a_column_that_left_the_dictionary_is_pointed_out(monkeypatch):
    site = TABLES["site"]
    monkeypatch.setitem(TABLES, "site", site.__class__("site", "", site.key, site.columns[:-1]))
    assert any("site.time_zone" in line and "by hand" in line for line in new_step.differences())


# The views.


def test_eight_views_each_with_a_sentence_and_none_broken(old):
    assert len(VIEWS) == 8
    db = Database(memory=True)
    bring_up(db)
    with opened(old, write=True) as full:
        for view in VIEWS:
            names = [column.name for column in full.view(view.name).columns]
            assert len(names) == len(set(names)), view.name
            assert db.execute(f"SELECT count(*) FROM {view.name}").fetchone()[0] == 0, view.name


def test_the_views_say_what_the_tables_hold(old):
    with opened(old, write=True) as db:
        motors = {row["tag"]: row["motor"] for row in db.view("positions_overview").rows}
        assert motors == dict(
            db.execute("SELECT tag, (SELECT motor FROM motor WHERE tag = p.tag) FROM position AS p").fetchall()
        )
        # Audit 3 has 15 findings, one of them under a concession in force.
        findings = list(db.view("findings_open").rows)
        assert len(findings) == 14 and all(row["sentence"] for row in findings)
        assert "bypass/critical-has-way-round" not in {row["rule"] for row in findings}
        assert [row["assigned_to"] for row in findings if row["due_on"]] == ["L. Aas"]
        last = {(row["tag"], row["record_kind"]): row["done_on"] for row in db.view("records_latest").rows}
        assert last == {
            (tag, kind): day
            for tag, kind, day in db.execute("SELECT tag, record_kind, max(done_on) FROM record GROUP BY 1, 2")
        }
        moved = [row for row in db.view("history_plain").rows if row["column_name"] == "tag"]
        assert [(row["value_before"], row["value_after"], row["reason"]) for row in moved] == [
            ("P-113", None, "to the workshop")
        ]
        db.conn.execute("UPDATE model SET lifecycle = 'withdrawn', successor = 'X' WHERE lifecycle = 'current'")
        withdrawn = {row["model"]: row for row in db.view("models_withdrawn").rows}
        installed = db.execute("SELECT model, count(*) FROM device WHERE tag IS NOT NULL GROUP BY model").fetchall()
        assert {model: row["positions"] for model, row in withdrawn.items()} == dict(installed)


# The register's own number.


def test_every_register_has_a_number_of_its_own_and_its_copy_the_same(new, tmp_path):
    other = tmp_path / "other.db"
    create(other, {"site": "Oldmarrow Works", "practice": "us"})
    backup(new, tmp_path / "copy.db")
    numbers = []
    for path in (new, other, tmp_path / "copy.db"):
        with opened(path) as db:
            numbers.append(register_id(db))
    assert numbers[0] == numbers[2] != numbers[1]


def test_two_copies_of_an_old_register_get_the_same_number(old, tmp_path):
    copy = tmp_path / "copy.db"
    copy.write_bytes(old.read_bytes())
    with opened(old, write=True) as first, opened(copy, write=True) as second:
        assert register_id(first) == register_id(second)
    with opened(copy) as second:
        assert register_id(second).startswith("since 2026-")
