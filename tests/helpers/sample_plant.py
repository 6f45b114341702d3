"""The sample plants: their files, and a register made of each."""

from __future__ import annotations

import csv
import pickle
import shutil
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import sqlite_utils

from register.audit.session import AuditRequest, session
from register.columns import COLUMNS, TABLES
from register.intake.take_in import take_in
from register.store.database import create, opened

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
PLANTS = ("demo-plant", "small-plant")
DAY = date(2026, 11, 25)
sys.path.insert(0, str(SAMPLES))


def table_files(folder: Path) -> list[Path]:
    """The plant's tables, without the list of faults."""
    return sorted(path for path in folder.glob("*.csv") if path.stem in TABLES)


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def site_of(folder: Path) -> dict[str, object]:
    """The one row of the plant's site, less its blanks."""
    row = rows(folder / "site.csv")[0]
    return {k: float(v) if COLUMNS[k].is_number else v for k, v in row.items() if v}


shared: Path | None = None  # where the processes of one run keep what they make once; conftest.py says


class Sample:
    """One plant: its folder, its register in a file, what the intake said."""

    def __init__(self, plant: str, folder: Path) -> None:
        self.folder = SAMPLES / plant
        made = _made_once(plant, shared or folder)
        self.path = Path(shutil.copy(made / "register.db", folder / f"{plant}.db"))
        self.plan, self.applied = pickle.loads((made / "taken-in.pickle").read_bytes())
        self.seeded = {(r["tag"], r["rule"]) for r in rows(self.folder / "seeded.csv")}

    @contextmanager
    def copy(self) -> Iterator[sqlite_utils.Database]:
        """The register in memory, to be spoilt."""
        with opened(self.path) as db:
            memory = sqlite_utils.Database(memory=True)
            db.conn.backup(memory.conn)
        memory.conn.execute("PRAGMA foreign_keys = ON")
        yield memory
        memory.conn.close()


def _made_once(plant: str, root: Path) -> Path:
    """The folder with the plant's register, made by whichever process comes first."""
    made = root / plant
    with _locked(root / f"{plant}.lock"):
        if not made.exists():
            part = root / f"{plant}.part"
            part.mkdir()
            create(part / "register.db", site_of(SAMPLES / plant))
            taken_in = take_in(part / "register.db", table_files(SAMPLES / plant), reason="sample", author="test")
            (part / "taken-in.pickle").write_bytes(pickle.dumps(taken_in))
            # Its facts lie in it, as after any audit; every test would work out the same.
            with session(part / "register.db", AuditRequest(today=DAY), write=True) as audited:
                audited.audit()
            part.rename(made)
    return made


@contextmanager
def _locked(path: Path) -> Iterator[None]:
    """Held by one process at a time; a file that only one can make is understood everywhere."""
    for _ in range(6000):
        try:
            path.touch(exist_ok=False)
            break
        except FileExistsError:
            time.sleep(0.1)
    try:
        yield
    finally:
        path.unlink(missing_ok=True)
