"""Sheets and registers that were damaged: told with place and remedy, or taken for what is sound in them.

Never a traceback, never a process that dies or hangs, never more than 1 GiB; the register stays whole.
"""

import random
import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from damage import damaged
from on_trial import SHARE, trials
from sound_end import check_whole_or_as_made, sound

DATA = Path(__file__).parent / "data"
DAY = ("--today", "2026-11-25")


@pytest.mark.parametrize("sheet", ["list.csv", "list.xlsx", "list.ods", "list.xls"])
@pytest.mark.parametrize("part", range(4 if SHARE else 1))
def test_a_damaged_sheet(sheet, part, empty, tmp_path, room, tally):
    data = (DATA / sheet).read_bytes()
    path, register = tmp_path / sheet, tmp_path / "plant.db"
    for number in range(trials(1, 625)):
        chance = random.Random(f"{sheet} {part} {number}")
        register.write_bytes(empty[1])
        path.write_bytes(damaged(data, chance))
        ended = room.tried(["take-in", path, "--reason", "list", "--by", "rk", "-r", register])
        sound(ended, {0, 2}, f"{sheet} {part} {number}")
        check_whole_or_as_made(register, empty)
        tally(f"damaged sheets ({path.suffix[1:]})")


@pytest.mark.parametrize("cut", [slice(0, 7000), slice(0, 600)])
def test_a_torn_xls_is_told_as_one(cut, empty, tmp_path, room):
    """At 7000 bytes the reader panics, which is no Exception and writes to the terminal by itself."""
    (tmp_path / "list.xls").write_bytes((DATA / "list.xls").read_bytes()[cut])
    ended = room.tried(["take-in", tmp_path / "list.xls", "-r", shutil.copy(empty[0], tmp_path)])
    sound(ended, {2}, "torn")
    assert re.search(r"no sound (workbook|list) \(", ended.err) and "panicked" not in ended.err, ended.told


COMMANDS = (
    ("audit", *DAY),
    ("positions",),
    ("show", "C-002"),
    ("history", "C-002"),
    ("correct", "C-002", "fla_a", "41.2", "--reason", "read", "--by", "rk"),
)


@pytest.mark.parametrize("part", range(4 if SHARE else 1))
def test_a_corrupt_register(part, small, tmp_path, room, tally):
    """Whatever bytes it holds, it is refused with a cause or read; what is asked for first is whether it fits."""
    data = small.read_bytes()
    for number in range(trials(1, 125)):
        chance = random.Random(f"register {part} {number}")
        path = tmp_path / "plant.db"
        path.write_bytes(corrupt(data, chance))
        Path(f"{path}-journal").unlink(missing_ok=True)
        for command in (("verify", path), (*chance.choice(COMMANDS), "-r", path)):
            sound(room.tried(command), {0, 1, 2, 3, 5}, f"register {part} {number} {command[0]}")
        tally("corrupt registers")


def corrupt(data: bytes, chance: random.Random) -> bytes:
    made = bytearray(data)
    for _ in range(chance.choice([1, 3, 20])):
        at = chance.randrange(100 if chance.random() < 0.15 else len(made))
        made[at : at + chance.choice([1, 4, 64])] = chance.randbytes(chance.choice([1, 4, 64]))
    return bytes(made[: chance.randrange(len(made))]) if chance.random() < 0.1 else bytes(made)


SPOILT = (
    "UPDATE {table} SET {column} = 9e999",
    "UPDATE {table} SET {column} = -1e300",
    "UPDATE {table} SET {column} = '[/] \x1b[2J \u202e'",
    "UPDATE {table} SET {column} = x'00ff'",
    "UPDATE {table} SET {column} = ''",
    "UPDATE {table} SET {column} = char(0) || 'a'",
)


@pytest.mark.parametrize("part", range(2 if SHARE else 1))
def test_values_of_another_program(part, small, tmp_path, room, tally):
    with closing(sqlite3.connect(small)) as db:
        places = [
            (table, row[1])
            for table in ("position", "motor", "device", "model", "setting", "protection", "record", "bus", "site")
            for row in db.execute(f"PRAGMA table_info({table})")
        ]
    done = 0
    for number in range(trials(2, 125)):
        chance = random.Random(f"values {part} {number}")
        path = Path(shutil.copy(small, tmp_path / "plant.db"))
        with closing(sqlite3.connect(path, isolation_level=None)) as db:
            db.execute("PRAGMA ignore_check_constraints = ON")
            table, column = chance.choice(places)
            try:
                db.execute(chance.choice(SPOILT).format(table=table, column=column) + " WHERE rowid % 3 = 0")
            except sqlite3.Error:
                continue  # the table itself refuses it
        command = (*chance.choice(COMMANDS), "-r", path)
        sound(room.tried(command), {0, 1, 2, 3, 5}, f"values {part} {number} {table}.{column} {command[0]}")
        done += 1
    tally("registers with values of another program", done)


HISTORY = (
    "UPDATE change SET after = after || ' ' WHERE change_id = {id}",
    "UPDATE change SET before = 'x' WHERE change_id = {id}",
    "UPDATE change SET tag = 'P-1' WHERE change_id = {id}",
    "UPDATE change SET at = '2020-01-01T00:00:00Z' WHERE change_id = {id}",
    "DELETE FROM change WHERE change_id = {id}",
    "UPDATE change_set SET reason = reason || '.' WHERE change_set = {set}",
    "UPDATE change_set SET author = 'nobody' WHERE change_set = {set}",
    "UPDATE change_seal SET seal = replace(seal, substr(seal, 3, 1), 'g') WHERE change_set = {set}",
    "UPDATE change_seal SET through = through - 1 WHERE change_set = {set}",
)


def test_a_history_that_was_altered(small, tmp_path, room, tally):
    with closing(sqlite3.connect(small)) as db:
        ids = [row[0] for row in db.execute("SELECT change_id FROM change")]
    for number in range(trials(3, 300)):
        chance = random.Random(f"history {number}")
        path = Path(shutil.copy(small, tmp_path / "plant.db"))
        with closing(sqlite3.connect(path, isolation_level=None)) as db:
            for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
                if "change" in name:
                    db.execute(f"DROP TRIGGER {name}")
            sql = chance.choice(HISTORY).format(id=chance.choice(ids), set=1)
            if not db.execute(sql).rowcount:
                continue
        with closing(sqlite3.connect(path)) as db, closing(sqlite3.connect(small)) as was:
            same = all(
                db.execute(f"SELECT * FROM {t}").fetchall() == was.execute(f"SELECT * FROM {t}").fetchall()
                for t in ("change", "change_set", "change_seal")
            )
        if not same:
            sound(room.tried(["verify", path]), {5}, f"history {number} {sql}")
            tally("histories altered")
