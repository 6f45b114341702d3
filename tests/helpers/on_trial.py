"""A command on trial: in this process, or in a fork of it that may be killed at any of its writes, or interrupted.

What is loaded, and what the program remembers between commands, is loaded once (`warm`) and not at each trial.
"""

from __future__ import annotations

import gc
import os
import re
import resource
import select
import shutil
import signal
import subprocess
import sys
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

WRITES = (
    "write,pwrite64,fsync,fdatasync,ftruncate,rename,renameat,renameat2,unlink,unlinkat,link,linkat,mkdir,mkdirat,rmdir"
)
STRACE = shutil.which("strace")
HANGS_S = 300
TRACEBACK = 70  # how a command ends that lets an error through
# With STARTROLL_FAULTS all are tried, or that part of them: 0.1 is a tenth.
SHARE = float(os.environ.get("STARTROLL_FAULTS") or 0)


def trials(quick: int, whole: int) -> int:
    """How many are tried: few in the suite, `whole` by `make faults`."""
    return max(quick, round(whole * SHARE)) if SHARE else quick


Write = tuple[str, int]


@dataclass(frozen=True, slots=True)
class Ended:
    """How a command ended: its exit code, minus the signal where one killed it; what it printed.

    `writes` are its calls that write, in their order: the call's name, and which of that name it was. `most_mb` is the most memory that it held, `cpu_s` the processor's time that it took.
    """

    code: int
    out: str
    err: str
    writes: tuple[Write, ...] = ()
    most_mb: float = 0.0
    cpu_s: float = 0.0

    @property
    def told(self) -> str:
        return f"exit code {self.code}\n{self.out[-1500:]}\n{self.err[-1500:]}"


def in_place(arguments: Sequence[object], folder: Path) -> Ended:
    """Run a command in this process, which is afterwards as it was before."""
    before_s = time.process_time()
    with _streams_in(folder):
        code = _code_of([str(a) for a in arguments])
        sys.stdout.flush()
        sys.stderr.flush()
    return Ended(code, *texts(folder), cpu_s=time.process_time() - before_s)


def texts(folder: Path) -> tuple[str, str]:
    """What the last command there printed, on either stream."""
    return tuple((folder / name).read_text("utf-8", "replace") for name in ("out", "err"))


@contextmanager
def _streams_in(folder: Path) -> Iterator[None]:
    """Both streams of this process in files, standard input closed; a reader in Rust that panics writes there too."""
    kept = [os.dup(number) for number in range(3)]
    before = sys.stdin, sys.stdout, sys.stderr, sys.argv, signal.getsignal(signal.SIGPIPE), gc.get_threshold()
    environment = dict(os.environ)
    _directed(folder)
    try:
        yield
    finally:
        for file in (sys.stdin, sys.stdout, sys.stderr):
            file.close()
        sys.stdin, sys.stdout, sys.stderr, sys.argv, handler, threshold = before
        signal.signal(signal.SIGPIPE, handler)
        gc.set_threshold(*threshold)
        os.environ.clear()
        os.environ.update(environment)
        for number, old in enumerate(kept):
            os.dup2(old, number)
            os.close(old)


def _directed(folder: Path) -> None:
    places = (
        (os.devnull, os.O_RDONLY),
        *((folder / name, os.O_WRONLY | os.O_CREAT | os.O_TRUNC) for name in ("out", "err")),
    )
    for number, place in enumerate(places):
        opened = os.open(*place)
        os.dup2(opened, number)
        os.close(opened)
    sys.stdin, sys.stdout, sys.stderr = (
        os.fdopen(os.dup(n), how, encoding="utf-8") for n, how in ((0, "r"), (1, "w"), (2, "w"))
    )


def _code_of(arguments: list[str]) -> int:
    from register.cli.app import main

    sys.argv = ["startroll", *arguments]
    os.environ["NO_COLOR"] = "1"
    try:
        main()
    except SystemExit as ended:
        return ended.code if isinstance(ended.code, int) else 0 if ended.code is None else 1
    except BaseException:
        traceback.print_exc()
        return TRACEBACK
    return 0


def forked(work: Callable[[], None]) -> int:
    """The number of a process that is this one, does the work and ends."""
    sys.stdout.flush()
    sys.stderr.flush()
    if pid := os.fork():
        return pid
    code = TRACEBACK
    try:
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        code = work() or 0
    except BaseException:
        traceback.print_exc()
    finally:
        os._exit(code)


def tried(
    arguments: Sequence[object],
    folder: Path,
    *,
    kill_at: Write | None = None,
    stop_at: Write | None = None,
    interrupt_after_s: float | None = None,
    count: bool = False,
    meanwhile: Callable[[], None] | None = None,
) -> Ended:
    """Run a command in a fork of this process.

    kill_at : kill it at that call; stop_at : stop it there, do `meanwhile`, let it go on; count : note its calls that
    write. All three need strace.
    interrupt_after_s : interrupt it when it has had so much of the processor.
    """
    begin, go = os.pipe()

    def work() -> int:
        os.close(go)
        os.read(begin, 1)
        return _alone([str(a) for a in arguments], folder, interrupt_after_s)

    pid = forked(work)
    os.close(begin)
    calls = folder / "calls"
    tracer = _traced(pid, calls, kill_at=kill_at, stop_at=stop_at) if count or kill_at or stop_at else None
    os.write(go, b"!")
    os.close(go)
    if meanwhile and _stopped(pid, calls):
        meanwhile()
        time.sleep(0.02)  # strace lets it go on only once it has taken note of the stop
        os.kill(pid, signal.SIGCONT)
    code, used = _waited(pid)
    if tracer:
        tracer.wait()
    writes = tuple(_numbered(re.findall(r"^\d+ +(\w+)\(", calls.read_text(), re.M))) if tracer else ()
    return Ended(code, *texts(folder), writes, used.ru_maxrss / 1024, used.ru_utime + used.ru_stime)


def _numbered(names: list[str]) -> Iterator[Write]:
    """Each call with its number among those of its name, which is how strace counts."""
    so_far: Counter[str] = Counter()
    for name in names:
        so_far[name] += 1
        yield name, so_far[name]


def _alone(arguments: list[str], folder: Path, interrupt_after_s: float | None) -> int:
    _directed(folder)
    signal.signal(signal.SIGINT, signal.default_int_handler)
    if interrupt_after_s is not None:
        _interrupted(interrupt_after_s)
    code = _code_of(arguments)
    sys.stdout.flush()
    sys.stderr.flush()
    return code


def _interrupted(after_s: float) -> None:
    """Let SIGINT come when the command, made ready, has had that much of the processor: whatever else runs here."""
    from register.cli import app

    made_ready = app._prepared
    signal.signal(signal.SIGPROF, lambda *_: signal.raise_signal(signal.SIGINT))

    def prepared() -> None:
        made_ready()
        signal.setitimer(signal.ITIMER_PROF, after_s)

    app._prepared = prepared


def _traced(pid: int, calls: Path, *, kill_at: Write | None, stop_at: Write | None) -> subprocess.Popen:
    at, what = (kill_at, "SIGKILL") if kill_at else (stop_at, "SIGSTOP")
    inject = [f"--inject={at[0]}:signal={what}:when={at[1]}"] if at else []
    calls.unlink(missing_ok=True)
    tracer = subprocess.Popen([STRACE, "-f", "-qq", "-o", calls, f"--trace={WRITES}", *inject, "-p", str(pid)])
    while tracer.poll() is None and "TracerPid:\t0" in Path(f"/proc/{pid}/status").read_text():
        time.sleep(0.002)
    return tracer


def _stopped(pid: int, calls: Path) -> bool:
    """True when the process has been stopped; False where it ended before."""
    for _ in range(100 * HANGS_S):
        if "--- stopped by SIGSTOP" in calls.read_text():
            return True
        if "State:\tZ" in Path(f"/proc/{pid}/status").read_text():
            return False
        time.sleep(0.01)
    raise AssertionError("neither stopped nor ended")


def _waited(pid: int) -> tuple[int, resource.struct_rusage]:
    watch = os.pidfd_open(pid)
    try:
        if not select.select([watch], [], [], HANGS_S)[0]:
            os.kill(pid, signal.SIGKILL)
            os.waitpid(pid, 0)
            raise AssertionError(f"it did not end within {HANGS_S} s")
    finally:
        os.close(watch)
    _, status, used = os.wait4(pid, 0)
    return os.waitstatus_to_exitcode(status), used
