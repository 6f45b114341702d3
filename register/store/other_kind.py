"""A file under the name of a register that no SQLite wrote: a text, a workbook, a page."""

from __future__ import annotations

from pathlib import Path

from register.errors import Problem, RegisterDamaged

BEGINS = b"SQLite format 3\0"  # every SQLite file


def of_another_kind(path: Path, found: str) -> RegisterDamaged | None:
    """The error of a file that begins otherwise than any SQLite file does; None of one that begins so.

    Parameters
    ----------
    found : what is wrong, as the sentence begins.
    """
    try:
        with path.open("rb") as file:
            begins = file.read(len(BEGINS))
    except OSError:
        return None
    if begins == BEGINS[: len(begins)]:
        return None
    told = f"{found}: it does not begin as one; it is of another kind (a text, a workbook) or damaged"
    remedy = (
        "ask for the register itself; a list is taken in by the command take-in; a lost register is in the last backup"
    )
    return RegisterDamaged(Problem(told, remedy, str(path)))


def too_short(path: Path, size: int) -> RegisterDamaged:
    """The error of a file of fewer bytes than any register has."""
    found = f"{size} bytes are no register"
    empty = Problem(f"{found}: it is empty or was cut off", "go back to the last backup, or make a new one", str(path))
    return of_another_kind(path, found) or RegisterDamaged(empty)
