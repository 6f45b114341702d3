"""Failures of starting devices and the years they were watched, counted by model and calendar year."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import NamedTuple

from sqlite_utils import Database

# ISO 14224, annex B (from memory): fails to start, fails to stop, breakdown; or in a mode unknown.
FAILURES = ("FTS", "STP", "BRD", "UNK")
LOW_VOLTAGE_V = 1000.0
OUT_OF_ORDER = ("failed", "scrapped")

_Key = tuple[str | None, bool, str | None, int | None]  # kind, whether above 1000 V, model, year

_WINDOWS = """
SELECT device.device, model.device_kind, coalesce(bus_voltage_v, motor_voltage_v),
    device_installed_on,
    CASE WHEN device.tag IS NULL THEN stored_since ELSE :today END,
    device.tag, device_status, device.model
FROM device LEFT JOIN model USING (model)
LEFT JOIN position USING (tag) LEFT JOIN bus USING (bus)
LEFT JOIN motor ON motor.tag = position.tag AND motor_status IS NOT 'scrapped'
WHERE device.tag IS NOT NULL OR device_installed_on IS NOT NULL
"""
_EVENTS = """SELECT tag, happened_on, failure_mode, device, motor, downtime_h
FROM event WHERE happened_on <= ?"""


class DeviceYear(NamedTuple):
    """The devices of one model in one calendar year: how many days they were watched, and what failed.

    `doubtful` are failures that may have been theirs: no device is named. `year` is None for devices that are out of
    order and of which nobody entered when they failed.
    """

    kind: str | None
    high_voltage: bool
    model: str | None
    year: int | None
    failures: int
    doubtful: int
    days: int


@dataclass(frozen=True)
class FailureRecord:
    """What a register tells of failures of its devices.

    `since` is the day of its first event, before which nothing that failed would have been entered; None without any.
    `undated` are by kind and voltage the devices left out, as nobody knows when they were installed or taken away;
    `downtimes_h` the hours lost by each failure that may have been a device's.
    """

    since: str | None
    rows: tuple[DeviceYear, ...]
    undated: Mapping[tuple[str | None, bool], tuple[str, ...]]
    downtimes_h: tuple[float, ...]


@dataclass
class _Seen:
    failures: int = 0
    doubtful: int = 0
    days: int = 0


def failure_record(db: Database, *, today: date, opening: bool = True) -> FailureRecord:
    """What an open register tells of failures of starting devices up to a day.

    Years count from when the register's events begin, or from the day a device was installed, to the day it was taken
    away, or to this one: before that a failure would not have been entered.

    Parameters
    ----------
    opening : whether the failures of the very day count on which the events begin. The record of every plant begins
        with an event; where that is a failure, counting it makes each of many plants seem to fail once too often.
    """
    events = db.conn.execute(_EVENTS, (today.isoformat(),)).fetchall()
    since = min((event[1] for event in events), default=None)
    by_device, by_tag = defaultdict(list), defaultdict(list)
    for tag, on, mode, device, motor, _ in events:
        if on == since and not opening:
            continue
        if device:
            by_device[device].append((on, mode))
        elif _may_be_its(mode, device, motor):
            by_tag[tag].append(on)
    found: dict[_Key, _Seen] = defaultdict(_Seen)
    undated: dict[tuple[str | None, bool], tuple[str, ...]] = defaultdict(tuple)
    windows: Counter[tuple] = Counter()
    for device, kind, volts, begins, ends, tag, status, model in db.conn.execute(
        _WINDOWS, {"today": today.isoformat()}
    ):
        high = bool(volts and volts > LOW_VOLTAGE_V)
        if not begins or not ends:
            undated[kind, high] += (device,)
        elif since is not None:
            begins = max(begins, since)
            windows[kind, high, model, begins, ends] += 1
            lost = status in OUT_OF_ORDER and tag is not None
            if lost or device in by_device or tag in by_tag:
                years = _failed(begins, ends, by_device.get(device, ()), by_tag.get(tag, ()), out_of_order=lost)
                for year, failures, doubtful in years:
                    seen = found[kind, high, model, year]
                    seen.failures, seen.doubtful = seen.failures + failures, seen.doubtful + doubtful
    # Devices of one model that were watched for the same time are counted at once.
    for (kind, high, model, begins, ends), devices in windows.items():
        for year, days in _days_watched(begins, ends):
            found[kind, high, model, year].days += days * devices
    downtimes = [event[5] for event in events if _may_be_its(*event[2:5]) and event[5] is not None]
    rows = [
        DeviceYear(kind, high, model, year, seen.failures, seen.doubtful, seen.days)
        for (kind, high, model, year), seen in sorted(found.items(), key=_order)
    ]
    return FailureRecord(since, tuple(rows), dict(undated), tuple(downtimes))


def _order(item: tuple[_Key, _Seen]) -> tuple:
    kind, high, model, year = item[0]
    return kind or "", high, model or "", year is None, year or 0


def _failed(
    begins: str, ends: str, its: Iterable[tuple[str, str | None]], perhaps: Iterable[str], *, out_of_order: bool
) -> Iterator[tuple[int | None, int, int]]:
    """What failed of one device in its window: each year, its failures then, and those that may have been its."""
    failed = [on for on, mode in its if begins <= on <= ends and mode in FAILURES]
    doubtful = [on for on in perhaps if begins <= on <= ends]
    for year, _ in _days_watched(begins, ends) if failed or doubtful else ():
        yield year, _in_year(failed, year), _in_year(doubtful, year)
    if out_of_order and not failed:
        # Out of order, and nobody entered when or how: it failed all the same.
        yield None, 1, 0


def _in_year(days: list[str], year: int) -> int:
    return sum(day[:4] == f"{year:04}" for day in days)


@lru_cache(maxsize=4096)
def _days_watched(begins: str, ends: str) -> tuple[tuple[int, int], ...]:
    """The days of a window in each calendar year; many devices share one."""
    first, last = date.fromisoformat(begins), date.fromisoformat(ends)
    return tuple(
        (year, max(0, (min(last, date(year + 1, 1, 1)) - max(first, date(year, 1, 1))).days))
        for year in range(first.year, last.year + 1)
    )


def _may_be_its(mode: str | None, device: str | None, motor: str | None) -> bool:
    """True where an event is a failure of a starting device, or may be one."""
    return (mode is None or mode in FAILURES) and (device is not None or motor is None)
