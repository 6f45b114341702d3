"""Two who write at once lose nothing; one who is stopped while writing is told of; an interrupt ends as one."""

import os
import random
import shutil
import signal
import sqlite3
import time
from contextlib import chdir, closing
from pathlib import Path

import pytest
from on_trial import SHARE, STRACE, forked, in_place, trials, tried
from register_state import check_whole, state
from writing_commands import CHANGES, done, prepared

DAY = ("--today", "2026-11-25")
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
    "report": ("report", "--html", "made.html", *DAY),
    "window": ("window", "C-002"),
    "answer": ("answer", "--propose", *DAY),
    "take-in": ("take-in", "list.csv", "--reason", "list", "--by", "rk"),
    "rules prove": ("rules", "prove", "--only", "examples"),
}


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
    own = folder / name
    own.mkdir()
    return forked(lambda: _writes(register, own, name, many))


def _writes(register: Path, own: Path, name: str, many: int) -> int:
    for number in range(many):
        value = str(41 + number % 7 / 10 + (name == "rk") / 100)
        command = ("correct", "C-002", "fla_a", value, "--reason", f"reading {number}", "--by", name, "-r", register)
        while (ended := in_place(command, own)).code == 5 and "another program is writing" in ended.err:
            pass
        if ended.code:
            os.write(2, ended.told.encode())
            return 1
        time.sleep(0)
    return 0


@pytest.fixture
def impatient(monkeypatch):
    """Who waits 5 s for another writer waits less here."""
    connect = sqlite3.connect
    monkeypatch.setattr(sqlite3, "connect", lambda *a, **named: connect(*a, **{"timeout": 0.05} | named))


def test_a_register_that_is_held_is_told_of(small, tmp_path, impatient, tally):
    register = Path(shutil.copy(small, tmp_path / "plant.db"))
    with closing(sqlite3.connect(register, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert in_place(["positions", "-r", register], tmp_path).code == 0
        ended = in_place(["record", "C-002", "bump test", "passed", "-r", register, "--by", "rk"], tmp_path)
        assert ended.code == 5 and "writing" in ended.err, ended.told
        assert "backup" not in ended.err
    check_whole(register)


@pytest.mark.skipif(not STRACE, reason="strace is not installed here")
@pytest.mark.parametrize("name", ["correct", "take-in", "undo", "swap"] if SHARE else ["correct"])
def test_a_stopped_writer_is_told_of(name, small, tmp_path, impatient, monkeypatch, tally):
    """Stopped at any of its writes, it is told of; let go on, it ends as if nothing had been."""
    monkeypatch.chdir(tmp_path)
    prepared(small, tmp_path)
    before = shutil.copy("plant.db", "before.db")
    command = (*CHANGES[name], "-r", "plant.db")
    done = tried(command, tmp_path, count=True)
    after = state(Path("plant.db"))
    other = tmp_path / "other"
    other.mkdir()

    def meanwhile():
        for ask in (("positions",), ("correct", "C-003", "fla_a", "28.9", "--reason", "read", "--by", "anna")):
            ended = in_place((*ask, "-r", "plant.db"), other)
            asked.append(ended.code)
            assert ended.code == 0 or (ended.code == 5 and "another program is writing" in ended.err), ended.told
            assert "backup" not in ended.err

    for at in random.Random(name).sample(done.writes, min(len(done.writes), trials(2, 15))):
        shutil.copy(before, "plant.db")
        for left in ("refused.xlsx", "mapping.yml"):
            Path(left).unlink(missing_ok=True)
        asked: list[int] = []
        ended = tried(command, tmp_path, stop_at=at, meanwhile=meanwhile)
        told = asked == [0, 0] and ended.code == 2 and "plan again" in ended.err  # the other wrote after it had read
        assert len(asked) == 2 and (ended.code == done.code or told), ended.told
        check_whole(Path("plant.db"))
        if asked[1]:  # else the other wrote too, before it began or after it had ended
            assert state(Path("plant.db")) == after
        tally("stopped writers")


@pytest.fixture(scope="module")
def few(small, warm, tmp_path_factory):
    """The small plant with few of its positions in service: what takes long takes less long."""
    folder = tmp_path_factory.mktemp("few")
    register = prepared(small, folder)
    with closing(sqlite3.connect(register)) as db:
        tags = [tag for (tag,) in db.execute("SELECT tag FROM position ORDER BY tag")]
    with chdir(folder):
        for tag in tags[6:] if SHARE else ():
            done(("retire", tag, "--reason", "taken down"), register)
        done(("audit", *DAY), register)
    return folder


@pytest.mark.parametrize("name", LONG if SHARE else ["audit"])
def test_an_interrupt_ends_as_one(name, few, tmp_path, monkeypatch, tally):
    shutil.copytree(few, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    command = LONG[name] if name == "rules prove" else (*LONG[name], "-r", "plant.db")
    before = Path("plant.db").read_bytes(), state(Path("plant.db"))
    whole = tried(command, tmp_path)
    assert whole.code in (0, 1, 3), whole.told
    after = state(Path("plant.db"))
    chance, ends, wanted = random.Random(name), 0, trials(3, 200)
    for _ in range(3 * wanted):
        if ends == wanted:
            break
        for made in Path().glob("made*"):
            made.unlink()
        Path("plant.db").write_bytes(before[0])
        ended = tried(command, tmp_path, interrupt_after_s=chance.uniform(0.001, 0.9) * whole.cpu_s)
        # What comes when the command is done ends the process by the signal, which a shell tells as 130.
        interrupted = ended.code in (130, -signal.SIGINT)
        assert interrupted or ended.code == whole.code, ended.told
        assert "Traceback" not in ended.err + ended.out and "backup" not in ended.err, ended.told
        assert not [p for p in tmp_path.iterdir() if p.name.endswith((".part", "-journal"))]
        if Path("plant.db").read_bytes() != before[0]:
            check_whole(Path("plant.db"))
            assert state(Path("plant.db")) in (before[1], after)
        ends += interrupted
    assert ends == wanted
    tally(f"interrupts of {name}", ends)
