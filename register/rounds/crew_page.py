"""A crew's day as one page: in walking order what to do, what to bring, what must be off, where to tick the result."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from register.audit.session import Session
from register.columns import column
from register.errors import Problem, StartrollError
from register.maintenance.model import ACTION, DUE, NEEDS, OVERDUE, TASK, Due
from register.rounds.crew_tools import LINEUP_CAUTION, MEASURED, tools
from register.rounds.model import Bring, Crew, Job, Round, Stop
from register.rounds.questions import Asked, Places, Stops, Which, round_of
from register.rounds.saved_file import ACTION_RESULTS, ASKED_OF, OF_BUS, TASK_RESULTS, UNDONE
from register.rounds.stations import CLOSED, LINEUP_OFF, OF_A_CREW, OPEN, OPENED, OUTSIDE, RUNNING, STOPPED, Station
from register.rulebook.model import Rule, Takes
from register.store import actions
from register.store.identity import register_id
from register.store.queries import positions
from register.text import counted, shown, steps

IN_STORE = "of a device in store: no place on a walk"
OTHER_NEEDS = "that need more to be off than was asked for"
LESS_PRESSING = "tasks that are less pressing"
AT_THE_DESK = "that are read from papers: startroll round asks them"
STATION_OF = dict(zip(NEEDS, (LINEUP_OFF, OPENED, STOPPED, RUNNING), strict=False))
# Where a reading of a round is taken on a crew's day; what an operator or papers say is left to a round.
READ_AT = {CLOSED: RUNNING, OUTSIDE: RUNNING, OPEN: OPENED}


@dataclass(frozen=True, slots=True)
class Change:
    """A column to be set otherwise; `hardware` where no setting does it."""

    column: str
    before: Any
    value: Any
    hardware: bool = False


@dataclass(frozen=True, slots=True)
class Day:
    """What a crew's page is to cover.

    Parameters
    ----------
    on : the day, ISO 8601; `crew` is who goes.
    area, bus : only this one.
    needs : the most that is off that day, a word of NEEDS; what needs more is left out and counted.
    top : the most tasks, the most pressing first; None takes all. Actions are always taken.
    readings : the most values to read beside the work; 0 asks for none.
    changes : for some positions, by tag the settings to change so that their findings are cleared.
    parts : for some positions, by tag the device in store that fits, in words.
    """

    on: str
    crew: str = ""
    area: str | None = None
    bus: str | None = None
    needs: str = NEEDS[0]
    top: int | None = None
    readings: int = 0
    changes: Callable[[Sequence[str]], Mapping[str, Sequence[Change]]] = lambda tags: {}
    parts: Callable[[Sequence[str]], Mapping[str, str]] = lambda tags: {}


def crew_page(session: Session, day: Day, due: Iterable[Due], *, made_on: str) -> Round:
    """The page of a crew's day: tasks and actions that are due, settings to change, readings.

    Parameters
    ----------
    due : the due list of that day; what is not due or not at a place of the walk is left out.
    made_on : the moment it is made, ISO 8601 with offset.

    Errors: StartrollError where nothing is to be done.
    """
    return _Making(session, day, made_on).made(due)


class _Making:
    """One page being made."""

    def __init__(self, session: Session, day: Day, made_on: str) -> None:
        self.session, self.day, self.made_on = session, day, made_on
        tags = {row["tag"]: row for row in positions(session.db, area=day.area, bus=day.bus)}
        self.places = Places(session, tags)
        self.rules = {rule.id: rule for rule in session.pack.rules}
        self.left_out: Counter[str] = Counter()
        self.bring: dict[str, dict[str, None]] = defaultdict(dict)
        self.progress = _progress(session)

    def made(self, due: Iterable[Due]) -> Round:
        jobs: dict[tuple[str, bool], list[Job]] = defaultdict(list)
        targets: dict[Asked, Change] = {}
        pressing = [item for item in due if item.state in (OVERDUE, DUE)]
        self.changes = self.day.changes(self._taking(pressing, Takes.SETTING))
        self.parts = self.day.parts(self._taking(pressing, Takes.PART))
        tasks = 0
        for item in pressing:
            if item.kind == TASK and tasks == self.day.top:
                self.left_out[LESS_PRESSING] += 1
            elif found := self._job(item, targets):
                tasks += item.kind == TASK
                at, job = found
                jobs[at].append(job)
        if not jobs:
            raise StartrollError(
                Problem("nothing is due that can be done so", "startroll due lists what is; widen --until or --needs")
            )
        stops = tuple(self._stops(jobs, targets))
        site = next(iter(self.session.db["site"].rows), {})
        lineups = ", ".join(dict.fromkeys(stop.bus for stop in stops if stop.bus)) or "no lineup named"
        title = f"crew's page of {lineups}, {self.day.on}"
        return Round(
            register_id(self.session.db), site.get("site") or "", title, self.made_on,
            site.get("practice") or "", stops, dict(self.left_out), self._crew(stops), OF_A_CREW,
        )  # fmt: skip

    def _taking(self, items: Iterable[Due], what: Takes) -> list[str]:
        """The positions with an action whose rule takes that."""
        rows = [actions.row(self.session.db, item.number) for item in items if item.kind == ACTION and item.number]
        taking = {row["tag"] for row in rows if (rule := self.rules.get(row["against_rule"])) and what in rule.takes}
        return sorted(taking & self.places.tags.keys())

    # What is to be done.

    def _job(self, item: Due, targets: dict[Asked, Change]) -> tuple[tuple[str, bool], Job] | None:
        """What is to be done of an item of the due list, and at which position or bus; None where it is left out."""
        row = actions.row(self.session.db, item.number) if item.kind == ACTION and item.number else None
        if row is None and item.kind != TASK:
            return None
        at, subject = (row["tag"], row["subject"]) if row else (item.tag, item.subject)
        at = item.bus if subject == OF_BUS else at
        if not (at in self.places.tags if subject == "position" else subject == OF_BUS):
            self.left_out[f"{item.kind}s {IN_STORE}"] += 1
            return None
        settings: dict[Asked, Change] = {}
        job = self._action(item, row, settings) if row else self._task(item)
        if OF_A_CREW.index(job.station) > OF_A_CREW.index(STATION_OF[self.day.needs]):
            self.left_out[f"{item.kind}s {OTHER_NEEDS}"] += 1
            return None
        targets |= settings
        return (at, subject == OF_BUS), job

    def _task(self, item: Due) -> Job:
        of_lineup = item.subject == OF_BUS
        measured = MEASURED.get(item.what)
        last = f"last {item.last_result} on {item.last_on}" if item.last_on else "never recorded"
        row = self._lineup_row(item.bus) if of_lineup else self._row(item.tag)
        for tool in tools(item.what, item.needs, row, of_lineup=of_lineup):
            self.bring[tool][item.bus if of_lineup else item.tag] = None
        return Job(
            "record", item.what, item.what[:1].upper() + item.what[1:], STATION_OF[item.needs], TASK_RESULTS,
            (f"{item.state} {item.on}; {last}", *self._left(("record", item.tag, item.what), since=item.last_on)),
            caution=LINEUP_CAUTION.get(item.what, "") if of_lineup else "",
            ask=measured.ask if measured else "", unit=measured.unit if measured else "",
        )  # fmt: skip

    def _action(self, item: Due, row: Mapping[str, Any], targets: dict[Asked, Change]) -> Job:
        rule = self.rules.get(row["against_rule"])
        told = [f"action {item.number}, {item.state} {item.on}, assigned to {row['assigned_to']}"]
        told += self._left(("action", "", str(item.number)))
        told += list(self._means(row, rule, targets)) if row["subject"] == "position" else []
        title = row["task"] or (rule.title_failed if rule else row["against_rule"])
        if rule and row["task"]:
            told.insert(0, rule.title_failed)
        return Job(
            "action", str(item.number), title, _station_of(rule, row["subject"]), ACTION_RESULTS, tuple(told),
            tuple(steps(rule.action)) if rule else (), (rule.caution or "").strip() if rule else "",
        )  # fmt: skip

    def _left(self, job: tuple[str, str, str], since: str = "") -> list[str]:
        """What an earlier page said of it, where that was left undone and nobody has done it since."""
        day, told = self.progress.get(job, ("", ""))
        return [told] if told and day >= since else []

    def _means(self, row: Mapping[str, Any], rule: Rule | None, targets: dict[Asked, Change]) -> Iterator[str]:
        """With what an action is done: settings become questions of their own, parts are brought."""
        tag, takes = row["tag"], rule.takes if rule else ()
        if Takes.SETTING in takes:
            changes = self.changes.get(tag, ())
            for change in changes:
                if _is_setting(change):
                    targets[Asked(tag, change.column)] = change
                else:
                    yield f"hardware: {change.column} {shown(change.before)} → {shown(change.value)}"
            if not changes:
                yield f"what to set is worked out nowhere: startroll sheet {tag} tells what is missing"
        if Takes.PART in takes:
            self.bring["the part that the action names"][tag] = None
            if tag in self.parts:
                self.bring[f"from store, where the device is to be changed: {self.parts[tag]}"][tag] = None
        for tool in tools("", NEEDS[1] if Takes.OUTAGE in takes else "running", self._row(tag)):
            self.bring[tool][tag] = None

    def _row(self, tag: str) -> dict[str, Any]:
        """What is known of a position, for the range of a tool."""
        rows = self.places.at(tag)
        setting, protection = rows.get("setting", {}), rows.get("protection", {})
        relay = protection.get("overload_place") == "relay"
        return {
            "fla_a": rows.get("motor", {}).get("fla_a"),
            "motor_voltage_v": rows.get("motor", {}).get("motor_voltage_v"),
            "bus_voltage_v": rows.get("bus", {}).get("bus_voltage_v"),
            "overload_a": protection.get("relay_set_a") if relay else setting.get("device_overload_set_a"),
        }

    def _lineup_row(self, bus: str) -> dict[str, Any]:
        row = self.places.of(bus, True)[1]["bus"]
        return {"fla_a": row["bus_load_a"] or row["bus_rating_a"], "bus_voltage_v": row["bus_voltage_v"]}

    # Where it is done.

    def _stops(self, jobs: Mapping[tuple[str, bool], list[Job]], targets: Mapping[Asked, Change]) -> Iterator[Stop]:
        tags = {at for at, is_bus in jobs if not is_bus}
        readings = self._readings(tags)
        put = Stops(self.places, {}, frozenset((*targets, *readings)), dict.fromkeys((*targets, *readings)))
        for at in jobs:
            put.of.setdefault(at, [])
        for stop in put.made():
            own = sorted(jobs.get((stop.at, stop.is_bus), ()), key=lambda job: OF_A_CREW.index(job.station))
            questions = []
            for question in stop.questions:
                change = targets.get(Asked(stop.at, question.column.name, stop.is_bus))
                where = STOPPED if change else READ_AT[question.station]
                questions.append(replace(question, where=where, target=change.value if change else None))
            yield replace(stop, jobs=tuple(own), questions=tuple(questions))

    def _readings(self, tags: set[str]) -> list[Asked]:
        """The values to read at the places where the crew goes anyhow."""
        if not self.day.readings:
            return []
        which = Which(self.day.area, self.day.bus, lambda session: tags, self.day.readings)
        try:
            made = round_of(self.session, which, made_on=self.made_on)
        except StartrollError:
            return []
        found = []
        for stop in made.stops:
            for question in stop.questions:
                if question.station not in READ_AT:
                    self.left_out[f"readings {AT_THE_DESK}"] += 1
                elif OF_A_CREW.index(READ_AT[question.station]) <= OF_A_CREW.index(STATION_OF[self.day.needs]):
                    found.append(Asked(stop.at, question.column.name, stop.is_bus))
        return found

    # What comes first.

    def _crew(self, stops: Sequence[Stop]) -> Crew:
        bring = tuple(Bring(what, tuple(places)) for what, places in self.bring.items())
        return Crew(self.day.crew, self.day.on, bring, tuple(_off(stops, self.places)))


def _is_setting(change: Change) -> bool:
    return not change.hardware and column(change.column).table in ASKED_OF


def _station_of(rule: Rule | None, subject: str) -> Station:
    """What has to be off for an action: an isolated panel where the rule takes an outage, or nobody says."""
    takes = rule.takes if rule else ()
    if not takes or Takes.OUTAGE in takes or Takes.PART in takes:
        return LINEUP_OFF if subject == OF_BUS else OPENED
    return STOPPED if Takes.SETTING in takes else RUNNING


def _off(stops: Sequence[Stop], places: Places) -> Iterator[str]:
    """What has to be off, lineup by lineup; who must not lose a machine is named."""
    by_bus: dict[str, dict[Station, dict[str, None]]] = defaultdict(lambda: defaultdict(dict))
    for stop in stops:
        for job in stop.jobs:
            by_bus[stop.bus or "no lineup named"][job.station][stop.at] = None
    for bus, needed in by_bus.items():
        if LINEUP_OFF in needed:
            fed = list(places.session.db.query(_FED, [bus]))
            below = ", ".join(dict.fromkeys(row["lineup"] for row in fed if row["lineup"] != bus))
            motors = [row for row in fed if row["tag"] is not None]
            critical = [row["tag"] for row in motors if row["criticality"] == "critical"]
            told = f", and what it feeds: {below}" if below else ""
            told += (
                f"; {counted(len(motors), 'motor')} in all" if below else f", with its {counted(len(motors), 'motor')}"
            )
            yield f"{bus}: the whole lineup{told}" + (f"; critical: {', '.join(critical)}" if critical else "")
        for station, word in ((OPENED, "isolated and open"), (STOPPED, "stopped")):
            own = [at for at in needed.get(station, ())]
            if own:
                yield f"{bus}, {word}: {', '.join(own)}"


def _progress(session: Session) -> dict[tuple[str, str, str], tuple[str, str]]:
    """The day and the words of what earlier pages left undone, by table, place and job."""
    found: dict[tuple[str, str, str], tuple[str, str]] = {}
    for row in session.db.query(_LEFT_UNDONE):
        key = row["table_name"], row["tag"] or "", row["name"]
        found.pop(key, None)
        if row["as_typed"] in UNDONE:
            day = row["answered_at"][:10]
            found[key] = day, f"{row['as_typed']} on {day}" + (f": {row['note']}" if row["note"] else "")
    return found


# All that is without supply where a lineup is off: its positions, and those of every lineup below it.
_FED = """
WITH RECURSIVE below (lineup) AS (SELECT ? UNION SELECT bus FROM bus JOIN below ON fed_from = lineup)
SELECT lineup, tag, criticality FROM below LEFT JOIN position ON bus = lineup ORDER BY lineup, tag"""
_LEFT_UNDONE = """
SELECT table_name, coalesce(record.tag, 'bus ' || record.bus) AS tag,
    CASE table_name WHEN 'record' THEN column_name ELSE row_key END AS name, as_typed, answer.note, answered_at
FROM answer LEFT JOIN record ON table_name = 'record' AND CAST(record_id AS TEXT) = row_key
WHERE table_name = 'action' OR record_id IS NOT NULL
ORDER BY answered_at"""
