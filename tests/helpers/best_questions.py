"""The most that any so many readings decide at a plant whose true values are known, by brute force."""

from collections import defaultdict
from copy import deepcopy
from itertools import combinations
from unittest import mock

import make
from sample_plant import SAMPLES  # noqa: F401 — puts the samples on the path

from register.facts.base import BASE
from register.facts.whatif import Variant
from register.planning.trials import Trials
from register.rulebook.model import Outcome

MOST_TOGETHER, MOST_CELLS = 3, 15


def truth(scene, faults):
    """(tag, column) → value before any hole is dug; a check without another result was passed, as its sheet has it."""
    kept, real = {}, make.dig

    def dig(places, catalogue, rng, *, share):
        for place in deepcopy(places):
            of_model = deepcopy(catalogue[place["model"]])
            kept.update({(place["tag"], name): value for name, value in (of_model | place).items()})
        real(places, catalogue, rng, share=share)

    with mock.patch.object(make, "dig", dig):
        make.plant(scene, faults)
    for tag, name in [at for at, value in kept.items() if at[1].endswith("_on") and value is not None]:
        result = name.removesuffix("_on") + "_result"
        if result in BASE:
            kept[tag, result] = kept.get((tag, result)) or "passed"
    return kept


def deciding(session, verdicts, known):
    """For each verdict the smallest sets of cells that decide it, if filled with what is true.

    Bounded: every set of up to three of the cells that the verdict names, where their true values are known.
    """
    trials = Trials(
        session.db, {one.tag for one in verdicts}, pack=session.pack, today=session.today, measured_only=False
    )
    found = defaultdict(list)
    for size in range(1, MOST_TOGETHER + 1):
        variants, asked = {}, []
        for number, one in enumerate(verdicts):
            cells = sorted(b for b in one.blanks if known.get((one.tag, b.column)) is not None)
            for own in combinations(cells, size):
                if not any(set(smaller) <= set(own) for smaller in found[number]):
                    columns = tuple(b.column for b in own)
                    values = {name: known[one.tag, name] for name in columns}
                    variants.setdefault((one.tag, columns), Variant(one.tag, values))
                    asked.append((number, own, (one.tag, columns)))
        judged = trials.judge(variants.values())
        row = {key: at for at, key in enumerate(variants)}
        for number, own, key in asked:
            outcome = judged.verdicts.outcomes[row[key], judged.verdicts.column(verdicts[number].rule)]
            if outcome != Outcome.CANT_TELL:
                found[number].append(own)
    return found


def decided(chosen, sets, weights):
    """The weight of the verdicts that some cells decide."""
    chosen = set(chosen)
    return sum(weights[n] for n, own in sets.items() if any(chosen.issuperset(one) for one in own))


def best(sets, weights, most):
    """The most weight that any so many cells decide.

    Every subset of the cells of each place is tried, and the places put together in every way; cells shared by
    places make them one. Bounded: of one place the fifteen cells with the most weight behind them.
    """
    totals = [0.0] * (most + 1)
    for cells, own in _places(sets):
        behind = defaultdict(float)
        for number, ways in own.items():
            for cell in {cell for way in ways for cell in way}:
                behind[cell] += weights[number]
        cells = sorted(cells, key=lambda cell: (-behind[cell], cell))[:MOST_CELLS]
        bit = {cell: 1 << at for at, cell in enumerate(cells)}
        masks = [
            (weights[n], [sum(bit[c] for c in way) for way in ways if all(c in bit for c in way)])
            for n, ways in own.items()
        ]
        here = [0.0] * (most + 1)
        for size in range(1, min(most, len(cells)) + 1):
            for some in combinations(cells, size):
                mask = sum(bit[cell] for cell in some)
                here[size] = max(here[size], sum(w for w, ways in masks if any(way & mask == way for way in ways)))
        totals = [max(totals[n - k] + max(here[: k + 1]) for k in range(n + 1)) for n in range(most + 1)]
    return totals[most]


def _places(sets):
    """The cells and verdicts of each place, or of places that share a cell."""
    groups = []
    for number, ways in sets.items():
        cells = {cell for way in ways for cell in way}
        if cells:
            joined = [group for group in groups if group[0] & cells]
            groups = [group for group in groups if not group[0] & cells]
            merged = (cells.union(*(g[0] for g in joined)), {number: ways})
            for group in joined:
                merged[1].update(group[1])
            groups.append(merged)
    return groups
