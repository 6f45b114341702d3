"""Work on a file of someone else in a child process of its own, with bounds on memory and time.

A reader of workbooks lays out what a few bytes tell it to, and ends its process when memory fails it. The bounds are
those of Linux; elsewhere the work is done in place.
"""

from __future__ import annotations

import faulthandler
import os
import pickle
import signal
import sys
import warnings
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any, TypeVar

from register.errors import SheetError
from register.intake.input_bounds import RAISE, memory_mb, most_mb, refused

Made = TypeVar("Made")
# A list of 500,000 cells, the longest that is taken, is read in 5 s.
MOST_S = 60
OUT_OF_MEMORY = 71
ANEW = "open it in a spreadsheet program and save it again"
PAGES = Path("/proc/self/statm")


def within_bounds(path: Path, work: Callable[[], Made]) -> Made:
    """What `work` makes of a file, which must be of plain values; whatever it raises.

    path : the file, for the message; work : done with at most `memory_mb` more memory than there is now, and 60 s of
    the processor.

    Errors: SheetError where that is not enough, or where the reader ends its process.
    """
    if sys.platform != "linux":
        return work()
    there, away = os.pipe()
    with warnings.catch_warnings():
        # The child calls a reader and ends: it needs no lock that another thread may hold.
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if not child:
        os.close(there)
        _worked(path, away, work)
    os.close(away)
    answer: tuple[bool, Any] | None = None
    try:
        with os.fdopen(there, "rb") as pipe, suppress(EOFError, pickle.UnpicklingError):
            answer = pickle.load(pipe)
    except BaseException:
        os.kill(child, signal.SIGKILL)
        raise
    finally:
        code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    if answer is None:
        raise _ended(path, code)
    done, made = answer
    if not done:
        raise made
    return made


def _worked(path: Path, away: int, work: Callable[[], object]) -> None:
    """Do it, send what came of it, and end this process."""
    code = 1
    try:
        signal.signal(signal.SIGINT, signal.SIG_DFL)
        faulthandler.disable()
        os.dup2(os.open(os.devnull, os.O_WRONLY), 2)  # a reader that fails prints of itself
        _bounded()
        answer: tuple[bool, object]
        try:
            answer = True, work()
        except MemoryError:
            raise
        except Exception as error:
            answer = False, error
        except BaseException as error:  # a reader's panic: of another library, it may be no plain value
            answer = False, refused(path, f"no sound list ({type(error).__name__})", ANEW)
        with os.fdopen(away, "wb") as pipe:
            pickle.dump(answer, pipe, pickle.HIGHEST_PROTOCOL)
        code = 0
    except MemoryError:
        code = OUT_OF_MEMORY
    finally:
        os._exit(code)


def _bounded() -> None:
    import resource

    now = int(PAGES.read_text().split()[0]) * os.sysconf("SC_PAGE_SIZE")
    bounds = ((resource.RLIMIT_AS, now + memory_mb() * 2**20), (resource.RLIMIT_CPU, MOST_S), (resource.RLIMIT_CORE, 0))
    for kind, most in bounds:
        soft, hard = resource.getrlimit(kind)
        most = min([most, *(limit for limit in (soft, hard) if limit != resource.RLIM_INFINITY)])
        resource.setrlimit(kind, (most, hard))


def _ended(path: Path, code: int) -> SheetError:
    if code == -signal.SIGXCPU:
        return refused(path, f"reading it takes longer than {MOST_S} s", "split the list")
    if code in (-signal.SIGABRT, -signal.SIGKILL, OUT_OF_MEMORY):
        remedy = f"save it again without what does not belong to the list; {RAISE.format(4 * most_mb())}"
        return refused(path, f"reading it takes more than {memory_mb()} MB of memory", remedy)
    return refused(path, f"no sound list (its reader ended with {code})", ANEW)
