"""The risk of a device: how often it fails, and what a failure costs; both in words.

Risk is hours of lost load a year, weighed by criticality. What is unknown counts at its worst, or
leaves a factor out, and is named.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from register.audit.priority import CRITICALITY, UNKNOWN_CRITICALITY
from register.calc.spares import DAYS_PER_YEAR
from register.planning.years.failure_rates import OUT_OF_ORDER, Rate
from register.text import number

if TYPE_CHECKING:
    from register.calc.standard_table import Table

HOURS_PER_DAY = 24.0
NO_SPARE = "no spare"
WAYS_ROUND = ("two-contactor", "three-contactor", "standby starter")
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
    """What else is known of a position: whether a spare covers it, how it stands in the audit.

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
        """How often it fails, in words."""
        if not self.rate_per_year:
            return self.factors[0].word
        factors = "".join(f" × {number(float(f'{f.amount:.2g}'))} ({f.word})" for f in self.factors)
        return f"{number(float(f'{self.rate_per_year:.2g}'))} failures a year{factors}"

    @property
    def consequence(self) -> str:
        """What a failure costs, in words."""
        hours = number(float(f"{self.hours.amount:.3g}"))
        weight = f"{number(self.weight.amount)} ({self.weight.word})"
        return f"{hours} h of lost load ({self.hours.word}) × {weight}"

    def taken_away(self) -> tuple[float, ...]:
        """What a replacement in year 1, 2, … takes away until the end of the plan."""
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
    to_read: dict[str, None] = {}
    hours = _hours(facts, load, w, to_read)
    later = _hours(facts | {"lifecycle": "current", "device_status": None}, load, w, {})
    weight = _weight(facts, to_read)
    trips = [Factor(w["trips"], "three trips within a year")] * load.repeats_trips
    finds = [Factor(w["findings"], _counted(load.fails_majors))] * bool(load.fails_majors)
    ages = [_age(facts, today, year, w) for year in range(years)]
    if ages[0] is None:
        to_read |= dict.fromkeys(_age_fields(facts))
    cured = [] if load.clears else [*trips, *finds]
    rate = load.rate.most_per_year
    failed = facts["device_status"] in OUT_OF_ORDER
    before = [
        (1.0 if failed else rate * _product([*trips, *finds, *([age] if age else [])])) * hours.amount * weight.amount
        for age in ages
    ]
    new = rate * _product(cured) * later.amount * weight.amount
    known = [age for age in ages[:1] if age and age.amount > 1.0]
    return Risk(
        rate_per_year=0.0 if failed else rate,
        factors=(Factor(1.0, "it has failed"),) if failed else (*known, *trips, *finds),
        hours=hours,
        weight=weight,
        before=tuple(before),
        after=(new,) * years,
        to_read=tuple(to_read),
        waits=hours.word.startswith(NO_SPARE),
    )


def _product(factors: list[Factor]) -> float:
    product = 1.0
    for factor in factors:
        product *= factor.amount
    return product


def _counted(majors: int) -> str:
    return f"{majors} major finding{'' if majors == 1 else 's'} at the device"


def _age_fields(facts: Mapping[str, Any]) -> list[str]:
    dated = facts["made_on"] or facts["device_installed_on"]
    return [*([] if dated else ["made_on"]), *([] if facts["life_years"] else ["life_years"])]


def _age(facts: Mapping[str, Any], today: date, year: int, w: Mapping[str, float]) -> Factor | None:
    """How much more often it fails for its age, `year` years on; None where that is unknown."""
    if _age_fields(facts):
        return None
    made = date.fromisoformat(facts["made_on"] or facts["device_installed_on"])
    age = (today - made).days / DAYS_PER_YEAR + year
    life = facts["life_years"]
    amount = min(max(1.0, (age / life) ** w["wear"]), w["wear_most"])
    return Factor(float(amount), f"{age:.0f} years old; expected life {number(life)} years")


def _hours(facts: Mapping[str, Any], load: Load, w: Mapping[str, float], to_read: dict[str, None]) -> Factor:
    """Hours of lost load that one failure costs; unknown bypasses count as none.

    Once it has failed the load is lost until it is replaced; or a standby or a bypass is in use
    already, and nothing is behind it any more.
    """
    standby, way = facts["standby"] == "installed", facts["bypass_arrangement"] in WAYS_ROUND
    failed = facts["device_status"] in OUT_OF_ORDER
    if not standby:
        to_read |= dict.fromkeys(n for n in ("standby", "bypass_arrangement") if facts[n] is None)
    if failed and not (standby or way):
        return _running(HOURS_PER_DAY * DAYS_PER_YEAR, "lost until it is replaced", facts, to_read)
    if standby and not failed:
        return Factor(float(w["standby_h"]), "an installed standby takes over")
    if way and not failed:
        return Factor(float(w["bypass_h"]), f"bypass: {facts['bypass_arrangement']}")
    hours, word = _until_mended(facts, load, w, to_read)
    return _running(hours, word, facts, to_read)


def _until_mended(
    facts: Mapping[str, Any], load: Load, w: Mapping[str, float], to_read: dict[str, None]
) -> tuple[float, str]:
    """Hours until another device runs: from store, or once it is delivered."""
    mend = load.rate.repair_h
    if load.has_spare:
        hours = mend
        word = f"a spare lies in store; a repair takes {number(mend)} h, {load.rate.repair_told}"
    elif load.lead_time_days is None:
        to_read |= {"lead_time_days": None}
        hours = HOURS_PER_DAY * DAYS_PER_YEAR
        word = f"{NO_SPARE}; delivery unknown, taken as a year"
    else:
        hours = mend + HOURS_PER_DAY * load.lead_time_days
        word = f"{NO_SPARE}; delivered in {number(load.lead_time_days)} days"
    if facts["lifecycle"] == "withdrawn":
        hours, word = hours * w["withdrawn"], f"{word}; withdrawn, so another type is fitted in"
    return hours, word


def _running(hours: float, word: str, facts: Mapping[str, Any], to_read: dict[str, None]) -> Factor:
    """Of these hours those in which the load would run; all of them where that is unknown."""
    run = facts["run_hours_per_year"]
    if run is None:
        to_read |= {"run_hours_per_year": None}
        return Factor(float(hours), f"{word}; run hours unknown, taken as always")
    share = min(1.0, run / (HOURS_PER_DAY * DAYS_PER_YEAR))
    return Factor(float(hours) * share, f"{word}; runs {100 * share:.0f} % of the year")


def _weight(facts: Mapping[str, Any], to_read: dict[str, None]) -> Factor:
    word = facts["criticality"]
    if word is None:
        to_read |= {"criticality": None}
        return Factor(UNKNOWN_CRITICALITY, "criticality unknown, taken as essential")
    return Factor(CRITICALITY[word], word)
