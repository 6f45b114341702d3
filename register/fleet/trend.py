"""Do devices fail more often than before? An exact test on the failures of each year, and how many it is based on."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf, nan

import numpy as np
from scipy.optimize import brentq
from scipy.special import ndtr
from scipy.stats import false_discovery_control

from register.fleet.rates import Watched
from register.maintenance.rate_ratio import rate_ratio
from register.text import counted, two_digits

MORE, LESS, ALIKE, TOO_FEW = "more often", "less often", "about as often", "too few to say"
LEVEL = 0.05
# As often as before is what is said only where twice or half as often can be ruled out.
TWICE = 2.0
MANY = 500  # failures, beyond which a sum over them is taken for normal
ALL_PLANTS = ""


@dataclass(frozen=True, slots=True)
class YearCount:
    """The failures of one calendar year, and the device-years watched in it."""

    year: int
    failures: int
    device_years: float


@dataclass(frozen=True)
class Trend:
    """How the failures of a kind of device go with the years at one plant, or (`plant` blank) at all.

    `chance_more` is the probability of so late a set of failures, or a later one, were nothing changed; `chance_less`
    of so early a one. `ratio` is the rate of the later years over that of the earlier ones, from `split` on, with its
    90 % interval. `verdict` is `more often`, `less often`, `about as often` or `too few to say`; `undated` are
    failures that it leaves out, as nobody entered their day.
    """

    plant: str
    kind: str
    high_voltage: bool
    counts: tuple[YearCount, ...]
    chance_more: float
    chance_less: float
    split: int | None
    ratio: float
    ratio_low: float
    ratio_high: float
    verdict: str
    undated: int = 0

    @property
    def failures(self) -> int:
        """The failures that it is based on."""
        return sum(one.failures for one in self.counts)

    @property
    def told(self) -> str:
        """The verdict, with the count that it is based on."""
        if not self.counts:
            return f"{TOO_FEW}: no year is watched"
        years = sorted(one.year for one in self.counts)
        span = f"in {years[0]}" if years[0] == years[-1] else f"from {years[0]} to {years[-1]}"
        text = f"{self.verdict}: {counted(self.failures, 'failure') if self.failures else 'no failures'} {span}"
        text += f", and {self.undated} more of no known day" if self.undated else ""
        if self.split is None or not self.failures:
            return text
        low, high = two_digits(self.ratio_low), "" if self.ratio_high == inf else two_digits(self.ratio_high)
        span = f"between {low} and {high} times as often" if high else f"at least {low} times as often"
        if self.verdict in (MORE, LESS) and self.ratio_low < 1.0 < self.ratio_high:
            late = "later" if self.verdict == MORE else "earlier"
            return f"{text}, {late} than by chance; not certain of all years since {self.split} together: {span}"
        return f"{text}; since {self.split} {span}"


def trend(strata: Sequence[Sequence[YearCount]]) -> Trend:
    """How failures go with the years, of one plant or of several that are each compared with themselves.

    Parameters
    ----------
    strata : for each plant the counts of its years; a year without device-years tells nothing.

    Notes
    -----
    Given how many failed at a plant at all, each failure falls into a year with the share of that year in the plant's
    device-years, were nothing changed. Tested is the sum over all failures of the year they fell into, by its exact
    distribution, and of more than 500 failures by the normal one: the Laplace test for counts by year.

    References
    ----------
    Laplace test: MIL-HDBK-189, IEC 61649 (from memory); the condition on the sum: Cox and Lewis, The Statistical
    Analysis of Series of Events (from memory).
    """
    told = [sorted((c for c in own if c.device_years > 0.0), key=lambda c: c.year) for own in strata]
    told = [own for own in told if own]
    more, less = _chances(told)
    split = _split(told)
    ratio, low, high = _ratio(told, split) if split is not None else (nan, 0.0, inf)
    made = Trend("", "", False, _summed(told), more, less, split, ratio, low, high, TOO_FEW)
    return replace(made, verdict=_verdict(made, more, less))


def _verdict(made: Trend, chance_more: float, chance_less: float) -> str:
    if chance_more <= LEVEL:
        return MORE
    if chance_less <= LEVEL:
        return LESS
    return ALIKE if made.ratio_low > 1.0 / TWICE and made.ratio_high < TWICE else TOO_FEW


def _summed(told: Sequence[Sequence[YearCount]]) -> tuple[YearCount, ...]:
    years: dict[int, list[YearCount]] = defaultdict(list)
    for own in told:
        for one in own:
            years[one.year].append(one)
    return tuple(
        YearCount(year, sum(one.failures for one in own), sum(one.device_years for one in own))
        for year, own in sorted(years.items())
    )


def _chances(told: Sequence[Sequence[YearCount]]) -> tuple[float, float]:
    """Probability of so late a sum of years or a later one, and of so early a one or an earlier one."""
    shares, seen, mean, variance = [], 0, 0.0, 0.0
    for own in told:
        after = np.array([one.year - own[0].year for one in own])
        counts = np.array([one.failures for one in own])
        share = np.zeros(after[-1] + 1)
        share[after] = [one.device_years for one in own]
        share /= share.sum()
        shares.append((share, int(counts.sum())))
        seen += int(after @ counts)
        middle = share @ np.arange(len(share))
        mean += counts.sum() * middle
        variance += counts.sum() * (share @ (np.arange(len(share)) - middle) ** 2)
    if sum(count for _, count in shares) > MANY:
        half = 0.5 / np.sqrt(variance) if variance else 0.0
        score = (seen - mean) / np.sqrt(variance) if variance else 0.0
        return float(ndtr(half - score)), float(ndtr(half + score))
    chance = _sum_of(shares)
    return min(1.0, float(chance[seen:].sum())), min(1.0, float(chance[: seen + 1].sum()))


def _sum_of(parts: Sequence[tuple[np.ndarray, int]]) -> np.ndarray:
    """The distribution of a sum of independent whole numbers: each distribution, and how many there are of it."""
    most = sum((len(share) - 1) * count for share, count in parts)
    size = 1 << int(most).bit_length()
    spectrum = np.ones(size // 2 + 1, complex)
    for share, count in parts:
        if count:
            spectrum = spectrum * np.fft.rfft(share, size) ** count
    return np.clip(np.fft.irfft(spectrum, size)[: most + 1], 0.0, 1.0)


def _split(told: Sequence[Sequence[YearCount]]) -> int | None:
    """The first of the later years: so that device-years are shared most evenly; None of one year."""
    counts = _summed(told)
    if len(counts) < 2:
        return None
    before = np.cumsum([one.device_years for one in counts])
    return counts[1 + int(np.argmin(np.abs(before[:-1] - before[-1] / 2.0)))].year


@dataclass(frozen=True, slots=True)
class _Sides:
    """One plant's years and failures before and after the split."""

    late_years: float
    early_years: float
    late: int
    early: int


def _ratio(told: Sequence[Sequence[YearCount]], split: int) -> tuple[float, float, float]:
    """Rate from a year on over the rate before it, alike at every plant, with its interval from mid-P values."""
    sides = [side for side in (_sides(own, split) for own in told) if side.late_years and side.early_years]
    if len(sides) == 1:
        one = sides[0]
        return rate_ratio(one.late, one.late_years, one.early, one.early_years)
    sides = [side for side in sides if side.late + side.early]
    later, total = sum(side.late for side in sides), sum(side.late + side.early for side in sides)
    if not total:
        return nan, 0.0, inf
    years = np.array([side.late_years / side.early_years for side in sides])
    counts = np.array([side.late + side.early for side in sides])

    def below(log_ratio: float) -> float:
        """Probability of fewer later failures than were seen, and half of that of so many."""
        odds = np.exp(log_ratio) * years
        if total > MANY:
            share = odds / (1.0 + odds)
            mean, variance = counts @ share, counts @ (share * (1.0 - share))
            return float(ndtr((later - mean) / np.sqrt(variance)))
        parts = zip(np.stack([1.0 / (1.0 + odds), odds / (1.0 + odds)], axis=1), counts, strict=True)
        chance = _sum_of(list(parts))
        return float(chance[:later].sum() + chance[later] / 2.0)

    def at(share: float) -> float:
        return float(np.exp(brentq(lambda log_ratio: below(log_ratio) - share, -30.0, 30.0)))

    low = at(0.95) if later else 0.0
    high = at(0.05) if later < total else inf
    return (at(0.5) if 0 < later < total else 0.0 if not later else inf), low, high


def _sides(own: Sequence[YearCount], split: int) -> _Sides:
    late, early = ([one for one in own if (one.year >= split) == after] for after in (True, False))
    return _Sides(
        late_years=sum(one.device_years for one in late),
        early_years=sum(one.device_years for one in early),
        late=sum(one.failures for one in late),
        early=sum(one.failures for one in early),
    )


def trends(rows: Iterable[Watched]) -> tuple[Trend, ...]:
    """The trend of each kind of device over all plants, then at each plant; by kind, the plants in order.

    At so many plants some would stand out by chance alone. A plant's verdict is by chances that are made larger for
    that: of the plants that are said to fail more often, at most one in twenty is expected to be no different.

    References
    ----------
    Benjamini and Hochberg (1995), by scipy.stats.false_discovery_control.
    """
    groups: dict[tuple[str, bool], dict[str, dict[int | None, list[Watched]]]] = {}
    for row in rows:
        if row.kind is not None:
            plants = groups.setdefault((row.kind, row.high_voltage), {})
            plants.setdefault(row.plant, {}).setdefault(row.year, []).append(row)
    whole, single = [], []
    for (kind, high), plants in sorted(groups.items()):
        counts = {plant: _counts(plants[plant]) for plant in sorted(plants)}
        lost = {plant: sum(row.failures for row in plants[plant].get(None, ())) for plant in counts}
        made = replace(trend(tuple(counts.values())), plant=ALL_PLANTS, undated=sum(lost.values()))
        whole.append(replace(made, kind=kind, high_voltage=high))
        for plant, own in counts.items():
            told = replace(trend((own,)), plant=plant, undated=lost[plant])
            single.append(replace(told, kind=kind, high_voltage=high))
    return (*whole, *_adjusted(single))


def _counts(years: Mapping[int | None, list[Watched]]) -> tuple[YearCount, ...]:
    return tuple(
        YearCount(year, sum(row.failures for row in own), sum(row.device_years for row in own))
        for year, own in sorted((year, own) for year, own in years.items() if year is not None)
    )


def _adjusted(made: Sequence[Trend]) -> list[Trend]:
    """The verdicts of many tests at once."""
    if not made:
        return []
    more = false_discovery_control([min(1.0, one.chance_more) for one in made])
    less = false_discovery_control([min(1.0, one.chance_less) for one in made])
    return [replace(one, verdict=_verdict(one, m, s)) for one, m, s in zip(made, more, less, strict=True)]
