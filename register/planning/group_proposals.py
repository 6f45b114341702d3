"""Groups that one answer may settle: columns blank at positions that are alike, by the verdicts it would decide."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from math import comb
from typing import Any

from register.audit.report import read_at
from register.audit.session import Session
from register.audit.stands import stand
from register.columns import TABLES
from register.errors import StartrollError
from register.facts.base import BASE
from register.facts.whatif import entered
from register.intake.correct import settable
from register.planning.collect.waiting import Blank, blank_at, waiting
from register.planning.collect.worth import Ask, Worth, worth
from register.planning.group_filter import EVERYWHERE, quoted
from register.text import shown

MOST, SHOWN_VALUES = 20, 3
# What positions have in common, by which an answer for all of them can be given from knowledge of the plant.
ALIKE: tuple[tuple[str, ...], ...] = (
    (), ("area",), ("bus",), ("device_kind",), ("load_kind",), ("service_kind",), ("motor_type",), ("model",),
    ("bypass_arrangement",), ("start_mode",), ("stop_mode",), ("coupling",), ("speed_need",), ("control_scheme",),
    ("area", "device_kind"), ("area", "load_kind"), ("area", "service_kind"), ("bus", "device_kind"),
    ("bus", "load_kind"), ("device_kind", "load_kind"), ("device_kind", "bypass_arrangement"),
    ("load_kind", "start_mode"), ("load_kind", "stop_mode"), ("load_kind", "coupling"),
    ("load_kind", "start_condition"),
)  # fmt: skip
UNKNOWN = 0.5  # nobody knows beforehand of a column without any value whether positions have one in common
# So many positions of a group a person may name as exceptions in one breath; what needs more is left out.
EXCEPTIONS = 5
TOGETHER = 12  # columns of one place that are asked together

# A wrong answer to these can hurt someone: proposed within an area or a lineup only, never for a plant at once.
NEVER_WIDE = {
    "hazardous_area", "area_class", "ex_protection", "restart_hurts", "restarts_by_itself", "local_stop",
    "emergency_stop", "interrupting_ka", "bypass_isolated",
}  # fmt: skip
MEASURED = "measured_"  # of one start at one position


@dataclass(frozen=True)
class ProposedColumn:
    """A column of a group, and the positions where it is blank.

    `known` are the values that other positions of the group have, the most frequent first, with their count.
    """

    column: str
    sentence: str
    unit: str
    choices: tuple[str, ...]
    read_at: str
    blank: tuple[str, ...]
    known: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Proposal:
    """Columns blank at positions which `where` selects, known at one place or from one document: `read_at`.

    `verdicts` wait for them, `majors` of these are of grade major; `decides` is how many an answer decides, on
    average over the values tried, all those before it being answered.
    """

    read_at: str
    where: str
    area: str | None
    columns: tuple[ProposedColumn, ...]
    verdicts: int
    majors: int
    decides: float


@dataclass(frozen=True)
class _Part:
    column: str
    blanks: tuple[tuple[str, Blank], ...]
    known: Counter[Any]

    @property
    def cells(self) -> Ask:
        """What an answer fills."""
        return frozenset(blank for _, blank in self.blanks)

    @property
    def exceptions(self) -> float:
        """How many exceptions are to be expected."""
        usual = max(self.known.values()) / self.known.total() if self.known else UNKNOWN
        return (1.0 - usual) * len(self.blanks)

    @cached_property
    def one_value(self) -> float:
        """How probable it is that most of the blanks have one value, and few enough another."""
        if not self.known:
            return UNKNOWN
        whole = self.known.total() + 1  # one more than is known, of a value that is not
        return min(1.0, sum(_most_alike(len(self.blanks), count / whole) for count in self.known.values()))


@cache
def _most_alike(blanks: int, share: float) -> float:
    """The probability that so many of some blanks have a value of this share that the others are exceptions."""
    least = max(2, -(-blanks // 2), blanks - EXCEPTIONS)
    return sum(comb(blanks, n) * share**n * (1.0 - share) ** (blanks - n) for n in range(least, blanks + 1))


@dataclass(frozen=True)
class _Group:
    """Columns of one place: those for which one value is to be expected come first, `likely` of them."""

    read_at: str
    where: str
    parts: tuple[_Part, ...]
    likely: int

    @property
    def cells(self) -> Ask:
        """What an answer is expected to fill."""
        return _filled(self.parts[: self.likely])


def _filled(parts: Iterable[_Part]) -> Ask:
    return frozenset(cell for part in parts for cell in part.cells)


def proposals(session: Session, *, most: int = MOST, without: Container[tuple[str, str]] = ()) -> list[Proposal]:
    """The groups worth an answer, each chosen as if those before it were answered.

    A group is worth the verdicts that it decides, as found by trying, each column counted by how probable it is that
    it has one value there. It has the columns of one place; first those that mostly have one value where they are
    known, then others, which a person who is asked anyway may know. `without` are columns and filters not to be
    proposed again.
    """
    verdicts = waiting(session.db, session.audit())
    state = _Filled(worth(session, verdicts))
    groups = list(_groups(session, state.blanks, without))
    gains = {at: _worth(group, state) for at, group in enumerate(groups)}
    found: list[Proposal] = []
    while gains and len(found) < most:
        best = max(gains, key=lambda at: gains[at])
        if gains.pop(best) < 1.0:
            break
        found.append(_proposal(groups[best], state, session.request.area))
        moved = state.fill(groups[best].cells)
        gains |= {at: _worth(groups[at], state) for at in gains if not moved.isdisjoint(state.behind(groups[at].cells))}
    return found


def _worth(group: _Group, state: _Filled) -> float:
    """How many verdicts an answer is expected to decide, column after column."""
    worth = before = 0.0
    for count, part in enumerate(group.parts[: group.likely], 1):
        gain = state.gain(_filled(group.parts[:count]))
        worth, before = worth + part.one_value * (gain - before), gain
    return worth


class _Filled:
    """How surely each verdict is decided with what is filled so far."""

    def __init__(self, tried: Worth) -> None:
        self.verdicts, self.filled = tried.verdicts, set[Blank]()
        self.now: dict[int, float] = defaultdict(float)
        self.ways: dict[int, list[tuple[Ask, float]]] = defaultdict(list)
        self.by_blank: dict[Blank, set[int]] = defaultdict(set)
        for ask, effects in tried.asks.items():
            for number, share in effects.items():
                self.ways[number].append((ask, share))
        for number, verdict in enumerate(self.verdicts):
            for blank in verdict.blanks:
                self.by_blank[blank].add(number)

    @property
    def blanks(self) -> Container[Blank]:
        return self.by_blank

    def behind(self, cells: Ask) -> set[int]:
        """The verdicts that wait for some of these cells."""
        return set().union(*(self.by_blank[cell] for cell in cells))

    def gain(self, cells: Ask) -> float:
        """How many verdicts more are decided with these filled."""
        return sum(more for _, more in self._moved(cells))

    def fill(self, cells: Ask) -> set[int]:
        """Go on as if these were filled; the verdicts whose blanks changed."""
        for number, more in list(self._moved(cells)):
            self.now[number] += more
        self.filled |= cells
        return self.behind(cells)

    def _moved(self, cells: Ask) -> Iterator[tuple[int, float]]:
        whole = cells | self.filled
        for number in self.behind(cells):
            share = max((own for ask, own in self.ways[number] if ask <= whole), default=0.0)
            if share > self.now[number]:
                yield number, share - self.now[number]


def _proposal(group: _Group, state: _Filled, area: str | None) -> Proposal:
    waits = [state.verdicts[n] for n in state.behind(group.cells) if state.now[n] < 1.0]
    return Proposal(
        read_at=group.read_at,
        where=group.where,
        area=area,
        columns=tuple(map(_column, group.parts)),
        verdicts=len(waits),
        majors=sum(one.major for one in waits),
        decides=round(state.gain(group.cells), 6),
    )


def _column(part: _Part) -> ProposedColumn:
    column, known = settable(part.column), part.known.most_common(SHOWN_VALUES)
    return ProposedColumn(
        column=part.column,
        sentence=column.sentence,
        unit=column.unit,
        choices=column.choices,
        read_at=read_at(part.column),
        blank=tuple(tag for tag, _ in part.blanks),
        known=tuple((shown(value, column.unit), count) for value, count in known),
    )


def _groups(session: Session, waits: Container[Blank], without: Container[tuple[str, str]]) -> Iterator[_Group]:
    """Every group with a column blank at two of its positions or more."""
    area = session.request.area
    found = session.db.conn.execute("SELECT tag FROM position WHERE ?1 IS NULL OR area = ?1 ORDER BY tag", [area])
    rows = list(entered(session.db, [tag for (tag,) in found]).values())
    names = [name for name in BASE if _answerable(name)]
    cells = {(r["tag"], n): c for r in rows for n in names if r[n] is None and (c := blank_at(n, r["tag"], r)) in waits}
    names = [name for name in names if any(at[1] == name for at in cells)]
    seen: set[Ask] = set()
    for own in ALIKE:
        for values, members in _parted(rows, own).items():
            near = "area" in own or "bus" in own or area is not None
            parts = [
                _part(name, members, cells) for name in names if name not in own and (near or name not in NEVER_WIDE)
            ]
            # Nobody answers for a whole plant what is known nowhere in it.
            parts = [part for part in parts if len(part.blanks) > 1 and (own or part.known)]
            where = _filter(own, values)
            parts = [part for part in parts if (part.column, where) not in without]
            for at, chosen, likely in _at_one_place(parts):
                # Of two groups with the same blanks the wider one comes first; the other tells no more.
                if (filled := _filled(chosen)) not in seen:
                    seen.add(filled)
                    yield _Group(at, where, chosen, likely)


def _part(name: str, members: Iterable[Mapping[str, Any]], cells: Mapping[tuple[str, str], Blank]) -> _Part:
    known = Counter(row[name] for row in members if row[name] is not None)
    blanks = tuple((row["tag"], cells[row["tag"], name]) for row in members if (row["tag"], name) in cells)
    return _Part(name, blanks, known)


def _at_one_place(parts: Iterable[_Part]) -> Iterator[tuple[str, tuple[_Part, ...], int]]:
    """The columns of each place, as many as are to be expected in one answer, and how many these are.

    With those that are the likeliest the others are asked too.
    """
    by_place: dict[str, list[_Part]] = defaultdict(list)
    for part in sorted(parts, key=lambda part: (-part.one_value, part.exceptions, -len(part.blanks))):
        by_place[stand(part.column).at].append(part)
    for at, left in by_place.items():
        asked_too = left
        while left:
            expected, likely = 0.0, list[_Part]()
            for part in left:
                if not likely or expected + part.exceptions <= EXCEPTIONS:
                    likely.append(part)
                    expected += part.exceptions
            left = [part for part in left if part not in likely]
            yield at, (*likely, *(part for part in asked_too if part not in likely))[:TOGETHER], len(likely[:TOGETHER])
            asked_too = []


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
    if name not in BASE:
        return False
    try:
        column = settable(name)
    except StartrollError:
        return False
    return name not in TABLES[column.table].key and not column.references and not name.startswith(MEASURED)
