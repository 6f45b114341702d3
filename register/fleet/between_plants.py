"""How often something fails in plants that are not alike: their rates gamma distributed, their failures Poisson.

A plant's rate is drawn from a gamma distribution of mean `mean` and spread `spread`, its standard deviation over its
mean; its failures are Poisson. Both numbers are unknown. Before the data, any spread from 0 to `MOST_SPREAD` is equally
likely, and the mean has a gamma distribution of shape 1/2 about a published rate: the published rate is worth half a
failure, as it is in one plant's store. The posterior is summed on a grid that is fitted to the data.

References: Gelman et al., Bayesian Data Analysis, chapter 5 (hierarchical models); NUREG/CR-6823, chapter 8 (gamma
distribution of rates over plants, constrained noninformative prior). From memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import gammainc, gammaincinv, gammaln, xlogy

from register.calc.spares import PRIOR_FAILURES

# Standard deviation of the plants' rates over their mean: at 2 the worst twentieth has half of all failures or more.
MOST_SPREAD = 2.0
FINE, COARSE = (36, 14), (12, 6)  # points of the grid: square roots of the mean, and spreads; and while it is sought
LOOKS = 6  # times that the grid is drawn closer about the data
LEFT_OUT = 14.0  # a point of the grid whose logarithm lies so far below the highest counts for nothing
MOVED = 0.5  # nats between two posteriors, beyond which one is not reckoned from the other
SOME = 200  # plants; of more, what all have in common is known so well that little of the grid is enough
CLOSE = 1e-4  # of a rate: the step that was taken last in that search is far larger than what is left
STEP = 2.0  # of the logarithm of a rate, in the search for a quantile
AT_ONCE = 2_000_000  # numbers in memory

Array = np.ndarray


@dataclass(frozen=True)
class Posterior:
    """Weights of a grid of means and spreads, for each history; each array is histories × points.

    `width` is how wide the square root of the mean is at a point.
    """

    weight: Array
    mean: Array
    spread: Array
    width: Array

    def heavy(self, least: float) -> Posterior:
        """The same without the points where no history has so large a share of its largest weight."""
        kept = (self.weight >= least * self.weight.max(axis=1, keepdims=True)).any(axis=0)
        weight = self.weight[:, kept] / self.weight[:, kept].sum(axis=1, keepdims=True)
        return Posterior(weight, self.mean[:, kept], self.spread[:, kept], self.width[:, kept])


def posterior(failures: Array, years: Array, *, published_per_year: float) -> Posterior:
    """What is known of mean and spread after the failures, for each history alone.

    Parameters
    ----------
    failures : counted in each plant, histories × plants.
    years : device-years watched in each plant, of the same shape [a]; 0 with no failure tells nothing.
    published_per_year : published mean failures of a device and year, above 0 [1/a].
    """
    failures, years = np.atleast_2d(np.asarray(failures, float)), np.atleast_2d(np.asarray(years, float))
    most = max(1, AT_ONCE // (FINE[0] * FINE[1] * max(1, failures.shape[1])))
    parts = [
        _grid(failures[at : at + most], years[at : at + most], published_per_year)
        for at in range(0, len(failures), most)
    ]
    return Posterior(*(np.concatenate([part[n] for part in parts]) for n in range(4)))


def _grid(failures: Array, years: Array, published: float) -> tuple[Array, ...]:
    # Of the root of the mean the prior is half a normal distribution, and the likelihood is smooth down to 0.
    seen = np.divide(failures + 1.0, years, out=np.zeros_like(years), where=years > 0.0).max(axis=1, initial=0.0)
    roots = np.zeros(len(failures)), np.sqrt(30.0 * published + 4.0 * seen)
    spreads = np.zeros(len(failures)), np.full(len(failures), MOST_SPREAD)
    for _ in range(LOOKS):
        root, spread, _ = _points(roots, spreads, COARSE)
        logs = _logs(root, spread, failures, years, published)
        logs -= logs.max(axis=(1, 2), keepdims=True)
        roots = _closer(logs.max(axis=2), root, *roots)
        spreads = _closer(logs.max(axis=1), spread, *spreads)
    root, spread, nodes = _points(roots, spreads, FINE)
    logs = _logs(root, spread, failures, years, published)
    weight = np.exp(logs - logs.max(axis=(1, 2), keepdims=True)) * nodes
    weight /= weight.sum(axis=(1, 2), keepdims=True)
    width = ((roots[1] - roots[0]) / FINE[0])[:, None, None]
    parts = (weight, root[:, :, None] ** 2, spread[:, None, :], width)
    return tuple(np.broadcast_to(part, weight.shape).reshape(len(failures), -1) for part in parts)


def _points(
    roots: tuple[Array, Array], spreads: tuple[Array, Array], counts: tuple[int, int]
) -> tuple[Array, Array, Array]:
    """Roots in the middle of equal steps, spreads where Gauss and Legendre put them, and the latter's weights."""
    nodes, weights = np.polynomial.legendre.leggauss(counts[1])
    shares = (np.arange(counts[0]) + 0.5) / counts[0], (nodes + 1.0) / 2.0
    root, spread = (
        low[:, None] + (high - low)[:, None] * share
        for (low, high), share in zip((roots, spreads), shares, strict=True)
    )
    return root, spread, weights


def _closer(profile: Array, points: Array, low: Array, high: Array) -> tuple[Array, Array]:
    """The range of the points that count, to the next point on either side that does not."""
    counts = profile > -LEFT_OUT
    bounded = np.column_stack([low, points, high])
    rows = np.arange(len(points))
    first, last = np.argmax(counts, axis=1), counts.shape[1] - np.argmax(counts[:, ::-1], axis=1) - 1
    return bounded[rows, first], bounded[rows, last + 2]


def _logs(root: Array, spread: Array, failures: Array, years: Array, published: float) -> Array:
    """Logarithm of prior times likelihood at each root of the mean and each spread, but for a constant."""
    shape = 1.0 / spread**2
    counted = (gammaln(failures[:, None, :] + shape[:, :, None]) - gammaln(shape)[:, :, None]).sum(axis=2)
    expected = (root**2)[:, :, None] * years[:, None, :]  # histories × roots × plants
    more = np.log1p(expected[:, :, None, :] / shape[:, None, :, None])
    lost = ((failures[:, None, None, :] + shape[:, None, :, None]) * more).sum(axis=3)
    total = failures.sum(axis=1)[:, None, None]
    # Failures × log(mean / shape): at the shape of each spread.
    seen = total * (2.0 * np.log(root)[:, :, None] - np.log(shape)[:, None, :])
    prior = -PRIOR_FAILURES * root**2 / published
    return prior[:, :, None] + counted[:, None, :] - lost + seen


def without_each(found: Posterior, failures: Array, years: Array, *, published_per_year: float) -> Posterior:
    """What is known after one history without one of its plants, for each plant.

    Where the rest tell much the same as all do, their weights are those of all over what the plant itself told.

    Parameters
    ----------
    found : of all plants, one history.
    failures, years : of each plant.
    """
    shape, mean = 1.0 / found.spread**2, found.mean
    n, watched = failures[:, None], years[:, None]
    own = (
        gammaln(n + shape) - gammaln(shape) - (n + shape) * np.log1p(mean * watched / shape) + n * np.log(mean / shape)
    )
    logs = np.log(np.maximum(found.weight, 1e-300)) - own
    weight = np.exp(logs - logs.max(axis=1, keepdims=True))
    weight /= weight.sum(axis=1, keepdims=True)
    moved = xlogy(weight, weight / np.maximum(found.weight, 1e-300)).sum(axis=1)
    parts = [weight, *(np.array(np.broadcast_to(part, weight.shape)) for part in (mean, found.spread, found.width))]
    far = np.flatnonzero(moved > MOVED)
    if far.size:
        rest = far[:, None] != np.arange(len(failures))
        anew = posterior(
            np.where(rest, failures, 0.0), np.where(rest, years, 0.0), published_per_year=published_per_year
        )
        for part, new in zip(parts, (anew.weight, anew.mean, anew.spread, anew.width), strict=True):
            part[far] = new
    return Posterior(*parts)


def mean_below(found: Posterior, rate: Array) -> Array:
    """Probability that the mean over the plants lies below a rate, for each history."""
    root = np.sqrt(found.mean)
    share = np.clip((np.sqrt(rate)[:, None] - root) / found.width + 0.5, 0.0, 1.0)
    return (found.weight * share).sum(axis=1)


def plant_below(found: Posterior, rate: Array, *, failures: Array | float = 0.0, years: Array | float = 0.0) -> Array:
    """Probability that a plant's own rate lies below `rate`, for each history; without failures, a new one's."""
    shape = 1.0 / found.spread**2
    failures, years = (np.atleast_1d(np.asarray(part, float))[:, None] for part in (failures, years))
    return (found.weight * gammainc(shape + failures, (shape / found.mean + years) * rate[:, None])).sum(axis=1)


def plant_quantile(
    found: Posterior, probability: float, *, failures: Array | float = 0.0, years: Array | float = 0.0
) -> Array:
    """The rate below which a plant's own lies with that probability, for each of some plants or of some histories."""
    failures, years = np.atleast_1d(np.asarray(failures, float)), np.atleast_1d(np.asarray(years, float))
    found = found.heavy(1e-7 if len(failures) <= SOME else 1e-3)
    shape = 1.0 / found.spread**2
    shapes, rates = shape + failures[:, None], shape / found.mean + years[:, None]
    mean = (found.weight * shapes / rates).sum(axis=1)
    variance = (found.weight * (shapes * (shapes + 1.0)) / rates**2).sum(axis=1) - mean**2
    rate = np.maximum(gammaincinv(mean**2 / variance, probability) * variance / mean, 1e-12 * mean)
    low, high = np.zeros_like(rate), np.full_like(rate, np.inf)
    weight, shapes, rates = (np.broadcast_to(part, shapes.shape) for part in (found.weight, shapes, rates))
    at = np.arange(len(rate))  # those that are sought still
    for _ in range(200):
        before = rate[at]
        scaled = rates[at] * before[:, None]
        below = (weight[at] * gammainc(shapes[at], scaled)).sum(axis=1)
        low[at], high[at] = (
            np.where(below < probability, before, low[at]),
            np.where(below < probability, high[at], before),
        )
        logs = xlogy(shapes[at], scaled) - scaled - gammaln(shapes[at])
        density = (weight[at] * np.exp(logs)).sum(axis=1)  # of the rate's logarithm
        newton = before * np.exp(np.clip((probability - below) / np.maximum(density, 1e-9), -STEP, STEP))
        halved = np.sqrt(np.maximum(low[at], before / 8.0) * np.minimum(high[at], 8.0 * before))
        rate[at] = np.where((newton > low[at]) & (newton < high[at]), newton, halved)
        at = at[np.abs(rate[at] - before) > CLOSE * before]
        if not at.size:
            break
    return rate


def mean_quantile(found: Posterior, probability: float) -> Array:
    """The rate below which the mean over the plants lies with that probability, for each history."""
    root, last = np.sqrt(found.mean), found.width[:, 0] / 2.0
    low, high = np.maximum(root.min(axis=1) - last, 0.0), root.max(axis=1) + last
    for _ in range(50):
        middle = (low + high) / 2.0
        short = mean_below(found, middle**2) < probability
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return ((low + high) / 2.0) ** 2
