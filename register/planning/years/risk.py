"""The risk of a device: how often it fails, and what a failure costs; both in words.

Risk is hours of lost load a year, weighed by criticality. What is unknown counts at its worst, or
leaves a factor out, and is named.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import prod
from typing import TYPE_CHECKING, Any

from register.audit.priority import CRITICALITY, UNKNOWN_CRITICALITY
from register.calc.spares import DAYS_PER_YEAR
from register.maintenance.device_failures import OUT_OF_ORDER
from register.planning.model import BYPASSED
from register.planning.years.failure_rates import Rate
from register.text import counted, number, shown, two_digits

if TYPE_CHECKING:
    from register.calc.standard_table import Table

HOURS_PER_DAY = 24.0
HOURS_PER_YEAR = HOURS_PER_DAY * DAYS_PER_YEAR
NO_SPARE = "no spare"
# What the register has to tell of a position, from the facts.
# fmt: off
READS = (
    "tag", "criticality", "standby", "bypass_arrangement", "run_hours_per_year", "device",
    "device_kind", "device_status", "made_on", "device_installed_on", "life_years", "lifecycle",
    "model",
)
# fmt: on


@dataclass(frozen=True)
class Factor:
    """One factor, with what it stands for."""

    amount: float
    word: str


@dataclass(frozen=True)
class Load:
    """The rest that is known of a position: if a spare covers it, and its findings.

    `clears` tells that the new device passes majors which the old one fails; `lead_time_days` is
    the new device's.
    """

    rate: Rate
    has_spare: bool
    repeats_trips: bool
    fails_majors: int
    clears: bool
    lead_time_days: float | None


@dataclass(frozen=True)
class Risk:
    """The risk at one position, each year of a plan: as it stands, and after a replacement.

    `waits` tells that a failure would wait for a delivery.
    """

    rate_per_year: float
    factors: tuple[Factor, ...]
    hours: Factor
    weight: Factor
    before: tuple[float, ...]
    after: tuple[float, ...]
    to_read: tuple[str, ...]
    waits: bool = False

    @property
    def explained(self) -> str:
        """Both of them, in words."""
        sign = " × " if self.rate_per_year else ": "
        return f"{self.likelihood}{sign}{self.consequence}"

    @property
    def now(self) -> float:
        """Hours of lost load to be expected in the first year, weighed by criticality."""
        return self.before[0]

    @property
    def likelihood(self) -> str:
        """The rate at which it fails, in words."""
        if not self.rate_per_year:
            return self.factors[0].word
        factors = "".join(f" × {two_digits(f.amount)} ({f.word})" for f in self.factors)
        return f"{two_digits(self.rate_per_year)} failures a year{factors}"

    @property
    def consequence(self) -> str:
        """The cost of a failure, in words."""
        hours = number(float(f"{self.hours.amount:.3g}"))
        weight = f"{number(self.weight.amount)} ({self.weight.word})"
        return f"{hours} h of lost load ({self.hours.word}) × {weight}"

    def taken_away(self) -> tuple[float, ...]:
        """The risk that a replacement in year 1, 2, … takes away until the end of the plan."""
        yearly = [b - a for b, a in zip(self.before, self.after, strict=True)]
        return tuple(sum(yearly[year:]) for year in range(len(yearly)))


def risk(facts: Mapping[str, Any], load: Load, *, years: int, today: date, weights: Table) -> Risk:
    """The risk of the device at one position, for each year of a plan.

    Parameters
    ----------
    facts : the columns `READS` of the position.
    load : what else is known of it.
    years : how many years are planned.
    weights : the table `replacement-risk`.
    """
    w = dict(zip(weights.columns["what"], weights.columns["amount"].tolist(), strict=True))
    hours, to_read = _hours(facts, load, w)
    later, _ = _hours({**facts, "lifecycle": "current", "device_status": None}, load, w)
    weight = _weight(facts)
    to_read += [] if facts["criticality"] else ["criticality"]
    faults = []
    if load.repeats_trips:
        faults.append(Factor(w["trips"], "three trips within a year"))
    if load.fails_majors:
        faults.append(Factor(w["findings"], f"{counted(load.fails_majors, 'major finding')} at the device"))
    ages = [_age(facts, today, year, w) for year in range(years)]
    failed = facts["device_status"] in OUT_OF_ORDER
    rate = 1.0 if failed else load.rate.most_per_year
    # Multiplied in one order, before and after, so that equal risks come out equal to the last digit.
    factors = [[] if failed else [*faults, *([age] if age else [])] for age in ages]
    before = [rate * _product(own) * hours.amount * weight.amount for own in factors]
    new = load.rate.most_per_year * _product([] if load.clears else faults) * later.amount * weight.amount
    known = [age for age in ages[:1] if age and age.amount > 1.0]
    return Risk(
        rate_per_year=0.0 if failed else rate,
        factors=(Factor(1.0, "it has failed"),) if failed else (*known, *faults),
        hours=hours,
        weight=weight,
        before=tuple(before),
        after=(new,) * years,
        to_read=tuple(dict.fromkeys([*to_read, *_age_fields(facts)])),
        waits=hours.word.startswith(NO_SPARE),
    )


def _product(factors: list[Factor]) -> float:
    return prod(factor.amount for factor in factors)


def _age_fields(facts: Mapping[str, Any]) -> list[str]:
    dated = facts["made_on"] or facts["device_installed_on"]
    return [*([] if dated else ["made_on"]), *([] if facts["life_years"] else ["life_years"])]


def _age(facts: Mapping[str, Any], today: date, year: int, w: Mapping[str, float]) -> Factor | None:
    """The factor for its age, `year` years on; None where that is unknown."""
    if _age_fields(facts):
        return None
    made = date.fromisoformat(facts["made_on"] or facts["device_installed_on"])
    age = (today - made).days / DAYS_PER_YEAR + year
    life = facts["life_years"]
    amount = min(max(1.0, (age / life) ** w["wear"]), w["wear_most"])
    return Factor(float(amount), f"{age:.0f} years old; expected life {number(life)} years")


def _hours(facts: Mapping[str, Any], load: Load, w: Mapping[str, float]) -> tuple[Factor, list[str]]:
    """Hours of lost load that one failure costs, and the fields to read; an unknown bypass counts as none.

    Once it has failed the load is lost until it is replaced; or a standby or a bypass is in use
    already, and nothing is behind it any more.
    """
    standby, bypass = facts["standby"] == "installed", facts["bypass_arrangement"] in BYPASSED
    failed = facts["device_status"] in OUT_OF_ORDER
    to_read = [] if standby else [n for n in ("standby", "bypass_arrangement") if facts[n] is None]
    if standby and not failed:
        return Factor(float(w["standby_h"]), "an installed standby takes over"), to_read
    if bypass and not failed:
        return Factor(float(w["bypass_h"]), f"bypass: {facts['bypass_arrangement']}"), to_read
    if failed and not (standby or bypass):
        hours, word = HOURS_PER_YEAR, "lost until it is replaced"
    else:
        hours, word = _until_replaced(facts, load, w)
        to_read += ["lead_time_days"] if not load.has_spare and load.lead_time_days is None else []
    run = facts["run_hours_per_year"]
    if run is None:
        return Factor(float(hours), f"{word}; run hours unknown, taken as always"), [*to_read, "run_hours_per_year"]
    # Of these hours those in which the load would run.
    share = min(1.0, run / HOURS_PER_YEAR)
    return Factor(float(hours) * share, f"{word}; runs {100 * share:.0f} % of the year"), to_read


def _until_replaced(facts: Mapping[str, Any], load: Load, w: Mapping[str, float]) -> tuple[float, str]:
    """Hours until another device runs: from store, or once it is delivered."""
    repair = load.rate.repair_h
    if load.has_spare:
        hours = repair
        word = f"a spare lies in store; a repair takes {number(repair)} h, {load.rate.repair_told}"
    elif load.lead_time_days is None:
        hours, word = HOURS_PER_YEAR, f"{NO_SPARE}; delivery unknown, taken as a year"
    else:
        hours = repair + HOURS_PER_DAY * load.lead_time_days
        word = f"{NO_SPARE}; delivered in {shown(load.lead_time_days, 'd')}"
    if facts["lifecycle"] == "withdrawn":
        hours, word = hours * w["withdrawn"], f"{word}; withdrawn, so another type is fitted in"
    return hours, word


def _weight(facts: Mapping[str, Any]) -> Factor:
    word = facts["criticality"]
    if word is None:
        return Factor(UNKNOWN_CRITICALITY, "criticality unknown, taken as essential")
    return Factor(CRITICALITY[word], word)
