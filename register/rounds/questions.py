"""The questions of a round: the blanks that verdicts wait for and the values not believed, in the order of the walk."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Container, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from register import columns
from register.audit.findings import unknowns
from register.audit.judge import Audit
from register.audit.session import Session
from register.columns import TABLES
from register.columns.units import power
from register.errors import Problem, StartrollError
from register.rounds.follow_ups import CONDITION, applies, follow_ups
from register.rounds.model import Question, Round, Stop, condition_among
from register.rounds.saved_file import ASKED_OF, OF_BUS
from register.rounds.stations import STATIONS, station
from register.store.identity import register_id
from register.store.origins import origin_of
from register.store.queries import key_text, positions, rows_at
from register.text import shown, whole

CHECKS = "checks that were done, or not: startroll record enters them"
ELSEWHERE = "of the site, or of a device in store: startroll correct enters them"
NO_RESULT = "With the other values on file it gives no result"
# Not for a person on a walk: what installs or removes something, or is counted from the history.
_KEPT_ELSEWHERE = {"tag", "bus", "model", "motor", "device", "motor_status", "device_status"}
_LIST_ORDER = {c.name: n for n, c in enumerate(c for t in TABLES.values() for c in t.columns)}


class Asked(NamedTuple):
    """A cell to ask for: the column, and the position, or the bus (`is_bus`), at which it is read."""

    at: str
    column: str
    is_bus: bool = False


@dataclass(frozen=True, slots=True)
class Which:
    """What a round is to cover: positions of a `bus`, or those `selected` once all is judged; None is all.

    `top` is the most questions, those not counted that follow from others. `order` has the cells in the order of their
    worth; without, a cell counts by the verdicts that wait for it.
    """

    area: str | None = None
    bus: str | None = None
    selected: Callable[[Session], Container[str]] | None = None
    top: int | None = None
    order: tuple[Asked, ...] | None = None


@dataclass
class Places:
    """The rows at each position of the round, looked up once."""

    session: Session
    tags: dict[str, dict[str, Any]]
    rows: dict[str, dict[str, dict[str, Any]]] = field(default_factory=dict)

    def at(self, tag: str) -> dict[str, dict[str, Any]]:
        """The rows at a position, by table."""
        if tag not in self.rows:
            self.rows[tag] = rows_at(self.session.db, tag)
        return self.rows[tag]

    def of(self, at: str, is_bus: bool) -> tuple[dict[str, Any], dict[str, dict[str, Any]]]:
        """What the list of positions says of a place, and its rows by table; of a bus by a position on it, if any."""
        tag = next((tag for tag, row in self.tags.items() if row["bus"] == at), None) if is_bus else at
        if tag is not None:
            return self.tags[tag], self.at(tag)
        row = next(self.session.db.query("SELECT * FROM bus WHERE bus = ?", [at]))
        return {"area": None, "bus": at, "criticality": None}, {"bus": row}


def round_of(session: Session, which: Which, *, made_on: str) -> Round:
    """The round that covers `which`.

    Parameters
    ----------
    session : the open register; its area, if one is asked for, limits the positions.
    made_on : the moment it is made, ISO 8601 with offset.

    Errors: StartrollError where there is no such lineup, no position, or nothing to ask.
    """
    audit = session.audit()
    known = {row["tag"]: row for row in positions(session.db, area=which.area, bus=which.bus)}
    chosen_tags = which.selected(session) if which.selected else known
    places = Places(session, {t: r for t, r in known.items() if t in chosen_tags})
    counted, left_out = _waiting(session, audit, places)
    doubts = _doubts(audit, places)
    order = which.order or tuple(sorted(counted, key=lambda asked: (-counted[asked], asked)))
    chosen = [*doubts, *(asked for asked in order if asked in counted and asked not in doubts)][: which.top]
    if not chosen:
        raise StartrollError(Problem("there is nothing to ask here", "startroll to-collect lists what is missing"))
    stops = Stops(places, doubts, frozenset(chosen), _with_follow_ups(places, chosen)).made()
    site = next(iter(session.db["site"].rows), {})
    return Round(
        register_id(session.db), site.get("site") or "", _title(which), made_on, site.get("practice") or "",
        tuple(stops), left_out,
    )  # fmt: skip


def _title(which: Which) -> str:
    parts = [part for part in (which.bus, which.area) if part]
    return ", ".join(parts) or ("chosen positions" if which.selected else "the whole plant")


def _waiting(session: Session, audit: Audit, places: Places) -> tuple[Counter[Asked], dict[str, int]]:
    """How many verdicts wait for each cell that can be asked, and what cannot, counted by reason."""
    found: Counter[Asked] = Counter()
    other: dict[str, set[tuple[str, str]]] = defaultdict(set)
    for unknown in unknowns(session.db, audit):
        for name in unknown.fields:
            for at in unknown.elsewhere.get(name, (unknown.tag,)):
                asked = _asked(name, at, unknown.subject, places)
                if isinstance(asked, str):
                    other[asked].add((at, name))
                elif asked:
                    found[asked] += 1
    return found, {reason: len(cells) for reason, cells in other.items()}


def _asked(name: str, at: str, subject: str, places: Places) -> Asked | str | None:
    """The cell of a missing value; why it cannot be asked; or None, where it is out of the round."""
    table = columns.column(name).table
    if subject == "bus" and at not in places.tags:
        is_there = any(row["bus"] == at for row in places.tags.values())
        return (Asked(at, name, True) if table == OF_BUS else ELSEWHERE) if is_there else None
    if at not in places.tags:
        return ELSEWHERE if subject == "device in store" else None
    if table == OF_BUS and name != "bus":
        bus = places.tags[at]["bus"]
        return Asked(bus, name, True) if bus else ELSEWHERE
    if table in ASKED_OF and name not in _KEPT_ELSEWHERE:
        return Asked(at, name) if _may_apply(name, places.at(at)) else None
    return CHECKS if table not in ("site", *ASKED_OF) else ELSEWHERE


def _may_apply(name: str, rows: Mapping[str, Mapping[str, Any]]) -> bool:
    """False where what is on file says that the question does not apply."""
    condition = CONDITION.get(name)
    if condition is None:
        return True
    known = rows.get(columns.column(condition.column).table, {}).get(condition.column)
    return known is None or applies(name, known)


def _doubts(audit: Audit, places: Places) -> dict[Asked, str]:
    """The values in the round that a rule does not believe, with what is wrong with them."""
    title = {rule.id: rule.title_failed for rule in audit.rules}
    found = {}
    for doubt in audit.doubts.raised:
        is_bus = columns.column(doubt.column).table == OF_BUS
        there = any(row["bus"] == doubt.at for row in places.tags.values()) if is_bus else doubt.at in places.tags
        if there:
            found[Asked(doubt.at, doubt.column, is_bus)] = title.get(doubt.rule, doubt.rule)
    return found


def _with_follow_ups(places: Places, chosen: Iterable[Asked]) -> list[Asked]:
    """What was chosen, and the blanks that may apply once these are answered."""
    asked = dict.fromkeys(chosen)
    waiting = list(asked)
    while waiting:
        one = waiting.pop()
        for name in () if one.is_bus else follow_ups(one.column):
            row = places.at(one.at).get(columns.column(name).table, {})
            if row.get(name) is None and Asked(one.at, name) not in asked:
                asked[Asked(one.at, name)] = None
                waiting.append(Asked(one.at, name))
    return list(asked)


class Stops:
    """Cells put together by place, places in the order of the walk."""

    def __init__(
        self, places: Places, doubts: Mapping[Asked, str], waited_for: frozenset[Asked], asked: Iterable[Asked]
    ) -> None:
        self.places, self.doubts, self.waited_for = places, doubts, waited_for
        self.also: dict[tuple[str, str], list[str]] = defaultdict(list)
        self.of: dict[tuple[str, bool], list[Asked]] = defaultdict(list)
        for one in sorted(asked, key=lambda a: (a.is_bus, self._walk(a.at, a.is_bus))):
            if not self._is_shared(one):
                self.of[one.at, one.is_bus].append(one)
        tags, names = [at for at, is_bus in self.of if not is_bus], {a.column for own in self.of.values() for a in own}
        self.origins = origin_of(places.session.db, tags, names)
        buses = [at for at, is_bus in self.of if is_bus]
        self.of_buses = origin_of(places.session.db, buses, names, subject="bus")

    def made(self) -> Iterator[Stop]:
        """Each stop, in the order of the walk."""
        for (at, is_bus), own in sorted(self.of.items(), key=lambda item: self._walk(*item[0])):
            yield self._stop(at, is_bus, own)

    def _is_shared(self, one: Asked) -> bool:
        """Whether another stop asks the same of the same model; that one tells for which positions it also is."""
        if columns.column(one.column).table != "model" or one.is_bus:
            return False
        model = self.places.at(one.at).get("model")
        if model is None:
            return False
        self.also[model["model"], one.column].append(one.at)
        return len(self.also[model["model"], one.column]) > 1

    def _walk(self, at: str, is_bus: bool) -> tuple[Any, ...]:
        row, rows = self.places.of(at, is_bus)
        cubicle = "" if is_bus else rows["position"].get("cubicle")
        return _natural(row["area"]), _natural(row["bus"]), not is_bus, _natural(cubicle), _natural(at)

    def _stop(self, at: str, is_bus: bool, own: list[Asked]) -> Stop:
        place, rows = self.places.of(at, is_bus)
        names = {one.column for one in own}
        rank = {where: n for n, where in enumerate(STATIONS)}
        questions = [self._question(one, rows, names) for one in own]
        questions.sort(key=lambda q: (rank[station(q.column.name)], _LIST_ORDER[q.column.name]))
        told = [] if is_bus else [place["device_kind"], place["model"]]
        if not is_bus and place["power_kw"]:
            told.append(power(place["power_kw"], place["practice"]).partition(" (")[0])
        if not is_bus and place["fla_a"]:
            told.append(shown(place["fla_a"], "A"))
        description = rows["bus"].get("bus_description") if is_bus else place["description"]
        return Stop(
            at, is_bus, description or "", " · ".join(part for part in told if part), place["area"] or "",
            place["bus"] or "", "" if is_bus else rows["position"].get("cubicle") or "",
            not is_bus and place["criticality"] == "critical", tuple(questions),
        )  # fmt: skip

    def _question(self, one: Asked, rows: Mapping[str, dict[str, Any]], names: set[str]) -> Question:
        column = columns.column(one.column)
        row = rows.get(column.table)
        origins = self.of_buses if one.is_bus else self.origins
        also = self.also.get((rows["model"]["model"], one.column), ())[1:] if "model" in rows else ()
        return Question(
            column,
            key_text(TABLES[column.table], row) if row else None,
            row.get(one.column) if row else None,
            origins.get((one.at, one.column), "").removeprefix("not known: "),
            self.doubts.get(one, NO_RESULT if row and row.get(one.column) is not None else ""),
            tuple(also) if column.table == "model" else (),
            condition_among(one.column, names),
            one not in self.waited_for,
        )


def _natural(text: str | None) -> tuple[Any, ...]:
    """For sorting as people count: 2 before 10, what has no name last.

    >>> sorted(["10", "2B", "2A", ""], key=_natural)
    ['2A', '2B', '10', '']
    """
    return (not text, [(part.isdecimal(), whole(part), part) for part in re.split(r"(\d+)", text or "")])
