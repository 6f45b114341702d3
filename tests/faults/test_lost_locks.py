"""Two who write at once on a file system that grants every lock to both, as some shares do.

A library put before the C library's own (ld.so(8), LD_PRELOAD) says yes to whoever asks fcntl(2) for a lock.
"""

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest
from on_trial import trials
from register_state import check_whole

GCC = shutil.which("gcc")
pytestmark = pytest.mark.skipif(not (GCC and sys.platform == "linux"), reason="gcc is not installed here")

YES = r"""
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <stdarg.h>
static int yes(const char *own, int file, int command, void *argument) {
    if (command == F_SETLK || command == F_SETLKW || command == F_OFD_SETLK || command == F_OFD_SETLKW) return 0;
    if (command == F_GETLK || command == F_OFD_GETLK) { ((struct flock *)argument)->l_type = F_UNLCK; return 0; }
    return ((int (*)(int, int, ...))dlsym(RTLD_NEXT, own))(file, command, argument);
}
#define ASKED(name) int name(int file, int command, ...) { \
    va_list more; va_start(more, command); void *argument = va_arg(more, void *); va_end(more); \
    return yes(#name, file, command, argument); }
ASKED(fcntl)
ASKED(fcntl64)
"""
# Two writers in turn, so that each trial is the same: one begins, the other writes from beginning to end, one ends.
TURNS = """
import sqlite3
import sys
from pathlib import Path
from register.errors import StartrollError
from register.store import locks
from register.store.database import opened, writing
connect = sqlite3.connect
sqlite3.connect = lambda *a, **named: connect(*a, **{"timeout": 0.05} | named)  # who waits 5 s waits less here
path, name, guarded = Path(sys.argv[1]), sys.argv[2], sys.argv[3] == "guarded"
if not guarded:
    locks.check = lambda path: None
for line in sys.stdin:
    try:
        with opened(path, write=True) as db, writing(db, reason=line.strip(), author=name):
            db.execute("UPDATE motor SET fla_a = fla_a + 0.01 WHERE tag = 'C-002'")
            print("begun", flush=True)
            sys.stdin.readline()
        print("written", flush=True)
    except StartrollError as error:
        print("refused:", str(error).replace(chr(10), " "), flush=True)
"""


@pytest.fixture(scope="module")
def yes(tmp_path_factory):
    folder = tmp_path_factory.mktemp("yes")
    (folder / "yes.c").write_text(YES)
    subprocess.run([GCC, "-shared", "-fPIC", "-o", "yes.so", "yes.c", "-ldl"], cwd=folder, check=True)
    return folder / "yes.so"


class Writer:
    """A process that writes, and does the next step when it is told to."""

    def __init__(self, path, name, guarded, before):
        preload = {"LD_PRELOAD": str(before)} if before else {}
        self.process = subprocess.Popen(
            [sys.executable, "-c", TURNS, path, name, guarded],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            env=os.environ | preload,
        )

    def told(self, line):
        self.process.stdin.write(f"{line}\n")
        self.process.stdin.flush()
        return self.process.stdout.readline().strip()


@pytest.fixture
def two(small, tmp_path):
    """Two writers of one register, made with `two(guarded, library)`; both are gone at the end."""
    path, made = tmp_path / "plant.db", []
    shutil.copy(small, path)

    def start(guarded, before):
        made.extend(Writer(path, name, guarded, before) for name in ("rk", "anna"))
        return path, *made

    yield start
    for writer in made:
        writer.process.stdin.close()
        assert writer.process.wait(60) == 0


def reasons(path):
    with closing(sqlite3.connect(path)) as db:
        return {reason for (reason,) in db.execute("SELECT reason FROM change_set WHERE author IN ('rk', 'anna')")}


def test_without_locks_and_unguarded_a_write_that_was_told_is_lost(two, yes):
    """Else the trial below would show nothing."""
    path, one, other = two("unguarded", yes)
    assert one.told("first") == "begun"
    assert other.told("second") == "begun"
    ends = {"second": other.told("go on"), "first": one.told("go on")}
    assert "written" in ends.values()
    assert reasons(path) != {reason for reason, end in ends.items() if end == "written"}


def test_with_locks_the_second_is_told_to_wait(two):
    path, one, other = two("guarded", None)
    assert one.told("first") == "begun"
    assert "another program is writing" in other.told("second")
    assert one.told("go on") == "written"
    assert reasons(path) == {"first"}
    check_whole(path)


def test_without_locks_no_write_begins(two, yes, tally):
    path, one, other = two("guarded", yes)
    before = path.read_bytes()
    many = trials(2, 1000)
    for number in range(many):
        for writer in (one, other):
            answer = writer.told(f"reading {number}")
            assert answer.startswith("refused:") and "file locks do not hold here" in answer, answer
    assert path.read_bytes() == before
    check_whole(path)
    tally("writes refused where locks are lost", 2 * many)


def test_a_command_tells_of_it(small, tmp_path, yes):
    path = shutil.copy(small, tmp_path / "plant.db")

    def startroll(*words):
        done = subprocess.run(
            [sys.executable, "-m", "register.cli.app", *words, "-r", path],
            env=os.environ | {"LD_PRELOAD": str(yes)},
            capture_output=True,
            text=True,
        )
        return done.returncode, done.stderr

    code, told = startroll("correct", "C-002", "fla_a", "41.2", "--reason", "read", "--by", "rk")
    assert code == 5 and "file locks do not hold here" in told and "local disk" in told, told
    code, told = startroll("positions")
    assert code == 0 and "writing is refused" in told, told
