"""Killed at any of its writes, a command leaves a whole register, no half change-set, and nothing that blocks the next.

Each trial sends SIGKILL at one call that writes to the disk (strace counts them), as power that fails would.
"""

import random
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from on_trial import SHARE, STRACE, trials, tried
from register_state import check_whole, made_by, state

DAY = ("--today", "2026-11-25")
WHY = ("--reason", "walk of 24 November", "--by", "rk")
SAMPLES = Path(__file__).parents[2] / "samples" / "small-plant"
CHANGES = {
    "correct": ("correct", "C-002", "fla_a", "41.2", *WHY),
    "record": ("record", "C-002", "bump test", "passed", "--on", "2026-11-20", "--by", "rk"),
    "take-in": ("take-in", "list.csv", *WHY),
    "swap": ("swap", "C-002", "--out", "failed", "--cause", "burnt out", "--model", "ONV-B065E", "--serial", "Z1",
             "--on", "2026-11-24", "--by", "rk", *DAY),
    "move": ("move", "device", "O72143747", "--status", "scrapped", *WHY),
    "retire": ("retire", "C-003", *WHY),
    "undo": ("undo", "2", *WHY),
    "audit": ("audit", "--keep", *DAY),
}  # fmt: skip
FILES = {
    "new": ("new", "made.db", "--site", "Oldmarrow Works", "--practice", "us", "--frequency", "60"),
    "backup": ("backup", "made.db"),
    "export": ("export", "made.xlsx"),
    "export to a folder": ("export", "made"),
    "report": ("report", "--html", "made.html", *DAY),
    "review": ("review", "--pack", "made.zip", *DAY),
    "review to a folder": ("review", "--pack", "made", *DAY),
}
LIST = "tag,description,power_kw,fla_a\nC-090,spare feeder,15,28\nC-091,spare feeder,15,28\nC-092,spare feeder,11,21\n"
# Those that take longest are killed by `make faults` alone.
QUICK = {"correct", "retire", "undo", "new", "backup", "export to a folder"}
pytestmark = pytest.mark.skipif(not STRACE, reason="strace is not installed here")


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("list.csv").write_text(LIST, "utf-8")
    return tmp_path


@pytest.fixture(scope="session")
def small(tmp_path_factory):
    """The small plant with a correction, so that there is something to take back."""
    from sample_plant import Sample

    folder = tmp_path_factory.mktemp("small")
    path = Sample("small-plant", folder).path
    assert tried(["correct", "K-001", "fla_a", "158", *WHY, "-r", path], folder).code == 0
    return path


def laid(small: Path) -> Path:
    for suffix in ("", "-journal"):
        Path(f"plant.db{suffix}").unlink(missing_ok=True)
    return Path(shutil.copy(small, "plant.db"))


def drawn(name: str, writes: int, quick: int, whole: int) -> list[int]:
    """Which of the writes it is killed at: all of them where they are few."""
    many = trials(quick, whole)
    every = range(1, writes + 1)
    return list(every) if many >= writes else sorted(random.Random(name).sample(every, many))


@pytest.mark.parametrize("name", [name for name in CHANGES if SHARE or name in QUICK])
def test_a_killed_change_is_there_or_not(name, small, folder, tally):
    command = (*CHANGES[name], "-r", "plant.db")
    before = state(laid(small))
    done = tried(command, folder, count=True)
    assert done.code in (0, 1), done.told
    after = state(Path("plant.db"))
    assert after != before
    for at in drawn(name, done.writes, 1, 70):
        path = laid(small)
        assert tried(command, folder, kill_at=at).code in (-9, 0, 1)
        check_whole(path)
        if state(path) == before:
            again = tried(command, folder)
            assert again.code == done.code, f"after a kill at write {at}: {again.told}"
        assert state(path) == after, f"half of it, after a kill at write {at}"
        tally(f"kills of {name}")


@pytest.mark.parametrize("name", [name for name in FILES if SHARE or name in QUICK])
def test_a_killed_file_is_whole_or_not_there(name, small, folder, tally):
    made = Path(FILES[name][2] if name in ("report", "review", "review to a folder") else FILES[name][1])
    command = FILES[name] if name == "new" else (*FILES[name], "-r", laid(small))
    done = tried(command, folder, count=True)
    assert done.code == 0, done.told
    whole = made_by(made)
    for at in drawn(name, done.writes, 1, 70):
        shutil.rmtree(made) if made.is_dir() else made.unlink()
        assert tried(command, folder, kill_at=at).code in (-9, 0)
        if not made.exists():
            again = tried(command, folder)
            assert again.code == 0, f"after a kill at write {at}: {again.told}"
        assert made_by(made) == whole, f"not as it would be, after a kill at write {at}"
        check_whole(Path("plant.db")) if name != "new" else check_whole(made)
        tally(f"kills of {name}")


def test_a_killed_migration_is_taken_up_again(tmp_path, monkeypatch, tally):
    import gzip

    monkeypatch.chdir(tmp_path)
    for old in sorted((Path(__file__).parents[1] / "store" / "data").glob("made-by-*.db.gz")):
        data = gzip.decompress(old.read_bytes())
        command = ("correct", "P-2117", "fla_a", "61", "--reason", "read", "--by", "rk", "-r", "plant.db")
        path = Path("plant.db")
        path.write_bytes(data)
        with closing(sqlite3.connect(path)) as db:
            tag = db.execute("SELECT min(tag) FROM motor").fetchone()[0]
        command = tuple(tag if word == "P-2117" else word for word in command)
        done = tried(command, tmp_path, count=True)
        assert done.code == 0, done.told
        after = state(path)
        for at in drawn(old.name, done.writes, 1, 200):
            path.write_bytes(data)
            Path("plant.db-journal").unlink(missing_ok=True)
            assert tried(command, tmp_path, kill_at=at).code in (-9, 0)
            if not path.exists() or state(path) != after:
                again = tried(command, tmp_path)
                assert again.code == 0, f"after a kill at write {at}: {again.told}"
            check_whole(path)
            assert state(path) == after
            tally("kills of a migration")
