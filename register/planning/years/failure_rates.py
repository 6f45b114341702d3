"""The failure rate of each kind of device: a published mean, and what this plant has entered itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
from sqlite_utils import Database

from register.calc.spares import DAYS_PER_YEAR, PRIOR_FAILURES, failure_rate_band_per_year, failure_rate_per_year
from register.maintenance.device_failures import FailureRecord, failure_record
from register.maintenance.rates_file import Prior, RatesFile
from register.store.identity import register_id
from register.text import counted, number, two_digits

if TYPE_CHECKING:
    from register.calc.standard_table import Table

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
        mean, low, high = (two_digits(rate) for rate in (self.per_year, self.low_per_year, self.high_per_year))
        return f"{mean} (90 % between {low} and {high}): {self.explained}"

    @property
    def prior_told(self) -> str:
        """What the rate begins with, in words."""
        return f"{number(self.prior_per_year)} a year published, worth half a failure"

    @property
    def explained(self) -> str:
        """What the rate is based on, in words."""
        published = self.prior_told
        if self.records_since is None:
            return f"{published}; no event is entered, so the plant's own years say nothing"
        failures = counted(self.failures, "failure") if self.failures else "no failures"
        own = (
            f"{failures} in {number(round(self.unit_years, 1))} "
            f"device years since {self.records_since}, when events begin"
        )
        doubt = (
            f"; {self.doubtful} more {'names' if self.doubtful == 1 else 'name'} no device, with all of them "
            f"{number(float(f'{self.most_per_year:.3g}'))} a year"
        )
        undated = f"; left out: {counted(len(self.undated), 'device')} whose day of installation is unknown"
        return f"{published}; {own}{doubt if self.doubtful else ''}{undated if self.undated else ''}"


@dataclass(frozen=True)
class PooledPrior(Rate):
    """The same, where it begins with what other plants have seen: its prior is worth `prior_failures`."""

    prior_failures: float
    source: str

    @property
    def prior_told(self) -> str:
        """What the rate begins with, in words."""
        worth = two_digits(self.prior_failures)
        return f"{two_digits(self.prior_per_year)} a year {self.source}, worth {worth} failures"


def rates(
    db: Database, *, tables: Mapping[str, Table], today: date, shared: RatesFile | None = None
) -> dict[tuple[str, bool], Rate]:
    """The rate of each kind of device, at low and (True) at high voltage.

    Years count from when the register's events begin, or from the day a device was installed, to
    the day it was taken away, or to this one: before that a failure would not have been entered.
    A kind of which `shared` tells begins with that, without what this register itself brought to it;
    any other with the published mean.
    """
    record = failure_record(db, today=today)
    table = tables["failure-rates"]
    number_of = register_id(db) if shared else ""
    return {
        (kind, high): _rate(table, row, high, record, shared.of(str(kind), high, number_of) if shared else None)
        for row, kind in enumerate(table.columns["device_kind"])
        for high in (False, True)
    }


def _rate(table: Table, row: int, high: bool, record: FailureRecord, prior: Prior | None) -> Rate:
    kind = str(table.columns["device_kind"][row])
    seen = [one for one in record.rows if (one.kind, one.high_voltage) == (kind, high)]
    failures, doubtful = sum(one.failures for one in seen), sum(one.doubtful for one in seen)
    repairs_h = record.downtimes_h
    suffix = "_above_600_v" if high else ""
    years = sum(one.days for one in seen) / DAYS_PER_YEAR
    worth, begins = PRIOR_FAILURES, float(table.columns[f"failures_per_year{suffix}"][row])
    if prior:
        worth, begins = prior.gamma.shape, prior.gamma.shape / prior.gamma.device_years
    own = {"prior_per_year": begins, "unit_years": years, "prior_failures": worth}
    enough = len(repairs_h) >= ENOUGH_REPAIRS
    low, high_rate = failure_rate_band_per_year(**own, failures=failures)
    rate = Rate(
        kind=kind,
        high_voltage=high,
        prior_per_year=begins,
        repair_h=float(np.median(repairs_h) if enough else table.columns[f"repair_h{suffix}"][row]),
        repair_told=f"median of {len(repairs_h)} entered" if enough else "median published",
        failures=failures,
        doubtful=doubtful,
        unit_years=years,
        undated=record.undated.get((kind, high), ()),
        records_since=record.since,
        per_year=float(failure_rate_per_year(**own, failures=failures)),
        low_per_year=float(low),
        high_per_year=float(high_rate),
        most_per_year=float(failure_rate_per_year(**own, failures=failures + doubtful)),
    )
    return PooledPrior(**vars(rate), prior_failures=worth, source=prior.source) if prior else rate
