"""The ratio of two rates of failure with its interval."""

from __future__ import annotations

from math import inf


def rate_ratio(failed: int, years_failed: float, passed: int, years_passed: float, *, level: float = 0.90):
    """Ratio of two Poisson rates with its interval: (ratio, low, high).

    Given the sum of both counts, the first is binomial with share r·T1 / (r·T1 + T2). The interval is that of the
    mid-P values, which covers the level asked on average where the exact one (Clopper and Pearson) covers more.

    Parameters
    ----------
    failed, passed : failures counted in either group.
    years_failed, years_passed : position-years of either group, above 0.
    level : of the interval, two-sided.

    References
    ----------
    Przyborowski and Wilenski, Biometrika 31 (1940), for the condition on the sum; Berry and Armitage, The Statistician
    44 (1995), for mid-P intervals. Both from memory.

    Examples
    --------
    >>> [round(x, 2) for x in rate_ratio(12, 100.0, 10, 300.0)]
    [3.6, 1.76, 7.43]
    >>> rate_ratio(0, 100.0, 0, 300.0)
    (nan, 0.0, inf)
    """
    if failed + passed == 0:
        return float("nan"), 0.0, inf
    tail = (1 - level) / 2
    scale = years_passed / years_failed
    low = _share(failed, failed + passed, tail) if failed else 0.0
    high = 1 - _share(passed, failed + passed, tail) if passed else 1.0
    ratio = failed / passed * scale if passed else inf
    return ratio, scale * low / (1 - low), scale * high / (1 - high) if high < 1 else inf


def _share(count: int, total: int, tail: float) -> float:
    """The share below which so many or more, half of so many counted, have less probability than `tail`."""
    from scipy.optimize import brentq
    from scipy.special import bdtrc

    def excess(share: float) -> float:
        return float(bdtrc(count - 1, total, share) + bdtrc(count, total, share)) / 2 - tail

    return float(brentq(excess, 0.0, 1.0, xtol=1e-12)) if excess(1.0) > 0 else 1.0
