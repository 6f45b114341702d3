"""One device taken out and another put in its place, in one step: moves, event, settings as left.

It belongs inside `database.writing`, so that all of it is one change-set, or nothing is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from difflib import get_close_matches
from functools import partial
from typing import Any

from sqlite_utils import Database

from register.columns import COLUMNS, TABLES
from register.errors import Problem, StartrollError
from register.intake.correct import believed, move, pairs, set_value
from register.intake.match import unmarked
from register.store.queries import rows_at

FAILED, STORED = "failed", "in store"
OUT = (FAILED, STORED)
# What a person who swaps a device sets or reads there; the rest is corrected, with its own reason.
SETTABLE = ("setting", "protection", "bypass", "control")
SETTABLE_BESIDE = ("firmware", "device_connection")
# ISO 14224, annex B: unknown. A device that failed failed in some mode.
UNKNOWN_MODE = "UNK"


@dataclass(frozen=True)
class Swap:
    """What is done at a position: what becomes of the device there, and which comes instead.

    `stored` is the serial of one in store; or else `model` the type of a new one and `serial` what
    stands on it (empty: nobody has read it). `values` are settings as they were left: as a person
    writes them, or as numbers in the column's unit. `by` is who set them, `mode` the failure mode.
    """

    tag: str
    out: str
    cause: str
    stored: str = ""
    model: str = ""
    serial: str = ""
    values: Mapping[str, Any] = field(default_factory=dict)
    on: str = ""
    by: str = ""
    mode: str = ""

    @property
    def coming(self) -> str:
        """The device that comes in; one whose serial nobody has read has a placeholder name."""
        return self.stored or self.serial or unmarked("device", self.tag)


def swap(db: Database, asked: Swap, *, today: date) -> tuple[str, ...]:
    """Swap the device at a position; every step is said back.

    Whether the new one fits is not asked here: a swap that was made is a fact, and the audit judges
    it. Raises StartrollError with everything that hinders it.
    """
    old = check(db, asked, today=today)
    day = asked.on or today.isoformat()
    problems: list[Problem] = []
    said = [_taken_out(db, asked, old, day), _put_in(db, asked, day), _event(db, asked, old, day)]
    _open_settings(db, asked, day)
    for name, value in asked.values.items():
        said.append(_gathered(problems, partial(_set, db, asked.tag, name, value)) or "")
    if problems:
        raise StartrollError(problems)
    return tuple(said)


def check(db: Database, asked: Swap, *, today: date) -> dict[str, Any] | None:
    """The row of the device that would be taken out; raises StartrollError as `swap` does."""
    day = asked.on or today.isoformat()
    problems = [*_what(asked), *_settings(asked), *_day(day, today)]
    rows = _gathered(problems, lambda: rows_at(db, asked.tag)) or {}
    old = rows.get("device")
    problems += [*_incoming(db, asked, old), *_too_early(db, asked, old, day)]
    if problems:
        raise StartrollError(problems)
    return old


def values_of(texts: Iterable[str]) -> dict[str, str]:
    """Settings from `column=value`; StartrollError with all that is not so written."""
    values, problems = pairs(texts, "--set")
    if problems:
        raise StartrollError(problems)
    return values


def _gathered(problems: list[Problem], step: Callable[[], Any]) -> Any:
    """What a step gives; None where it is refused, and its problems are kept."""
    try:
        return step()
    except StartrollError as error:
        problems += error.problems
        return None


def _what(asked: Swap) -> Iterator[Problem]:
    """What is wrong in the words of the request alone."""
    if asked.out not in OUT:
        yield Problem(f"the old device cannot be left {asked.out!r}", "failed or in-store", "--out")
    if not asked.cause.strip():
        yield Problem("a swap needs its cause", "say what was seen on the old device", "--cause")
    if asked.mode and asked.mode not in COLUMNS["failure_mode"].choices:
        modes = ", ".join(COLUMNS["failure_mode"].choices)
        yield Problem(f"{asked.mode!r} is no failure mode", f"one of {modes}", "--mode")
    if asked.stored and (asked.model or asked.serial):
        yield Problem(
            "a device from store and a new one cannot both come in", "give --in alone, or --model with --serial", "--in"
        )
    if not asked.stored and not asked.model:
        yield Problem(
            "nothing is said to come in",
            "--in SERIAL for one from store, --model with --serial for a new one",
            "--serial" if asked.serial else "--in",
        )


def _settings(asked: Swap) -> Iterator[Problem]:
    """What is wrong with the settings as left."""
    for name, value in asked.values.items():
        try:
            believed(name, _text(name, value))
        except StartrollError as error:
            yield from (replace(problem, place="--set") for problem in error.problems)
            continue
        column = COLUMNS[name]
        own = column.table in SETTABLE and name not in TABLES[column.table].key
        if not own and name not in SETTABLE_BESIDE:
            yield Problem(
                f"{name} is not a setting that a swap leaves",
                "startroll correct changes it, with a reason of its own",
                "--set",
            )


def _day(day: str, today: date) -> Iterator[Problem]:
    try:
        if believed("device_installed_on", day) > today.isoformat():
            yield Problem(f"{day} has not come yet", "record a swap once it is done", "--on")
    except StartrollError:
        yield Problem(f"{day!r} is not a day", "write it as 2026-03-01", "--on")


def _incoming(db: Database, asked: Swap, old: dict[str, Any] | None) -> Iterator[Problem]:
    """Why the device asked for cannot come in."""
    if asked.stored:
        row = next(db.query("SELECT * FROM device WHERE device = ?", [asked.stored]), None)
        if row is None:
            yield _unheard(db, "device", asked.stored, "device_status = 'in store'", "--in")
        elif old and asked.stored == old["device"]:
            yield Problem(
                f"device {asked.stored} is the one that is installed at {asked.tag}",
                "name the one that comes in its place",
                "--in",
            )
        elif row["tag"] is not None:
            yield Problem(
                f"device {asked.stored} is installed at {row['tag']}",
                f"startroll move device {asked.stored!r} takes it away first",
                "--in",
            )
        elif row["device_status"] in ("failed", "scrapped"):
            yield Problem(
                f"device {asked.stored} is {row['device_status']}",
                f"if it is sound now: startroll move device {asked.stored!r} --status 'in store'",
                "--in",
            )
    elif asked.model:
        if not db.execute("SELECT 1 FROM model WHERE model = ?", [asked.model]).fetchone():
            yield _unheard(db, "model", asked.model, "1", "--model")
        if db.execute("SELECT 1 FROM device WHERE device = ?", [asked.coming]).fetchone():
            yield Problem(
                f"there is a device {asked.coming!r} already",
                "read the serial of the new one; one from store comes in with --in",
                "--serial",
            )


def _unheard(db: Database, table: str, name: str, where: str, place: str) -> Problem:
    known = [row[0] for row in db.execute(f"SELECT {table} FROM {table} WHERE {where}")]
    near = get_close_matches(name, known, n=1, cutoff=0.6)
    hint = f"did you mean {near[0]!r}?" if near else "take it in first: startroll take-in"
    return Problem(f"the register has no {table} {name!r}", hint, place)


def _too_early(db: Database, asked: Swap, old: dict[str, Any] | None, on: str) -> Iterator[Problem]:
    """Days that the register knows and that lie after the swap."""
    days = []
    if old:
        days.append((old["device_installed_on"], f"device {old['device']} was put at {asked.tag}"))
    coming = next(db.query("SELECT * FROM device WHERE device = ?", [asked.stored]), None)
    if coming:
        days.append((coming["stored_since"], f"device {asked.stored} went into store"))
        read = db.execute("SELECT max(setting_recorded_on) FROM setting WHERE device = ?", [asked.stored]).fetchone()[0]
        days.append((read, f"the settings of device {asked.stored} were read"))
    for day, what in days:
        if day and day > on:
            yield Problem(f"{what} on {day}, after {on}", "correct the one that is wrong", "--on")


def _taken_out(db: Database, asked: Swap, old: dict[str, Any] | None, day: str) -> str:
    if old is None:
        return f"no device was known at {asked.tag}"
    return move(db, "device", old["device"], None, on=day, status=asked.out)


def _put_in(db: Database, asked: Swap, day: str) -> str:
    if not asked.stored:
        row = (asked.coming, asked.model)
        db.conn.execute("INSERT INTO device (device, model) VALUES (?, ?)", row)
    said = move(db, "device", asked.coming, asked.tag, on=day)
    return said if asked.stored else f"{said}, new, of type {asked.model}"


def _event(db: Database, asked: Swap, old: dict[str, Any] | None, day: str) -> str:
    mode = asked.mode or (UNKNOWN_MODE if asked.out == FAILED else None)
    db.conn.execute(
        "INSERT INTO event (tag, happened_on, failure_mode, cause, device) VALUES (?, ?, ?, ?, ?)",
        (asked.tag, day, mode, asked.cause.strip(), old and old["device"]),
    )
    return f"event at {asked.tag}, {day}{', ' + mode if mode else ''}: {asked.cause.strip()}"


def _open_settings(db: Database, asked: Swap, day: str) -> None:
    """A row for the settings as left, so that those of the device's last place stay as they are."""
    if any(name in COLUMNS and COLUMNS[name].table == "setting" for name in asked.values):
        db.conn.execute(
            "INSERT OR IGNORE INTO setting (device, setting_recorded_on, setting_recorded_by) VALUES (?, ?, ?)",
            (asked.coming, day, asked.by or None),
        )


def _set(db: Database, tag: str, name: str, value: Any) -> str:
    before, after = set_value(db, tag, name, _text(name, value))
    return f"{name}: {before} → {after}"


def _text(name: str, value: Any) -> str:
    """A value as a person writes it; a bare number is one in the column's unit."""
    if isinstance(value, str) or name not in COLUMNS:
        return str(value)
    return f"{value!r} {COLUMNS[name].unit}".strip()
