"""The schema read from the bytes of a file, against SQLite's own reading of it; triggers that do nothing in a copy."""

import random
import sqlite3
from contextlib import closing

import pytest
from sample_plant import Sample

from register.store import form_check
from register.store.schema_pages import _rows, quiet

SCHEMA = "SELECT type, name, tbl_name, sql FROM sqlite_schema"


@pytest.fixture(scope="module")
def data(tmp_path_factory):
    return Sample("small-plant", tmp_path_factory.mktemp("schema")).path.read_bytes()


def loaded(data):
    connection = sqlite3.connect(":memory:", isolation_level=None)
    connection.deserialize(bytes(data))
    return closing(connection)


def tables(connection):
    names = [name for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY 1")]
    return {name: connection.execute(f"SELECT * FROM {name}").fetchall() for name in names}


def changed(data, *statements):
    with loaded(data) as connection:
        for statement in statements:
            connection.execute(statement)
        return connection.serialize()


@pytest.mark.parametrize("page", [512, 1024, 4096, 65536])
def test_the_schema_is_read_as_sqlite_reads_it(data, page, tmp_path):
    path = tmp_path / "paged.db"
    path.write_bytes(data)
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute(f"PRAGMA page_size = {page}")
        connection.execute("VACUUM")
    of_size = path.read_bytes()
    assert int.from_bytes(of_size[16:18], "big") == {65536: 1}.get(page, page)
    with loaded(of_size) as connection:
        expected = {(kind, name, table, sql or "") for kind, name, table, sql in connection.execute(SCHEMA)}
    assert {(row.kind, row.name, row.table, row.sql) for row in _rows(of_size)} == expected


def test_the_copy_says_the_same_and_its_triggers_do_nothing(data):
    made = quiet(data, form_check.own())
    with loaded(data) as file, loaded(made) as copy:
        assert copy.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert tables(copy) == tables(file)
        triggers = [sql for kind, *_, sql in copy.execute(SCHEMA) if kind == "trigger"]
        assert triggers and all("BEGIN SELECT 1;END/*" in sql for sql in triggers)
        changes = copy.execute("SELECT count(*) FROM change").fetchone()
        copy.execute("UPDATE position SET description = 'otherwise'")
        assert copy.execute("SELECT count(*) FROM change").fetchone() == changes


@pytest.mark.parametrize(
    "statement",
    [
        "DROP TRIGGER position_updated",
        "CREATE TRIGGER theirs AFTER INSERT ON position BEGIN SELECT 1; END",
        "DROP VIEW records_latest",
    ],
)
def test_what_another_program_touched_is_not_taken(data, statement):
    assert quiet(data, form_check.own()) is not None
    assert quiet(changed(data, statement), form_check.own()) is None


def test_a_letter_changed_in_a_trigger_is_seen(data):
    at = data.index(b"CREATE TRIGGER position_updated") + 40
    assert quiet(data[:at] + b"\0" + data[at + 1 :], form_check.own()) is None


def test_another_programs_view_is_none_of_its_business(data):
    assert quiet(changed(data, "CREATE VIEW theirs AS SELECT 1"), form_check.own()) is not None


def test_damage_is_left_to_who_opens_the_file(data):
    """Bytes put wrong at random in the schema's pages: None, or the same rows as SQLite reads in the file."""
    own, chance, taken = form_check.own(), random.Random(7), 0
    pages = sorted({row.at // 4096 for row in _rows(data)} | {0})
    for _ in range(300):
        spoilt = bytearray(data)
        for _ in range(chance.randint(1, 4)):
            spoilt[chance.choice(pages) * 4096 + chance.randrange(4096)] = chance.randrange(256)
        made = quiet(bytes(spoilt), own)
        taken += made is not None
        if made is not None:
            with loaded(spoilt) as file, loaded(made) as copy:
                assert told(copy) == told(file)
    assert 0 < taken < 300
    for length in (0, 50, 100, 4096, 9000):
        assert quiet(data[:length], own) is None


def told(connection):
    """What a reader gets of each table, or that SQLite refuses it."""
    try:
        return [connection.execute(f"SELECT * FROM {name}").fetchall() for name in ("site", "position", "device")]
    except sqlite3.DatabaseError as error:
        return type(error)
