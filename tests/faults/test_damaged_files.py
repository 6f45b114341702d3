"""Sheets, registers, packs and rules that were damaged: told with place and remedy, or taken for what is sound in them.

Never a traceback, never a process that dies or hangs, never more than 1 GiB; the register stays whole.
"""

import random
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from damage import damaged
from on_trial import SHARE, Ended, trials, tried
from register_state import check_whole, state
from sample_plant import Sample

from register.store.database import create

DATA = Path(__file__).parent / "data"
RULES = Path(__file__).parents[2] / "rules"
DAY = ("--today", "2026-11-25")
MOST_MB, MOST_S = 1024, 60


def sound(ended: Ended, codes: set[int], what: str) -> None:
    assert ended.code in codes, f"{what}: {ended.told}"
    assert "Traceback" not in ended.err + ended.out, f"{what}: {ended.told}"
    assert ended.most_mb < MOST_MB, f"{what}: {ended.most_mb:.0f} MB"
    assert ended.took_s < MOST_S, f"{what}: {ended.took_s:.0f} s"


@pytest.fixture(scope="module")
def empty(tmp_path_factory):
    path = tmp_path_factory.mktemp("empty") / "plant.db"
    create(path, {"site": "Oldmarrow Works", "practice": "iec", "site_frequency_hz": 50})
    return path


@pytest.fixture(scope="session")
def small(tmp_path_factory):
    return Sample("small-plant", tmp_path_factory.mktemp("small")).path


@pytest.mark.parametrize("sheet", ["list.csv", "list.xlsx", "list.ods", "list.xls"])
@pytest.mark.parametrize("part", range(4 if SHARE else 1))
def test_a_damaged_sheet(sheet, part, empty, tmp_path, tally):
    data = (DATA / sheet).read_bytes()
    for number in range(trials(1, 625)):
        chance = random.Random(f"{sheet} {part} {number}")
        path, register = tmp_path / sheet, Path(shutil.copy(empty, tmp_path / "plant.db"))
        path.write_bytes(damaged(data, chance))
        ended = tried(["take-in", path, "--reason", "list", "--by", "rk", "-r", register], tmp_path)
        sound(ended, {0, 2}, f"{sheet} {part} {number}")
        check_whole_or_as_made(register, empty)
        tally(f"damaged sheets ({path.suffix[1:]})")


@pytest.mark.parametrize("cut", [slice(0, 7000), slice(0, 600)])
def test_a_torn_xls_is_told_as_one(cut, empty, tmp_path):
    """At 7000 bytes the reader panics, which is no Exception and writes to the terminal by itself."""
    (tmp_path / "list.xls").write_bytes((DATA / "list.xls").read_bytes()[cut])
    ended = tried(["take-in", tmp_path / "list.xls", "-r", shutil.copy(empty, tmp_path)], tmp_path)
    sound(ended, {2}, "torn")
    assert "no sound workbook" in ended.err and "panicked" not in ended.err, ended.told


def check_whole_or_as_made(register: Path, empty: Path) -> None:
    if state(register) != state(empty):
        check_whole(register)


COMMANDS = (
    ("audit", *DAY),
    ("positions",),
    ("show", "C-002"),
    ("history", "C-002"),
    ("correct", "C-002", "fla_a", "41.2", "--reason", "read", "--by", "rk"),
)


@pytest.mark.parametrize("part", range(4 if SHARE else 1))
def test_a_corrupt_register(part, small, tmp_path, tally):
    """Whatever bytes it holds, it is refused with a cause or read; what is asked for first is whether it fits."""
    data = small.read_bytes()
    for number in range(trials(1, 125)):
        chance = random.Random(f"register {part} {number}")
        path = tmp_path / "plant.db"
        path.write_bytes(corrupt(data, chance))
        Path(f"{path}-journal").unlink(missing_ok=True)
        for command in (("verify", path), (*chance.choice(COMMANDS), "-r", path)):
            sound(tried(command, tmp_path), {0, 1, 2, 3, 5}, f"register {part} {number} {command[0]}")
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
def test_values_of_another_program(part, small, tmp_path, tally):
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
        sound(tried(command, tmp_path), {0, 1, 2, 3, 5}, f"values {part} {number} {table}.{column} {command[0]}")
        done += 1
    tally("registers with values of another program", done)


@pytest.fixture(scope="session")
def pack(small, tmp_path_factory):
    folder = tmp_path_factory.mktemp("pack")
    for name in ("pack.zip", "pack"):
        ended = tried(["review", "--pack", folder / name, "-r", small, *DAY], folder)
        assert ended.code == 0, ended.told
    return folder


@pytest.mark.parametrize("part", range(4 if SHARE else 1))
def test_a_tampered_pack(part, pack, tmp_path, tally):
    whole = (pack / "pack.zip").read_bytes()
    names = sorted(p.relative_to(pack / "pack") for p in (pack / "pack").rglob("*") if p.is_file())
    folder = shutil.copytree(pack / "pack", tmp_path / "pack")
    for number in range(trials(2, 250)):
        chance = random.Random(f"pack {part} {number}")
        if chance.random() < 0.5:
            tampered = tmp_path / "pack.zip"
            tampered.write_bytes(strictly(whole, chance))
            sound(tried(["verify", tampered], tmp_path), {5}, f"pack {part} {number}")
        else:
            path = folder / chance.choice(names)
            before = path.read_bytes()
            path.write_bytes(strictly(before, chance))
            sound(tried(["verify", folder], tmp_path), {5}, f"pack {part} {number} {path.name}")
            path.write_bytes(before)
        tally("tampered packs")
    assert tried(["verify", folder], tmp_path).code == 0


def strictly(data: bytes, chance: random.Random) -> bytes:
    """Damaged, and not by chance the same."""
    while (made := damaged(data, chance)) == data:
        pass
    return made


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


def test_a_history_that_was_altered(small, tmp_path, tally):
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
            sound(tried(["verify", path], tmp_path), {5}, f"history {number} {sql}")
            tally("histories altered")


WORDS = [
    "fla_a", "power_kw", "tag", ":today", ":limit", "NULL", "''", "1=1", "abs(-9223372036854775808)", "1e999", "0x10",
    "(SELECT 1)", "load_extension('x')", "randomblob(1e9)", "CASE WHEN", "NOT", "OR", "AND", "IN ()", "--", "/*", "x'00'",
    "zeroblob(999999999)", "printf('%*d', 99999999, 1)", "LIKE '%'", "GLOB '['", "REGEXP '('", "|| char(0)", ";", "{fla_a}",
    "COLLATE x", "CAST(fla_a AS BLOB)", "fla_a / 0", "~fla_a", "fla_a << 99", "replace(hex(zeroblob(9)), '0', 'a')",
    "!!python/object/apply:os.system [ls]", "*a", "&a [*a]", "<<: *a", "? x", "- - - -", "\t", "%TAG", "---", "...", "[" * 400,
    "{" * 400, "2026-02-30", "off", "~", "1_000", "0o7", "|", ">",
]  # fmt: skip


@pytest.mark.parametrize("part", range(4 if SHARE else 1))
def test_hostile_rules(part, tmp_path, tally):
    files = sorted(RULES.glob("*/*.yml"))
    for number in range(trials(1, 500)):
        chance = random.Random(f"rules {part} {number}")
        folder = tmp_path / "ours"
        shutil.rmtree(folder, ignore_errors=True)
        (folder / "mine").mkdir(parents=True)
        (folder / "mine" / "odd.yml").write_bytes(hostile(chance.choice(files).read_bytes(), chance))
        sound(tried(["rules", "check", folder], tmp_path), {0, 2}, f"rules {part} {number}")
        tally("hostile rules")


def hostile(data: bytes, chance: random.Random) -> bytes:
    if chance.random() < 0.25:
        return damaged(data, chance)
    lines = data.decode().splitlines(keepends=True)
    for _ in range(chance.randint(1, 3)):
        at = chance.randrange(len(lines))
        words = lines[at].split(" ")
        words[chance.randrange(len(words))] = chance.choice(WORDS)
        lines[at] = " ".join(words) if chance.random() < 0.9 else chance.choice(WORDS) + "\n"
    return "".join(lines).encode()
