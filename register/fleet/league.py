"""The league of plants: majors for 100 positions, with how much is known beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from register.fleet.counts import Counts
from register.fleet.model import HARMS, Plant, RuleRow, Standing, little

MOST_NAMED = 3


def standings(
    plants: Sequence[Plant], counts: Counts, own: Counts | None, to_read: Mapping[str, Sequence[tuple[str, int]]]
) -> list[Standing]:
    """How each plant stands: first those of which little is known, then the worst.

    Parameters
    ----------
    counts : the verdicts that the league is made of; their rows are the plants.
    own : those by the plants' own rules, where `counts` are by the fleet's.
    to_read : by plant, the blank fields that most verdicts wait for.
    """
    totals = {name: counts.total(name) for name in ("failed", "passed", "cant_tell", "provisional")}
    majors = {name: counts.total(name, grade="major") for name in ("failed", "passed", "cant_tell")}
    by_harm = {harm: counts.total("failed", grade="major", harm=harm) for harm in HARMS}
    found = []
    for row, plant in enumerate(plants):
        failed, passed, unknown = (int(majors[name][row]) for name in ("failed", "passed", "cant_tell"))
        decided = int(totals["failed"][row] + totals["passed"][row])
        asked = decided + int(totals["cant_tell"][row])
        known_pct = 100 * decided / asked if asked else None
        found.append(
            Standing(
                plant=plant,
                majors={harm: int(by_harm[harm][row]) for harm in HARMS},
                majors_per_100=_per_100(failed, plant),
                unknown_per_100=_per_100(unknown, plant),
                expected_per_100=None if little(known_pct) else _expected(failed, passed, unknown, plant),
                known_pct=known_pct,
                provisional_pct=100 * int(totals["provisional"][row]) / decided if decided else None,
                failed=int(totals["failed"][row]),
                worst_rules=_worst(counts, row),
                to_read=tuple(to_read.get(plant.key, ())[:MOST_NAMED]),
                own_per_100=_per_100(int(own.total("failed", grade="major")[row]), plant) if own else None,
            )
        )
    return sorted(found, key=_order)


def _order(standing: Standing) -> tuple:
    expected = standing.expected_per_100
    return expected is not None, -(expected or 0.0), -standing.unknown_per_100, standing.plant.place


def _per_100(count: int, plant: Plant) -> float:
    return 100 * count / plant.positions if plant.positions else 0.0


def _expected(failed: int, passed: int, unknown: int, plant: Plant) -> float | None:
    if failed + passed == 0 or not plant.positions:
        return None
    return failed / (failed + passed) * _per_100(failed + passed + unknown, plant)


def _worst(counts: Counts, row: int) -> tuple[tuple[str, int], ...]:
    """The major rules that fail most at one plant."""
    each = zip(counts.of["failed"][row].tolist(), counts.rules, counts.grades, strict=True)
    own = sorted((-n, rule) for n, rule, grade in each if n and grade == "major")
    return tuple((rule, -n) for n, rule in own[:MOST_NAMED])


def rule_rows(counts: Counts, order: Sequence[int], titles: Mapping[str, str]) -> list[RuleRow]:
    """Every rule that fails anywhere, those first that fail in most plants; its cells in the order of the league."""
    failed, passed, unknown = (counts.of[name][list(order)] for name in ("failed", "passed", "cant_tell"))
    plants = (failed > 0).sum(axis=0)
    made = [
        RuleRow(
            rule=rule,
            title=titles.get(rule, rule),
            grade=counts.grades[col],
            harm=counts.harms[col],
            plants=int(plants[col]),
            failed=int(failed[:, col].sum()),
            unknown=int(unknown[:, col].sum()),
            cells=tuple(zip(*(part[:, col].tolist() for part in (failed, passed, unknown)), strict=True)),
        )
        for col, rule in enumerate(counts.rules)
        if plants[col]
    ]
    return sorted(made, key=lambda row: (-row.plants, -row.failed, row.rule))
