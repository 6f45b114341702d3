"""Killed at any of its writes, a command leaves a whole register, no half change-set, and nothing that blocks the next.

Each trial sends SIGKILL at one call that writes to the disk (strace counts them), as power that fails would.
"""

import gzip
import random
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from on_trial import SHARE, STRACE, Ended, Write, in_place, trials, tried
from register_state import check_whole, made_by, state
from writing_commands import CHANGES, FILES, WITHOUT_REGISTER, prepared

OLD = sorted((Path(__file__).parents[1] / "store" / "data").glob("made-by-*.db.gz"))
BESIDE = ("refused.xlsx", "mapping.yml")
# Those that take longest are killed by `make faults` alone.
QUICK = {"correct", "take-in", "new", "backup", "export to a folder"}
pytestmark = pytest.mark.skipif(not STRACE, reason="strace is not installed here")


@pytest.fixture(scope="module")
def ready(small, warm, tmp_path_factory):
    folder = tmp_path_factory.mktemp("ready")
    prepared(small, folder)
    return folder


@pytest.fixture
def folder(ready, tmp_path, monkeypatch):
    shutil.copytree(ready, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def laid(ready: Path) -> Path:
    """The register as it is before each trial, with nothing left of the one before."""
    for path in (*Path().glob("made*"), Path("plant.db-journal"), *map(Path, BESIDE)):
        shutil.rmtree(path) if path.is_dir() else path.unlink(missing_ok=True)
    return Path(shutil.copy(ready / "plant.db", "plant.db"))


def drawn(name: str, done: Ended, whole: int | None = None) -> list[Write]:
    """Which of its writes a command is killed at: all of them where they are few, fewer where it takes long."""
    many = trials(1, whole or (48 if done.cpu_s < 0.3 else 16 if done.cpu_s < 0.8 else 6))
    return list(done.writes) if many >= len(done.writes) else random.Random(name).sample(done.writes, many)


def killed(command, folder: Path, at: Write) -> bool:
    """False where it ended before that call: what it writes aside does not always take as many."""
    ended = tried(command, folder, kill_at=at)
    assert ended.code in (-9, 0, 1), ended.told
    return ended.code == -9


@pytest.mark.parametrize("name", [name for name in CHANGES if SHARE or name in QUICK])
def test_a_killed_change_is_there_or_not(name, ready, folder, tally):
    command = (*CHANGES[name], "-r", "plant.db")
    before = state(laid(ready))
    done = tried(command, folder, count=True)
    assert done.code in (0, 1), done.told
    after, with_it = state(Path("plant.db")), {name for name in BESIDE if Path(name).exists()}
    assert after != before
    for at in drawn(name, done):
        path = laid(ready)
        dead = killed(command, folder, at)
        check_whole(path)
        beside = {name for name in BESIDE if Path(name).exists()}
        if state(path) == before:
            assert not beside, f"{beside} would be in the way, after a kill at {at}"
            again = in_place(command, folder)
            assert again.code == done.code, f"after a kill at {at}: {again.told}"
            beside = {name for name in BESIDE if Path(name).exists()}
        assert state(path) == after, f"half of it, after a kill at {at}"
        if beside != with_it:  # killed when all but these was there: doing it again makes them
            for left in beside:
                Path(left).unlink()
            again = in_place(command, folder)
            assert again.code == done.code, f"again after a kill at {at}: {again.told}"
            assert {one for one in BESIDE if Path(one).exists()} == with_it
        tally(f"kills of {name}", dead)


@pytest.mark.parametrize("name", [name for name in FILES if SHARE or name in QUICK])
def test_a_killed_file_is_whole_or_not_there(name, ready, folder, tally):
    laid(ready)
    command = FILES[name] if name in WITHOUT_REGISTER else (*FILES[name], "-r", "plant.db")
    done = tried(command, folder, count=True)
    assert done.code == 0, done.told
    whole = {path.name: made_by(path) for path in Path().glob("made*")}
    assert whole
    for at in drawn(name, done):
        path = laid(ready)
        dead = killed(command, folder, at)
        check_made(name, whole, f"after a kill at {at}")
        if {p.name for p in Path().glob("made*")} < set(whole):
            for one in Path().glob("made*"):  # of two files one: told by name
                one.unlink()
            again = in_place(command, folder)
            assert again.code == 0, f"after a kill at {at}: {again.told}"
            check_made(name, whole, f"made again after a kill at {at}")
        check_whole(path)
        tally(f"kills of {name}", dead)


def check_made(name: str, whole: dict, when: str) -> None:
    for path in Path().glob("made*"):
        if name in ("key", "round"):  # each time another
            assert path.read_text("utf-8").rstrip().endswith(("KEY-----", "</html>")), when
        elif name == "rules pages":  # written over at the next
            assert path.is_dir(), when
        else:
            assert made_by(path) == whole[path.name], f"{path.name} is not as it would be, {when}"


@pytest.mark.parametrize("old", OLD, ids=lambda path: path.stem)
def test_a_killed_migration_is_taken_up_again(old, warm, tmp_path, monkeypatch, tally):
    monkeypatch.chdir(tmp_path)
    data = gzip.decompress(old.read_bytes())
    path = Path("plant.db")
    path.write_bytes(data)
    with closing(sqlite3.connect(path)) as db:
        tag = db.execute("SELECT min(tag) FROM motor").fetchone()[0]
    command = ("correct", tag, "fla_a", "61", "--reason", "read", "--by", "rk", "-r", "plant.db")
    killed_and_again(command, path, data, tally, f"kills of a migration from {old.stem}", 100)


def test_a_killed_repair_is_taken_up_again(small, warm, tmp_path, monkeypatch, tally):
    monkeypatch.chdir(tmp_path)
    path = Path(shutil.copy(small, "plant.db"))
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("DROP TRIGGER motor_updated")
    killed_and_again(("repair", "plant.db"), path, path.read_bytes(), tally, "kills of repair", 32)


def killed_and_again(command, path, data, tally, kind, many):
    done = tried(command, Path(), count=True)
    assert done.code == 0, done.told
    after = state(path)
    for at in drawn(kind, done, many):
        path.write_bytes(data)
        Path(f"{path}-journal").unlink(missing_ok=True)
        dead = killed(command, Path(), at)
        if state(path) != after:
            again = in_place(command, Path())
            assert again.code == 0, f"after a kill at {at}: {again.told}"
        check_whole(path)
        assert state(path) == after, f"half of it, after a kill at {at}"
        tally(kind, dead)
