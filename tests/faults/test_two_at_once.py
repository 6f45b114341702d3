"""Two who write at once lose nothing; one who is stopped while writing is told of; an interrupt ends as one."""

import os
import random
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from on_trial import SHARE, trials, tried
from register_state import check_whole
from sample_plant import Sample

DAY = ("--today", "2026-11-25")
# Those that take long, with what each has to end with where it was quicker than the signal.
LONG = {
    "audit": ("audit", *DAY),
    "audit --keep": ("audit", "--keep", *DAY),
    "explain": ("explain", "C-002", *DAY),
    "to-collect": ("to-collect", *DAY),
    "due": ("due", "--until", "2027-06", *DAY),
    "spares": ("spares", *DAY),
    "plan": ("plan", "--years", "3", "--budget", "40000", "--outages", "6", *DAY),
    "candidates": ("candidates", "--failed", *DAY),
    "review": ("review", "--pack", "made.zip", *DAY),
    "export": ("export", "made.xlsx"),
    "rules prove": ("rules", "prove", "--only", "examples"),
}


@pytest.fixture(scope="session")
def small(tmp_path_factory):
    return Sample("small-plant", tmp_path_factory.mktemp("small")).path


def test_two_writers_lose_nothing(small, tmp_path, tally):
    register = Path(shutil.copy(small, tmp_path / "plant.db"))
    many = trials(3, 1000)
    writers = [_writer(register, tmp_path, name, many) for name in ("rk", "anna")]
    assert [os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) for pid in writers] == [0, 0]
    check_whole(register)
    with closing(sqlite3.connect(register)) as db:
        for name in ("rk", "anna"):
            reasons = [r for (r,) in db.execute("SELECT reason FROM change_set WHERE author = ?", [name])]
            assert reasons == [f"reading {number}" for number in range(many)]
    tally("writes of two at once", 2 * many)


def _writer(register: Path, folder: Path, name: str, many: int) -> int:
    if pid := os.fork():
        return pid
    code = 1
    try:
        own = folder / name
        own.mkdir()
        for number in range(many):
            value = str(41 + number % 7 / 10 + (name == "rk") / 100)
            command = (
                "correct",
                "C-002",
                "fla_a",
                value,
                "--reason",
                f"reading {number}",
                "--by",
                name,
                "-r",
                register,
            )
            while (ended := tried(command, own)).code == 5 and "another program is writing" in ended.err:
                pass
            if ended.code:
                os.write(2, ended.told.encode())
                break
        else:
            code = 0
    finally:
        os._exit(code)


def test_a_stopped_writer_is_told_of(small, tmp_path, monkeypatch, tally):
    connect = sqlite3.connect  # which waits 5 s for the other, and here less
    monkeypatch.setattr(sqlite3, "connect", lambda *a, **named: connect(*a, **{"timeout": 0.1} | named))
    register = Path(shutil.copy(small, tmp_path / "plant.db"))
    with closing(sqlite3.connect(register, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert tried(["positions", "-r", register], tmp_path).code == 0
        ended = tried(["record", "C-002", "bump test", "passed", "-r", register, "--by", "rk"], tmp_path)
        assert ended.code == 5 and "writing" in ended.err, ended.told
        assert "backup" not in ended.err
    check_whole(register)
    tally("stopped writers")


@pytest.mark.parametrize("name", LONG if SHARE else ["audit"])
def test_an_interrupt_ends_as_one(name, small, tmp_path, monkeypatch, tally):
    monkeypatch.chdir(tmp_path)
    register = Path(shutil.copy(small, tmp_path / "plant.db"))
    command = LONG[name] if name == "rules prove" else (*LONG[name], "-r", register)
    whole = tried(command, tmp_path)
    assert whole.code in (0, 1, 3), whole.told
    chance, done = random.Random(name), 0
    for _ in range(trials(3, 200)):
        Path("made.zip").unlink(missing_ok=True)
        Path("made.xlsx").unlink(missing_ok=True)
        ended = tried(command, tmp_path, interrupt_after_s=chance.uniform(0.02, 1) * whole.took_s)
        told = ended.err + ended.out
        assert ended.code in (130, whole.code), ended.told
        assert "Traceback" not in told and "backup" not in ended.err, ended.told
        assert not [p for p in tmp_path.iterdir() if p.name.endswith((".part", "-journal"))]
        done += ended.code == 130
    check_whole(register)
    tally(f"interrupts of {name}", done)
