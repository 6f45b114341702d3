"""Failures and spares over all plants: pooled rates, whether more fails than before, stock that plants could share."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from register.facts.standard_tables import load_tables
from register.fleet.kept import Kept
from register.fleet.model import FailureRow, SharedRow
from register.fleet.pooled_spares import Need, folders, pooled
from register.fleet.rates import PooledRate, Watched, by_kind, published
from register.fleet.trend import trends

Keys = Sequence[tuple[str, str]]
MOST_SHARED = 200
MOST_TREND_PLANTS = 500  # beyond these each plant's own trend takes longer than it is worth


def watched(kept: Kept, keys: Keys) -> list[Watched]:
    """What every plant counted of each kind of device in each year, all models of a kind together."""
    found = []
    group = ["plant", "kind", "high_voltage", "year"]
    sums = [(name, "sum") for name in ("failures", "doubtful", "device_years")]
    for part in kept.read("failures", keys, (*group[1:], *(name for name, _ in sums))):
        for row in part.group_by(group, use_threads=False).aggregate(sums).to_pylist():
            counts = row["failures_sum"], row["doubtful_sum"], row["device_years_sum"]
            found.append(Watched(row["plant"], row["kind"], row["high_voltage"], None, row["year"], *counts))
    return sorted(found, key=lambda w: (w.plant, w.kind or "", w.high_voltage, w.year or 0))


def rates(rows: Sequence[Watched]) -> tuple[PooledRate, ...]:
    """The pooled rate of each kind of device that any plant watched."""
    return by_kind(rows, published(load_tables()["failure-rates"]))


def failure_rows(found: Sequence[PooledRate], rows: Sequence[Watched], names: Mapping[str, str]) -> list[FailureRow]:
    """Each kind with its rate in words, whether it fails more often than before, and at which plants it does.

    Parameters
    ----------
    names : by plant, what it is called.
    """
    several = len({row.plant for row in rows}) <= MOST_TREND_PLANTS
    each = trends(rows) if several else ()
    whole = {(one.kind, one.high_voltage): one.told for one in each if not one.plant}
    more = {
        key: tuple(names[t.plant] for t in each if t.plant and (t.kind, t.high_voltage) == key and "more" in t.verdict)
        for key in whole
    }
    return [
        FailureRow(rate.name, rate.told, whole.get(key, "not tested: too many plants"), more.get(key, ()))
        for rate in found
        for key in [(rate.kind, rate.high_voltage)]
        if rate.plants
    ]


def shared_rows(
    kept: Kept,
    keys: Keys,
    found: Sequence[PooledRate],
    days: Sequence[float],
    places: Mapping[str, str],
    names: Mapping[str, str],
) -> list[SharedRow]:
    """Stocks that plants could share with fewer spares than each for itself, those first that save most.

    Parameters
    ----------
    days : days to bring a spare between two plants, from near to far; plants are near that lie in one folder.
    places : by plant, where its register lies.
    """
    needs = []
    columns = ("maker", "model", "kind", "positions", "critical", "in_store", "lead_time_days")
    rate_at = _rates_at(found)
    for part in kept.read("models", keys, columns):
        for row in part.to_pylist():
            rate = rate_at.get((row["plant"], row["kind"]), rate_at.get(("", row["kind"])))
            if row["positions"] and rate is not None:
                model = f"{row['maker']} {row['model']}" if row["maker"] else row["model"]
                of_it = row["positions"], rate, row["lead_time_days"], row["in_store"], row["critical"] > 0
                needs.append(Need(row["plant"], model, *of_it))
    made = pooled(needs, folders(places), days)
    rows = [
        SharedRow(
            model=one.model,
            plants=tuple(names[plant] for plant in one.plants),
            devices=one.devices,
            needed=one.needed,
            alone=one.alone,
            held=one.held,
            enough_pct=one.enough_pct,
            wait_days=one.wait_days,
        )
        for one in made.shared
        if one.saved > 0
    ]
    return sorted(rows, key=lambda row: (row.needed - row.alone, row.wait_days, row.model, row.plants))[:MOST_SHARED]


def _rates_at(found: Sequence[PooledRate]) -> dict[tuple[str, str], float]:
    """Failures a device and year of a kind at each plant that watches it, and under a blank name at any other."""
    low = [rate for rate in found if not rate.high_voltage]
    at = {("", rate.kind): rate.mean.per_year for rate in low}
    return at | {(one.plant, rate.kind): one.rate.per_year for rate in low for one in rate.plants}
