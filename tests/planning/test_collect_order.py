"""The order of the questions against a plain greedy choice, which works out everything anew each time."""

from itertools import combinations
from random import Random

import pytest

from register.planning.collect import order
from register.planning.collect.waiting import Blank, Waiting
from register.planning.collect.worth import Worth

SITE = Blank("site", "", "site_ambient_c")


def a_plant(seed):
    """Verdicts at some positions, decided by a value of the site, by values of their own, or by both together."""
    random = Random(seed)
    verdicts, asks = [], {}
    for place in range(random.randint(2, 7)):
        own = [Blank("motor", f"M-{place}", name) for name in ("fla_a", "poles", "power_kw")]
        for rule in range(random.randint(1, 4)):
            people = random.random() < 0.3
            number = len(verdicts)
            verdicts.append(
                Waiting(f"M-{place}", f"rule-{rule}", random.choice([1.0, 2.0, 3.0]), people, False, frozenset(own))
            )
            for blanks in ([SITE], *([b] for b in own), *combinations([SITE, *own], 2), own):
                if random.random() < 0.6:
                    share = random.choice([0.25, 0.5, 0.5, 1.0])
                    asks.setdefault(frozenset(blanks), {})[number] = share
    return Worth(verdicts, asks)


def greedy(worth, *, people_first, counted):
    """At each step whatever adds most for each reading; of equals the first by name."""
    now, filled = [0.0] * len(worth.verdicts), set()

    def adds(ask):
        shares = {}
        for part, effects in worth.asks.items():
            for number, share in effects.items() if part <= ask else ():
                shares[number] = max(share, shares.get(number, 0.0))
        return {n: share - now[n] for n, share in shares.items() if share > now[n]}

    def weighs(ask, people_only):
        own = ((n, more) for n, more in adds(ask).items() if worth.verdicts[n].people or not people_only)
        whole = sum(more * (1.0 if counted else worth.verdicts[n].weight) for n, more in own)
        return round(whole / len(ask - filled), 9)

    for people_only in (True, False) if people_first else (False,):
        while True:
            left = [ask for ask in worth.asks if ask - filled and weighs(ask, people_only) > 0]
            if not left:
                break
            best = min(left, key=lambda ask: (-weighs(ask, people_only), -weighs(ask, False), tuple(sorted(ask))))
            yield tuple(sorted(best - filled)), {n: pytest.approx(more) for n, more in adds(best).items()}
            for number, more in adds(best).items():
                now[number] += more
            filled |= best


@pytest.mark.parametrize("wide", [2, 10**6], ids=["a wide value is not repeated", "every value is"])
@pytest.mark.parametrize("people_first", [True, False])
@pytest.mark.parametrize("counted", [True, False])
def test_each_question_is_what_adds_most_then(monkeypatch, wide, people_first, counted):
    monkeypatch.setattr(order, "WIDE", wide)
    for seed in range(60):
        worth = a_plant(seed)
        told = [(one.blanks, one.decides) for one in order.ordered(worth, people_first=people_first, counted=counted)]
        assert told == list(greedy(worth, people_first=people_first, counted=counted)), seed


def test_what_the_whole_site_waits_for_is_held_once():
    """A value of the site that goes with one at each of a thousand positions: the work grows as the plant does."""
    numbers = range(1000)
    asks = {frozenset([SITE]): dict.fromkeys(numbers, 0.5)}
    asks |= {frozenset([SITE, Blank("position", f"M-{n}", "altitude_m")]): {n: 1.0} for n in numbers}
    held = order.of_subsets(asks)
    assert sum(len(one.decides) for one in held.values()) == 2000
