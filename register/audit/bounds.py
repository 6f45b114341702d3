"""What is assumed at one end of a range proves in one direction only.

A motor that is taken to withstand the 12 s that every motor must withstands them or more: what
passes so has passed, what fails so may pass. Such a failure is judged anew at the other end of the
range; only where it fails there too is it one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from contextlib import closing
from dataclasses import replace
from datetime import date

import numpy as np

from register.facts.assumptions import Assumption, mask_for
from register.facts.base import BASE
from register.facts.entered_rows import EnteredRows
from register.facts.fact_rows import completed
from register.facts.method import Method
from register.facts.whatif import facts_table
from register.rulebook.model import Outcome, Pack, Rule, Verdicts
from register.rulebook.run.evaluate import evaluate

Rows = Callable[[Iterable[int]], list[tuple]]


def bounded(rule: Rule, assumptions: Iterable[Assumption]) -> list[Assumption]:
    """The assumed bounds that may lie behind what a rule reads.

    One about how sure a study is speaks of the assumed values themselves, and may fail by them.
    """
    if "study_certainty" in rule.columns:
        return []
    return [a for a in assumptions if a.bound != "typical" and mask_for(rule.columns, [a])]


def hold_bounds(
    found: Verdicts, rows: Rows, *, pack: Pack, method: Method, exempt: Mapping[str, frozenset[str]], today: date
) -> dict[tuple[int, int], tuple[str, ...]]:
    """Leave open, in place, what fails on a bound alone; for each such verdict the columns to read.

    Parameters
    ----------
    found : verdicts on positions, what is based on assumed values marked.
    rows : gives base rows by their numbers in `found`.
    pack, today : as they were judged by.
    method, exempt : as for `fact_rows.made`.
    """
    bounds = [bounded(rule, method.assumptions) for rule in found.rules]
    masks = np.array([sum(1 << a.bit for a in own) for own in bounds], np.int64)
    resting = (found.outcomes == Outcome.FAILED) & ((found.stand_ins[:, None] & masks[None, :]) != 0)
    places, asked = np.flatnonzero(resting.any(axis=1)), np.flatnonzero(resting.any(axis=0))
    if not places.size:
        return {}
    rules = tuple(found.rules[col] for col in asked)
    lists = dict(zip(BASE, zip(*rows(places.tolist()), strict=True), strict=True))
    _to_other_end(lists, found.stand_ins[places], [a for a in method.assumptions if a.bound != "typical"])
    again = _judged(lists, replace(pack, rules=rules), method, exempt, today)
    unproven = resting[np.ix_(places, asked)] & (again != Outcome.FAILED)
    named = {}
    for row, col in np.argwhere(unproven):
        at = places[row], asked[col]
        found.outcomes[at], found.provisional[at] = Outcome.CANT_TELL, False
        used = found.stand_ins[places[row]]
        named[int(at[0]), int(at[1])] = tuple(a.column for a in bounds[asked[col]] if used >> a.bit & 1)
    return named


def _to_other_end(lists: dict, stand_ins: np.ndarray, bounds: Iterable[Assumption]) -> None:
    """Put the other end in the place of each bound that was assumed."""
    for a in bounds:
        used = (stand_ins >> a.bit & 1).astype(bool).tolist()
        lists[a.column] = [a.other_end if bound else value for value, bound in zip(lists[a.column], used, strict=True)]


def _judged(lists: dict, pack: Pack, method: Method, exempt: Mapping[str, frozenset[str]], today: date) -> np.ndarray:
    read = {name for rule in pack.rules for name in rule.columns + rule.outside_columns}
    stand_ins, _ = completed(lists, method, exempt, only=frozenset(read), alike=True)
    names = tuple(dict.fromkeys(("tag", "area", "practice", *sorted(read))))
    with closing(facts_table(names, lists, stand_ins)) as conn:
        return evaluate(conn, pack, today=today, key="variant").outcomes


def held(
    entered: EnteredRows, found: Verdicts, pack: Pack, method: Method, today: date
) -> dict[tuple[str, str], tuple[str, ...]]:
    """The verdicts, by tag and rule, that failed on an assumed bound alone, with the columns to read."""

    def rows(places: Iterable[int]) -> list[tuple]:
        tags = [found.tags[place] for place in places]
        by_tag = entered.rows(tags)
        return [tuple(by_tag[tag].values()) for tag in tags]

    named = hold_bounds(found, rows, pack=pack, method=method, exempt=entered.exempt, today=today)
    return {(found.tags[row], found.rules[col].id): fields for (row, col), fields in named.items()}
