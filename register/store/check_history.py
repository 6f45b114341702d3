"""Whether a register's history is as it was sealed: what `startroll verify REGISTER` says."""

from __future__ import annotations

from pathlib import Path

from sqlite_utils import Database

from register.errors import Problem, RegisterError
from register.store import seals
from register.store.database import opened
from register.store.odd_values import odd_values
from register.text import counted

SQLITE = b"SQLite format 3\0"


def is_register(path: Path) -> bool:
    """True for a file that begins as SQLite's files do."""
    if not path.is_file():
        return False
    with path.open("rb") as file:
        return file.read(len(SQLITE)) == SQLITE


def check_history(path: Path, *, expect: str | None = None) -> list[str]:
    """Sentences on a history whose seals all fit.

    expect : the last seal, as it was noted elsewhere.
    Errors: RegisterError, naming the first change-set whose seal does not fit, or that the seal expected is none of it.
    """
    with opened(path) as db:
        found = seals.checked(db.conn)
        if found.wrong is not None:
            raise RegisterError(_broken(db, path, found.wrong))
        if expect and not seals.holds(db.conn, expect):
            cause = "its history lacks the seal that was expected: another register, or a history made anew"
            raise RegisterError(Problem(cause, "compare with the register that the seal was noted of", str(path)))
        odd = odd_values(db)
    told = [f"{path}: {counted(found.change_sets, 'seal')} on its history, and all fit"]
    if found.unsealed:
        told.append(f"{counted(found.unsealed, 'change')} since, by another program: the next entry seals them")
    if found.outside:
        told.append(f"{counted(found.outside, 'change')} in all by other programs, without who and why")
    told += [f"{sentence}: no rule judges by it; correct it, or find out which program wrote it" for sentence in odd]
    if found.seal:
        told += ["Last seal, to be noted elsewhere:", found.seal]
    return told


def _broken(db: Database, path: Path, number: int) -> Problem:
    row = db.execute("SELECT made_on, author, reason FROM change_set WHERE change_set = ?", [number]).fetchone()
    whose = f", {row[0]}, {row[1] or 'nobody named'}: {row[2]!r}" if row else ", which is gone"
    return Problem(
        f"its history is not as it was sealed; the first seal that does not fit is of change-set {number}{whose}",
        "what was recorded there or before it was altered afterwards: compare with a backup made before",
        str(path),
    )
