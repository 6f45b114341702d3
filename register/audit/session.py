"""A register opened for an audit: with the rules it is judged by, and the day."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sqlite_utils import Database

from register.audit.judge import Audit, Progress, run
from register.audit.override_places import refuse_unknown_places
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Pack
from register.store import clock
from register.store.database import opened
from register.store.queries import positions


@dataclass(frozen=True, slots=True)
class AuditRequest:
    """What is asked of an audit.

    Without `today` it is judged as on the day that it is on site. `site_rules` is a folder of the
    site's own rules and limits. `measured_only` uses no assumed value; `area` limits it to one area.
    """

    today: date | None = None
    site_rules: Path | None = None
    measured_only: bool = False
    area: str | None = None


@dataclass(frozen=True, slots=True)
class Session:
    """An open register, the rules and limits in force, the day, and what was asked."""

    path: Path
    request: AuditRequest
    db: Database
    pack: Pack
    today: date

    @property
    def measured_only(self) -> bool:
        """True when no assumed value is used."""
        return self.request.measured_only

    def audit(self, *, tags: Iterable[str] | None = None, progress: Progress | None = None) -> Audit:
        """Judge these positions; without, those of the area asked for, or all of the register."""
        if tags is None and self.request.area is not None:
            tags = [row["tag"] for row in positions(self.db, area=self.request.area)]
        return run(self.db, self.pack, today=self.today, measured_only=self.measured_only, tags=tags, progress=progress)


@contextmanager
def session(path: Path, request: AuditRequest, *, write: bool | None = None) -> Iterator[Session]:
    """Open a register for an audit, load its rules once, and fix the day.

    Parameters
    ----------
    write : True where something is to be entered, False where the file shall not be touched; None
        keeps the facts worked out in the file where it can be written, and beside it where not.
    """
    pack = load_pack(site_folder=request.site_rules)
    with opened(path, write=os.access(path, os.W_OK) if write is None else write) as db:
        refuse_unknown_places(db, pack)
        yield Session(path, request, db, pack, request.today or clock.today(db))
