"""A register, or a place for one, that will not do: refused with 5, and nothing half-written."""

import functools
import os
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import contextmanager
from pathlib import Path

import pytest
from refusals import LIST, refused


def _flipped(data):
    made = bytearray(data)
    for page in range(4096 * 5, len(made), 4096):
        made[page : page + 64] = b"\xa5" * 64
    return bytes(made)


def _letters_in_the_schema(data):
    return data.replace(b"CREATE TABLE motor", b"CREATE TABLE m\xffto\xff")


def _altered(sql):
    def alter(data):
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "altered.db"
            path.write_bytes(data)
            connection = sqlite3.connect(path)
            connection.executescript(sql)
            connection.close()
            return path.read_bytes()

    return alter


DAMAGE = {
    "zero": (lambda data: b"", "0 bytes are no register", "last backup"),
    "head only": (lambda data: data[:60], "60 bytes are no register", "last backup"),
    "truncated": (lambda data: data[:6000], "no sound register", "last backup"),
    "tail lost": (lambda data: data[:-4096], "no sound register", "last backup"),
    "flipped": (_flipped, "no sound register", "last backup"),
    "schema": (_letters_in_the_schema, "no sound register", "last backup"),
    "a letter": (lambda data: b"this is a letter, not a database\n" * 200, "of another kind", "take-in"),
    "a short letter": (lambda data: b"tag;kW\nP-1;37\n", "14 bytes are no register", "take-in"),
    "newer": (_altered("PRAGMA user_version = 99"), "made by a later version (form 99", "bring startroll up to date"),
    "form 0": (_altered("PRAGMA user_version = 0"), "form 0", "last backup"),
    "foreign": (
        _altered("PRAGMA application_id = 7"),
        "another program's database",
        "name a register that startroll made",
    ),
    "a table lost": (_altered("PRAGMA foreign_keys = OFF; DROP TABLE bypass"), "it lacks bypass", "last backup"),
}


@pytest.mark.parametrize("kind", DAMAGE)
def test_a_register_that_is_none(startroll, plant, kind):
    damage, cause, remedy = DAMAGE[kind]
    broken = plant.with_name("broken.db")
    broken.write_bytes(damage(plant.read_bytes()))
    before = broken.read_bytes()
    Path("list.csv").write_text(LIST)
    for typed in (
        ["positions"],
        ["take-in", "list.csv"],
        ["correct", "P-1", "starts_per_hour", "6", "--reason", "counted"],
        ["backup", "copy.db"],
        ["export", "out"],
    ):
        refused(startroll(*typed, "--register", broken), 5, "broken.db", cause, remedy)
    assert broken.read_bytes() == before
    assert not Path("copy.db").exists() and not Path("out").exists()


def test_an_audit_of_a_damaged_register_is_refused_too(startroll, plant):
    plant.write_bytes(_flipped(plant.read_bytes()))
    refused(startroll("audit"), 5, "plant.db", "no sound register", "last backup")


def test_no_register_a_folder_for_one_and_a_file_for_its_folder(startroll, untouched):
    Path("folder.db").mkdir()
    for path, cause in (
        ("gone.db", "no register here"),
        ("folder.db", "this is a folder"),
        ("plant.db/inner.db", "no register here"),
    ):
        ran = startroll("positions", "--register", path)
        refused(ran, 5, path, cause, "name the register's file")


def _cut_off(path):
    """A copy of the register as it lies there when a write is cut off in the middle."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA cache_size = 2")
    connection.execute("BEGIN IMMEDIATE")
    for number in range(3000):
        connection.execute("INSERT INTO position (tag) VALUES (?)", [f"Z-{number}"])
    torn = path.with_name("torn.db")
    torn.write_bytes(path.read_bytes())
    torn.with_name("torn.db-journal").write_bytes(Path(f"{path}-journal").read_bytes())
    connection.execute("ROLLBACK")
    connection.close()
    return torn


def test_a_write_that_was_cut_off_is_undone_by_whoever_opens_it_next(startroll, plant):
    torn = _cut_off(plant)
    assert torn.read_bytes() != plant.read_bytes()
    ran = startroll("positions", "--register", torn)
    assert ran.code == 0, ran.err
    assert "2 positions" in ran.out
    assert not torn.with_name("torn.db-journal").exists()


def test_the_second_writer_is_told_and_readers_go_on(startroll, untouched, monkeypatch):
    monkeypatch.setattr(sqlite3, "connect", functools.partial(sqlite3.connect, timeout=0.05))
    Path("list.csv").write_text(LIST)
    first = sqlite3.connect(untouched, isolation_level=None)
    first.execute("BEGIN IMMEDIATE")
    for typed in (["take-in", "list.csv"], ["move", "motor", "M1", "--reason", "rewound"]):
        refused(startroll(*typed), 5, "plant.db", "another program is writing", "try again")
    assert startroll("positions").code == 0
    assert startroll("audit").code in (0, 1)
    first.execute("ROLLBACK")
    first.close()


# A place that cannot be written.


@contextmanager
def powerless(folder):
    """For a while, a folder and what is in it cannot be written; root gives up its power."""
    files = [folder, *folder.iterdir()]
    for file in files:
        file.chmod(0o555 if file.is_dir() else 0o444)
    mighty = os.geteuid() == 0
    if mighty:
        os.seteuid(65534)
    try:
        yield
    finally:
        if mighty:
            os.seteuid(0)
        for file in files:
            file.chmod(0o755)


@pytest.fixture
def sealed(plant):
    """A register in a folder that cannot be written."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "sealed.db").write_bytes(plant.read_bytes())
        (folder / "list.csv").write_text(LIST)
        yield folder


@pytest.mark.skipif(sys.platform == "win32", reason="rights of another kind")
def test_what_is_protected_is_read_and_never_written(startroll, sealed):
    register = sealed / "sealed.db"
    before = register.read_bytes()
    startroll("correct", "P-1", "fla_a", "5", "--reason", "")  # what it imports, it may read now
    with powerless(sealed):
        assert startroll("positions", "--register", register).code == 0
        for typed in (
            ["take-in", sealed / "list.csv"],
            ["correct", "P-1", "starts_per_hour", "6", "--reason", "counted"],
        ):
            ran = startroll(*typed, "--register", register)
            refused(ran, 5, "sealed.db", "protected from writing", "allow writing to both")
        ran = startroll("new", sealed / "new.db", "--site", "Fenwick", "--practice", "iec")
        refused(ran, 5, "new.db", "its folder cannot be written", "check that the folder")
        ran = startroll("backup", sealed / "copy.db", "--register", register)
        refused(ran, 5, "copy.db", "its folder cannot be written", "check that the folder")
        for target in ("out", "out.xlsx"):
            ran = startroll("export", sealed / target, "--register", register)
            refused(ran, 2, target, "cannot be written: Permission denied", "name a folder")
    assert register.read_bytes() == before
    assert len(list(sealed.iterdir())) == 2


@pytest.fixture
def small_disk(tmp_path, plant):
    """A disk with hardly any room left beside the register on it."""
    folder = tmp_path / "disk"
    folder.mkdir()
    size = plant.stat().st_size + 20_000
    mount = ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(folder)]
    if sys.platform != "linux" or subprocess.run(mount, capture_output=True).returncode:
        pytest.skip("a small disk can be had by root on Linux only")
    try:
        (folder / "plant.db").write_bytes(plant.read_bytes())
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True)


def test_a_full_disk_leaves_the_register_and_no_half_of_anything(startroll, small_disk):
    register = small_disk / "plant.db"
    before = register.read_bytes()
    Path("many.csv").write_text("Tag,FLA\n" + "".join(f"Q-{n},65\n" for n in range(2000)))
    ran = startroll("take-in", "many.csv", "--register", register)
    refused(ran, 5, "plant.db", "the disk is full", "make room; nothing was changed")
    ran = startroll("backup", small_disk / "copy.db", "--register", register)
    refused(ran, 5, "copy.db", "the disk is full", "make room")
    (small_disk / "rest").write_bytes(b"\0" * 16_384)
    for target in ("out", "out.xlsx"):
        ran = startroll("export", small_disk / target, "--register", register)
        refused(ran, 2, target, "No space left", "make room")
    assert register.read_bytes() == before
    assert {file.name for file in small_disk.iterdir()} == {"plant.db", "rest"}


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_output_that_finds_no_room(plant):
    typed = [sys.executable, "-m", "register.cli.app", "positions"]
    with open("/dev/full", "w") as full:
        ran = subprocess.run(typed, stdout=full, stderr=subprocess.PIPE, text=True)
    assert ran.returncode == 2
    assert "No space left" in ran.stderr and "room" in ran.stderr
    assert "Traceback" not in ran.stderr and "ignored" not in ran.stderr


# A target where something stands already.


@pytest.mark.parametrize("name", ["taken.xlsx", "taken.csv", "taken", "plant.db"])
@pytest.mark.parametrize("command", ["backup", "export"])
def test_a_copy_never_goes_over_what_is_there(startroll, untouched, command, name):
    if name == "taken":
        Path(name).mkdir()
    if name != "plant.db":
        (Path(name) / "a.txt" if name == "taken" else Path(name)).write_text("mine")
    ran = startroll(command, name)
    refused(ran, 2, name, "something of that name already", "name another, or move it")


def test_a_new_register_never_goes_over_what_is_there(startroll, untouched):
    ran = startroll("new", untouched, "--site", "Fenwick Mill", "--practice", "iec")
    refused(ran, 2, "plant.db", "something of that name already", "name another")


def test_what_is_refused_is_written_to_a_workbook_and_to_nothing_else(startroll, untouched):
    Path("list.csv").write_text(LIST)
    refused(
        startroll("take-in", "list.csv", "--refused", "back.csv"), 2, "back.csv", "not a workbook", "name a .xlsx file"
    )
    assert not Path("back.csv").exists()


@pytest.mark.parametrize("option", ["--refused", "--save-mapping"])
def test_what_the_intake_writes_never_goes_over_what_is_there(startroll, untouched, option):
    Path("list.csv").write_text(LIST)
    for name in ("list.csv", "plant.db"):
        ran = startroll("take-in", "list.csv", option, name)
        refused(ran, 2, name, "something of that name already", "name another")
    assert Path("list.csv").read_text() == LIST
    ran = startroll("take-in", "list.csv", "--dry-run", "--save-mapping", "gone/answers.yml")
    refused(ran, 2, "answers.yml", "cannot be written", "name a folder that is there")
