"""The failure rate of each kind of device: a published mean, and what this plant has entered itself."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
from sqlite_utils import Database

from register.calc.spares import DAYS_PER_YEAR, failure_rate_band_per_year, failure_rate_per_year
from register.text import counted, number

if TYPE_CHECKING:
    from register.calc.standard_table import Table

# ISO 14224, annex B (from memory): fails to start, fails to stop, breakdown; or in a mode unknown.
FAILURES = ("FTS", "STP", "BRD", "UNK")
LOW_VOLTAGE_V = 1000.0
OUT_OF_ORDER = ("failed", "scrapped")

_WINDOWS = """
SELECT device.device, model.device_kind, coalesce(bus_voltage_v, motor_voltage_v),
    device_installed_on,
    CASE WHEN device.tag IS NULL THEN stored_since ELSE :today END,
    device.tag, device_status
FROM device LEFT JOIN model USING (model)
LEFT JOIN position USING (tag) LEFT JOIN bus USING (bus)
LEFT JOIN motor ON motor.tag = position.tag AND motor_status IS NOT 'scrapped'
WHERE device.tag IS NOT NULL OR device_installed_on IS NOT NULL
"""
_EVENTS = """SELECT tag, happened_on, failure_mode, device, motor, downtime_h
FROM event WHERE happened_on <= ?"""
ENOUGH_REPAIRS = 5


@dataclass(frozen=True)
class Rate:
    """Failures a device and year of one kind: the mean with its 90 % band, and what it assumes.

    `doubtful` are failures entered that may have been this kind's: no device is named. `per_year`
    counts none of them, `most_per_year` all. `undated` devices say no day of installation.
    `repair_h` is the median of the plant's own failures where enough are entered, else published.
    """

    kind: str
    high_voltage: bool
    prior_per_year: float
    repair_h: float
    repair_told: str
    failures: int
    doubtful: int
    unit_years: float
    undated: tuple[str, ...]
    records_since: str | None
    per_year: float
    low_per_year: float
    high_per_year: float
    most_per_year: float

    @property
    def name(self) -> str:
        """The kind, and whether it is one for high voltage."""
        return f"{self.kind}, above 1000 V" if self.high_voltage else self.kind

    @property
    def told(self) -> str:
        """The mean with its band, and what they assume."""
        mean, low, high = (
            number(float(f"{rate:.2g}")) for rate in (self.per_year, self.low_per_year, self.high_per_year)
        )
        return f"{mean} (90 % between {low} and {high}): {self.explained}"

    @property
    def explained(self) -> str:
        """What the rate is based on, in words."""
        published = f"{number(self.prior_per_year)} a year published, worth half a failure"
        if self.records_since is None:
            return f"{published}; no event is entered, so the plant's own years say nothing"
        failures = counted(self.failures, "failure") if self.failures else "no failures"
        own = (
            f"{failures} in {number(round(self.unit_years, 1))} "
            f"device years since {self.records_since}, when events begin"
        )
        doubt = (
            f"; {self.doubtful} more name no device, with all of them "
            f"{number(float(f'{self.most_per_year:.3g}'))} a year"
        )
        undated = f"; left out: {counted(len(self.undated), 'device')} installed nobody knows when"
        return f"{published}; {own}{doubt if self.doubtful else ''}{undated if self.undated else ''}"


@dataclass
class _Seen:
    failures: int = 0
    doubtful: int = 0
    days: int = 0
    undated: tuple[str, ...] = ()


def rates(db: Database, *, tables: Mapping[str, Table], today: date) -> dict[tuple[str, bool], Rate]:
    """The rate of each kind of device, at low and (True) at high voltage.

    Years count from when the register's events begin, or from the day a device was installed, to
    the day it was taken away, or to this one: before that a failure would not have been entered.
    """
    events = db.conn.execute(_EVENTS, (today.isoformat(),)).fetchall()
    since = min((event[1] for event in events), default=None)
    seen = _seen(db, events, since, today.isoformat())
    table = tables["failure-rates"]
    own = [event[5] for event in events if _may_be_its(*event[2:5]) and event[5] is not None]
    return {
        (kind, high): _rate(table, row, high, seen[kind, high], since, own)
        for row, kind in enumerate(table.columns["device_kind"])
        for high in (False, True)
    }


def _seen(db: Database, events: list[tuple], since: str | None, today: str) -> dict[tuple[str, bool], _Seen]:
    """Failures and device days of each kind, within the windows that the register knows."""
    found: dict[tuple[str, bool], _Seen] = defaultdict(_Seen)
    by_device, by_tag = defaultdict(list), defaultdict(list)
    for tag, on, mode, device, motor, _ in events:
        if device:
            by_device[device].append((on, mode))
        elif _may_be_its(mode, device, motor):
            by_tag[tag].append(on)
    for device, kind, volts, begins, ends, tag, status in db.conn.execute(_WINDOWS, {"today": today}):
        own = found[kind, bool(volts and volts > LOW_VOLTAGE_V)]
        if not begins or not ends:
            own.undated += (device,)
        elif since is not None:
            begins = max(begins, since)
            own.days += max(0, (date.fromisoformat(ends) - date.fromisoformat(begins)).days)
            modes = [mode for on, mode in by_device[device] if begins <= on <= ends]
            failed = sum(mode in FAILURES for mode in modes)
            # Out of order, and nobody entered when or how: it failed all the same.
            own.failures += failed or int(status in OUT_OF_ORDER and tag is not None)
            own.doubtful += sum(begins <= on <= ends for on in by_tag[tag])
    return found


def _may_be_its(mode: str | None, device: str | None, motor: str | None) -> bool:
    """True where an event is a failure of a starting device, or may be one."""
    return (mode is None or mode in FAILURES) and (device is not None or motor is None)


def _rate(table: Table, row: int, high: bool, seen: _Seen, since: str | None, repairs_h: list[float]) -> Rate:
    suffix = "_above_600_v" if high else ""
    prior = float(table.columns[f"failures_per_year{suffix}"][row])
    years = seen.days / DAYS_PER_YEAR
    own = {"prior_per_year": prior, "failures": seen.failures, "unit_years": years}
    enough = len(repairs_h) >= ENOUGH_REPAIRS
    low, high_rate = failure_rate_band_per_year(**own)
    return Rate(
        kind=str(table.columns["device_kind"][row]),
        high_voltage=high,
        prior_per_year=prior,
        repair_h=float(np.median(repairs_h) if enough else table.columns[f"repair_h{suffix}"][row]),
        repair_told=f"median of {len(repairs_h)} entered" if enough else "median published",
        failures=seen.failures,
        doubtful=seen.doubtful,
        unit_years=years,
        undated=seen.undated,
        records_since=since,
        per_year=float(failure_rate_per_year(**own)),
        low_per_year=float(low),
        high_per_year=float(high_rate),
        most_per_year=float(failure_rate_per_year(**own | {"failures": np.add(seen.failures, seen.doubtful)})),
    )
