"""Groups that one answer may settle: a column blank at positions that are alike, and verdicts that wait for it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from register.audit.finding import Unknown
from register.audit.findings import unknowns
from register.audit.report import read_at
from register.audit.session import Session
from register.columns import FACTS, TABLES
from register.errors import StartrollError
from register.intake.correct import settable
from register.planning.group_filter import EVERYWHERE, quoted
from register.text import shown

MOST, SHOWN_VALUES = 20, 3
# What positions have in common, by which an answer for all of them can be given from knowledge of the plant.
ALIKE: tuple[tuple[str, ...], ...] = (
    (), ("area",), ("bus",), ("device_kind",), ("load_kind",), ("service_kind",), ("motor_type",), ("model",),
    ("bypass_arrangement",), ("area", "device_kind"), ("area", "load_kind"), ("bus", "device_kind"),
    ("device_kind", "load_kind"), ("device_kind", "bypass_arrangement"),
)  # fmt: skip
# Nobody knows beforehand of a group without any value whether it has one in common.
WHERE_NONE_IS_KNOWN = 0.5
# How fast a group loses its place where values known there differ: they will where it is blank.
SHARPNESS = 4

# A wrong answer to these can hurt someone: proposed within an area or a lineup only, never for a plant at once.
NEVER_WIDE = {"hazardous_area", "restart_hurts", "restarts_by_itself", "local_stop", "emergency_stop"}
MEASURED = "measured_"  # of one start at one position

Blank = tuple[str, str]  # tag and column


@dataclass(frozen=True)
class Proposal:
    """A column blank at `blank` positions that `where` selects, for which `verdicts` wait; `alone` for nothing else.

    `known` are the values that other positions of the group have, the most frequent first, with their count.
    """

    column: str
    where: str
    area: str | None
    sentence: str
    unit: str
    choices: tuple[str, ...]
    read_at: str
    blank: tuple[str, ...]
    verdicts: int
    majors: int
    alone: int
    known: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class _Group:
    column: str
    where: str
    blank: tuple[Blank, ...]
    known: Counter[Any]

    @property
    def likeness(self) -> float:
        """How much one answer for all of it is to be expected, 0 to 1."""
        if not self.known:
            return WHERE_NONE_IS_KNOWN
        return (max(self.known.values()) / self.known.total()) ** SHARPNESS


def proposals(session: Session, *, most: int = MOST, without: Container[tuple[str, str]] = ()) -> list[Proposal]:
    """The groups worth an answer, each chosen as if those before it were answered.

    A group is worth what its blanks are: each its share of the verdicts that wait for it and for others. It
    counts less where the values known there differ. `without` are columns and filters not to be proposed again.
    """
    audit = session.audit()
    waiting = _waiting(unknowns(session.db, audit), audit.verdicts.tags)
    groups = [g for g in _groups(session, waiting.blanks) if (g.column, g.where) not in without]
    found: list[Proposal] = []
    while groups and len(found) < most:
        worth = waiting.worth()
        best = max(groups, key=lambda g: g.likeness * sum(worth.get(blank, 0.0) for blank in g.blank))
        if not any(blank in worth for blank in best.blank):
            break
        found.append(waiting.proposal(best, session.request.area))
        waiting.answer(best.blank)
        groups.remove(best)
    return found


class _Waiting:
    """The unknown verdicts, and the blanks that each still waits for."""

    def __init__(self, verdicts: Iterable[tuple[Unknown, set[Blank]]]) -> None:
        self.open = [(unknown, blanks) for unknown, blanks in verdicts if blanks]
        self.by_blank: dict[Blank, list[int]] = defaultdict(list)
        for place, (_, blanks) in enumerate(self.open):
            for blank in blanks:
                self.by_blank[blank].append(place)

    @property
    def blanks(self) -> list[Blank]:
        return list(self.by_blank)

    def worth(self) -> dict[Blank, float]:
        """What each blank is worth: a share of every verdict that waits for it."""
        found: dict[Blank, float] = defaultdict(float)
        for _, blanks in self.open:
            for blank in blanks:
                found[blank] += 1 / len(blanks)
        return found

    def answer(self, blanks: Iterable[Blank]) -> None:
        """Go on as if these were filled."""
        for blank in blanks:
            for place in self.by_blank.get(blank, ()):
                self.open[place][1].discard(blank)

    def proposal(self, group: _Group, area: str | None) -> Proposal:
        """The group with what waits for it now."""
        column, own = settable(group.column), set(group.blank)
        places = {place for blank in group.blank for place in self.by_blank[blank] if blank in self.open[place][1]}
        known = group.known.most_common(SHOWN_VALUES)
        return Proposal(
            column=group.column,
            where=group.where,
            area=area,
            sentence=column.sentence,
            unit=column.unit,
            choices=column.choices,
            read_at=read_at(group.column),
            blank=tuple(tag for tag, _ in group.blank),
            verdicts=len(places),
            majors=sum(self.open[place][0].grade == "major" for place in places),
            alone=sum(self.open[place][1] <= own for place in places),
            known=tuple((shown(value, column.unit), count) for value, count in known),
        )


def _waiting(found: Iterable[Unknown], judged: Iterable[str]) -> _Waiting:
    """What waits for something at the positions judged."""
    there = set(judged)
    at = ((u, {(tag, name) for name in u.fields for tag in u.elsewhere.get(name, (u.tag,))}) for u in found)
    return _Waiting((u, blanks) for u, blanks in at if any(tag in there for tag, _ in blanks))


def _groups(session: Session, blanks: Iterable[Blank]) -> Iterator[_Group]:
    """Every group with a column blank at two of its positions or more."""
    names = list(dict.fromkeys(name for _, name in blanks if _answerable(name)))
    alike = list(dict.fromkeys(name for own in ALIKE for name in own))
    columns = list(dict.fromkeys(["tag", *alike, *names]))
    area = session.request.area
    found = session.db.conn.execute(
        f"SELECT {', '.join(columns)} FROM facts WHERE ?1 IS NULL OR area = ?1 ORDER BY +tag", [area]
    )
    rows = [dict(zip(columns, row, strict=True)) for row in found]
    waits = set(blanks)
    seen: set[tuple[Blank, ...]] = set()
    for own in ALIKE:
        for values, members in _parted(rows, own).items():
            near = "area" in own or "bus" in own or area is not None
            for name in (name for name in names if name not in own and (near or name not in NEVER_WIDE)):
                group = _group(name, _filter(own, values), members, waits)
                # Of two groups with the same blanks the wider one comes first; the other tells no more.
                # Nobody answers for a whole plant what is known nowhere in it.
                if not own and not group.known:
                    continue
                if len(group.blank) > 1 and (group.blank not in seen or len(group.known) > 1):
                    seen.add(group.blank)
                    yield group


def _group(name: str, where: str, members: Iterable[Mapping[str, Any]], waits: Container[Blank]) -> _Group:
    blank = tuple((r["tag"], name) for r in members if r[name] is None and (r["tag"], name) in waits)
    return _Group(name, where, blank, Counter(r[name] for r in members if r[name] is not None))


def _parted(rows: Iterable[dict[str, Any]], own: tuple[str, ...]) -> dict[tuple, list[dict[str, Any]]]:
    parts: dict[tuple, list[dict[str, Any]]] = defaultdict(list)
    for row in rows:
        values = tuple(row[name] for name in own)
        if None not in values:
            parts[values].append(row)
    return parts


def _filter(own: tuple[str, ...], values: tuple[str, ...]) -> str:
    return " AND ".join(f"{n} = {quoted(v)}" for n, v in zip(own, values, strict=True)) or EVERYWHERE


@cache
def _answerable(name: str) -> bool:
    """Whether a column can have one value for several positions."""
    if name not in FACTS:
        return False
    try:
        column = settable(name)
    except StartrollError:
        return False
    return name not in TABLES[column.table].key and not column.references and not name.startswith(MEASURED)
