"""The failure rates of many plants, written for the store and the plan of one: `spares --rates`, `plan --rates`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from register.fleet.rates import PooledRate
from register.maintenance.rates_file import RatesFile, SharedRate, rates_text

# Fewer plants do not tell how much plants differ.
LEAST_PLANTS = 5


def rates_file(found: Iterable[PooledRate], registers: Mapping[str, str], *, made_on: str) -> tuple[bytes, list[str]]:
    """The bytes of the file, and of each kind that it leaves out why, in a sentence.

    Parameters
    ----------
    found : the rates of `rates.by_kind`.
    registers : the number of each plant's register, by its name in `found`; of copies of one register, the same.
    made_on : the day, as 2026-11-25.
    """
    kept, left_out = [], []
    for rate in found:
        if len(rate.plants) < LEAST_PLANTS:
            left_out.append(
                f"{rate.name}: {len(rate.plants)} of {LEAST_PLANTS} plants that are needed tell what failed"
            )
        else:
            kept.append(_shared(rate, registers))
    return rates_text(RatesFile(made_on, tuple(kept))).encode(), left_out


def _shared(rate: PooledRate, registers: Mapping[str, str]) -> SharedRate:
    return SharedRate(
        kind=rate.kind,
        above_1000_v=rate.high_voltage,
        gamma=rate.prior,
        per_year=rate.new_plant.per_year,
        low_per_year=rate.new_plant.low,
        high_per_year=rate.new_plant.high,
        plants=len(rate.plants),
        failures=rate.failures,
        watched_device_years=rate.device_years,
        without={registers[plant]: gamma for plant, gamma in rate.prior_without.items() if plant in registers},
    )
