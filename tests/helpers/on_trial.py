"""A command tried in a process of its own, which may be killed at any of its writes, or interrupted."""

from __future__ import annotations

import os
import re
import resource
import select
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

WRITES = (
    "write,pwrite64,fsync,fdatasync,ftruncate,rename,renameat,renameat2,unlink,unlinkat,link,linkat,mkdir,mkdirat,rmdir"
)
STRACE = shutil.which("strace")
HANGS_S = 300
# With STARTROLL_FAULTS all are tried, or that part of them: 0.1 is a tenth.
SHARE = float(os.environ.get("STARTROLL_FAULTS") or 0)


def trials(quick: int, whole: int) -> int:
    """How many are tried: few in the suite, `whole` by `make faults`."""
    return max(quick, round(whole * SHARE)) if SHARE else quick


@dataclass(frozen=True, slots=True)
class Ended:
    """How a command ended: its exit code, minus the signal where one killed it; what it printed; its writes."""

    code: int
    out: str
    err: str
    writes: int = 0
    most_mb: float = 0.0
    took_s: float = 0.0

    @property
    def told(self) -> str:
        return f"exit code {self.code}\n{self.out[-1500:]}\n{self.err[-1500:]}"


def tried(
    arguments: Sequence[object],
    folder: Path,
    *,
    kill_at: int | None = None,
    kill_after_s: float | None = None,
    interrupt_after_s: float | None = None,
    count: bool = False,
) -> Ended:
    """Run a command as a process that is this one, forked: what is loaded need not be loaded again.

    kill_at : kill it at its n-th call that writes; count : count those calls. Both need strace.
    """
    begin, go = os.pipe()
    pid = os.fork()
    if not pid:
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        os.close(go)
        os.read(begin, 1)
        _command([str(a) for a in arguments], folder)
    os.close(begin)
    tracer = _traced(pid, folder / "calls", kill_at) if count or kill_at else None
    os.write(go, b"!")
    os.close(go)
    began = time.monotonic()
    status, most_mb = _waited(pid, kill_after_s, interrupt_after_s)
    took_s = time.monotonic() - began
    if tracer:
        tracer.wait()
    code = os.waitstatus_to_exitcode(status)
    writes = len(re.findall(r"^\d+ +(?!\+\+\+|---)", (folder / "calls").read_text(), re.M)) if tracer else 0
    return Ended(code, _text(folder / "out"), _text(folder / "err"), writes, most_mb, took_s)


def _text(path: Path) -> str:
    return path.read_text("utf-8", "replace")


def _command(arguments: list[str], folder: Path) -> None:
    code = 70
    try:
        for number, name in enumerate(("out", "err"), 1):
            os.dup2(os.open(folder / name, os.O_WRONLY | os.O_CREAT | os.O_TRUNC), number)
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        sys.stdin, sys.stdout, sys.stderr = (
            os.fdopen(os.dup(n), how, encoding="utf-8") for n, how in ((0, "r"), (1, "w"), (2, "w"))
        )
        signal.signal(signal.SIGINT, signal.default_int_handler)
        _listening_from_its_first_line()
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        os.environ["NO_COLOR"] = "1"
        sys.argv = ["startroll", *arguments]
        from register.cli.app import main

        code = _code_of(main)
        sys.stdout.flush()
        sys.stderr.flush()
    finally:
        os._exit(code)


def _listening_from_its_first_line() -> None:
    """An interrupt that comes while this process is made ready waits for the command."""
    from register.cli import app

    made_ready = app._prepared

    def prepared() -> None:
        made_ready()
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})

    app._prepared = prepared


def _code_of(main) -> int:
    import traceback

    try:
        main()
    except SystemExit as ended:
        return ended.code if isinstance(ended.code, int) else 0 if ended.code is None else 1
    except BaseException:
        traceback.print_exc()
        return 70
    return 0


def _traced(pid: int, calls: Path, kill_at: int | None) -> subprocess.Popen:
    what = [f"--inject={WRITES}:signal=SIGKILL:when={kill_at}"] if kill_at else []
    tracer = subprocess.Popen([STRACE, "-f", "-qq", "-o", calls, f"--trace={WRITES}", *what, "-p", str(pid)])
    while tracer.poll() is None and "TracerPid:\t0" in Path(f"/proc/{pid}/status").read_text():
        time.sleep(0.002)
    return tracer


def _waited(pid: int, kill_after_s: float | None, interrupt_after_s: float | None) -> tuple[int, float]:
    watch = os.pidfd_open(pid)
    try:
        for after_s, sent in ((kill_after_s, signal.SIGKILL), (interrupt_after_s, signal.SIGINT)):
            if after_s is not None and not select.select([watch], [], [], after_s)[0]:
                os.kill(pid, sent)
        if not select.select([watch], [], [], HANGS_S)[0]:
            os.kill(pid, signal.SIGKILL)
            os.waitpid(pid, 0)
            raise AssertionError(f"it did not end within {HANGS_S} s")
    finally:
        os.close(watch)
    _, status, used = os.wait4(pid, 0)
    return status, used.ru_maxrss / 1024
