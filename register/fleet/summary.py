"""The map: registers to summaries, a group at a time; one that can't be judged is a row with its reason."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import register
from register.audit.judge import judged_facts, run, standards_of
from register.audit.override_places import refuse_unknown_places
from register.errors import StartrollError
from register.facts.changes import not_applicable
from register.facts.entered_rows import OfFacts
from register.fleet import of_register
from register.fleet.asked import Asked, judged_by
from register.fleet.joined import Joined, joined
from register.fleet.judged import Rows, rows_of
from register.fleet.kept import Known
from register.fleet.places import Place, stamp
from register.fleet.tables import TABLES
from register.fleet.unknown import Behind
from register.rulebook.model import Pack
from register.store import clock
from register.store.database import NOTICES
from register.store.snapshot import Snapshot, snapshot

# The tables whose pages are checked whole before they are relied on; what judging reads of the others, it meets.
CHECKED = ("site", "bus", "position", "motor", "model", "device", "setting", "event")
UNFORESEEN = "report this, with the file: it is a defect of the program"


@dataclass
class Summary:
    """One register's tables, by name; `same` where what is kept of it still holds and nothing is given."""

    plant: str
    day: str
    tables: dict[str, list[tuple]] = field(default_factory=dict)
    same: bool = False


@dataclass
class _Taken:
    """A register that was read and waits to be judged, or was judged already."""

    place: Place
    day: date
    packs: dict[str, Pack]
    head: dict[str, Any]
    tables: dict[str, list[tuple]]
    accepted: set[tuple[str, str]]
    behind: Behind | None = None
    rows: dict[str, Rows] = field(default_factory=dict)


def summaries(places: Sequence[Place], asked: Asked, known: Mapping[str, Known]) -> list[Summary]:
    """The summary of each of some registers, in their order.

    Parameters
    ----------
    places : a group; those that are judged by the same rules on the same day are judged in one scan.
    known : by plant, what is kept already.
    """
    done: dict[str, Summary] = {}
    with ExitStack() as stack:
        scratch = Path(stack.enter_context(TemporaryDirectory(prefix="startroll-fleet-")))
        groups = _Groups(asked, scratch, stack)
        for place in places:
            try:
                taken = _read(place, asked, known.get(place.key), groups)
            except Exception as error:  # one register never stops the others
                done[place.key] = refused(place, asked, error)
                continue
            if isinstance(taken, Summary):
                done[place.key] = taken
        for taken in groups.judged():
            done[taken.place.key] = _summary(taken)
        done |= {place.key: refused(place, asked, error) for place, error in groups.failed}
    return [done[place.key] for place in places]


class _Groups:
    """Registers to judge together, by the rules and the day that they share."""

    def __init__(self, asked: Asked, scratch: Path, stack: ExitStack) -> None:
        self.asked = asked
        self.failed: list[tuple[Place, Exception]] = []
        self._alone: list[_Taken] = []
        self._scratch, self._stack = scratch, stack
        # The files of rules are looked at once for a group.
        self.packs = cache(self._packs)
        self._joined: dict[tuple[str, date], tuple[Joined, list[_Taken]]] = {}

    def _packs(self, own_rules: Path | None) -> tuple[dict[str, Pack], str]:
        packs = self.asked.packs(own_rules)
        return packs, judged_by(packs, self.asked)

    def add(self, taken: _Taken, snap: Snapshot) -> None:
        """Take the facts of a register; it is judged at once where its rules name positions of its own."""
        pack = taken.packs["own"]
        standards = standards_of(pack, self.asked.measured_only)
        named = any(o.layer == "position" for own in taken.packs.values() for o in own.overrides)
        if named or any(not_applicable(snap.db.conn, standards.used).values()):
            self._alone.append(judged_alone(taken, snap.db, self.asked))
            return
        key = (str(pack.site_folder), taken.day)
        if key not in self._joined:
            folder = self._scratch / str(len(self._joined))
            folder.mkdir()
            self._joined[key] = (self._stack.enter_context(joined(folder)), [])
        place, members = self._joined[key]
        place.add(snap.db, len(members), standards)
        taken.behind = Behind.of(snap.db)
        members.append(taken)

    def judged(self) -> list[_Taken]:
        """All registers taken, judged; those that will not be judged together are tried one by one."""
        for place, members in self._joined.values():
            try:
                self._judge(place, members)
            except Exception:
                self._one_by_one(members)
        return [*self._alone, *(t for _, members in self._joined.values() for t in members if t.rows)]

    def _judge(self, place: Joined, members: list[_Taken]) -> None:
        behind = {str(n): t.behind for n, t in enumerate(members) if t.behind is not None}
        accepted = {str(n): t.accepted for n, t in enumerate(members)}
        for by, pack in members[0].packs.items():
            standards = standards_of(pack, self.asked.measured_only)
            entered = OfFacts(place.db, standards.used)
            audit = judged_facts(place.db, pack, standards, today=members[0].day, entered=entered)
            found = rows_of(place.db, audit, by, behind, accepted)
            for number, taken in enumerate(members):
                taken.rows[by] = found[str(number)]

    def _one_by_one(self, members: list[_Taken]) -> None:
        for taken in members:
            try:
                with snapshot(taken.place.path) as snap:
                    judged_alone(taken, snap.db, self.asked)
            except Exception as error:
                taken.rows = {}
                self.failed.append((taken.place, error))


def judged_alone(taken: _Taken, db: Any, asked: Asked) -> _Taken:
    """Judge one open register, as an audit of it does."""
    for by, pack in taken.packs.items():
        audit = run(db, pack, today=taken.day, measured_only=asked.measured_only)
        taken.rows[by] = rows_of(db, audit, by, {"": Behind.of(db)}, {"": taken.accepted})[""]
    return taken


def _read(place: Place, asked: Asked, kept: Known | None, groups: _Groups) -> _Taken | Summary:
    """What a register says of itself; or that nothing has changed since it was kept."""
    NOTICES.clear()
    packs, by = groups.packs(place.own_rules)
    seen = stamp(place.path)
    with snapshot(place.path, checked=CHECKED) as snap:
        day = asked.today or clock.today(snap.db)
        if kept and (kept.register_hash, kept.judged_by, kept.day) == (snap.content_hash, by, day.isoformat()):
            return Summary(place.key, kept.day, same=True)
        refuse_unknown_places(snap.db, packs["own"])
        since, failed = of_register.failures(snap.db, day)
        tables = {name: getattr(of_register, name)(snap.db) for name in ("models", "ages", "settings", "audits")}
        own = [r for r in packs["own"].rules if r.path.is_relative_to(place.own_rules)] if place.own_rules else []
        tables |= {"failures": failed, "rules": [(r.id, r.title, r.title_failed) for r in own]}
        head = of_register.head(snap.db) | {
            "records_since": since,
            "own_rules": packs["own"].hash if place.own_rules else None,
            "judged_by": by,
            "register_hash": snap.content_hash,
            "size": snap.size,
            "stamp": seen,
            "form": snap.form,
        }
        taken = _Taken(place, day, packs, head, tables, of_register.accepted(snap.db, day))
        groups.add(taken, snap)
        notes = (*snap.notes, *(notice.cause for notice in NOTICES))
        head["notes"] = "; ".join(dict.fromkeys(notes)) or None
        NOTICES.clear()
    return taken


def _summary(taken: _Taken) -> Summary:
    rows = list(taken.rows.values())
    counts = {"positions": "position", "buses": "bus", "in_store": "device in store"}
    made = {name: [row for own in rows for row in getattr(own, name)] for name in ("verdicts", "findings")}
    made["unknown"] = taken.rows["own"].unknown
    judged = taken.rows["own"].judged
    head = taken.head | {name: judged.get(subject, 0) for name, subject in counts.items()}
    head |= {"rules": len({row[2] for row in taken.rows["own"].verdicts}), "verdicts": taken.rows["own"].outcomes}
    return Summary(
        taken.place.key, taken.day.isoformat(), {"plants": [_head(taken.place, head)], **made, **taken.tables}
    )


def _head(place: Place, known: dict[str, Any]) -> tuple:
    known = {"place": place.told, "program": register.__version__, **known}
    return tuple(known.get(f.name) for f in TABLES["plants"])


def refused(place: Place, asked: Asked, error: Exception) -> Summary:
    """A summary of nothing but why."""
    if isinstance(error, StartrollError):
        told = [(problem.cause, problem.remedy) for problem in error.problems]
    elif isinstance(error, (sqlite3.Error, OSError)):
        told = [(f"it cannot be read: {error}", "go back to the last backup, or check its rights")]
    else:
        told = [(f"the program met what it did not foresee: {type(error).__name__}: {error}", UNFORESEEN)]
    head = {
        "reason": "; ".join(cause for cause, _ in told),
        "remedy": "; ".join(dict.fromkeys(remedy for _, remedy in told if remedy)) or None,
        "stamp": "",
    }
    day = asked.today or datetime.now(UTC).date()
    return Summary(place.key, day.isoformat(), {"plants": [_head(place, head)]})
