"""Which calculations there are, and in which order: read off their signatures."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from functools import cache
from graphlib import CycleError, TopologicalSorter
from typing import Any

import numpy as np

from register import columns
from register.calc import (
    branch_exceptions,
    bypass,
    code_tables,
    complete_nameplate,
    conductors,
    contactor_power,
    derating,
    duty,
    enclosure,
    lineup,
    load,
    load_curve,
    nameplate,
    network,
    overload,
    overload_limits,
    protection,
    seen_start,
    service,
    several_motors,
    study,
    winding,
)
from register.calc.distinct import distinct
from register.errors import Problem, RuleError

Calculation = Callable[..., Any]
Kept = tuple[tuple[Any, ...], dict[str, np.ndarray]]  # what a calculation was given, and what it gave

NOUNS = (
    *(nameplate, code_tables, derating, enclosure, contactor_power, service, duty, overload, overload_limits),
    *(protection, branch_exceptions, conductors, bypass, network, load, load_curve, seen_start),
    *(winding, several_motors),
)
CALCULATIONS: tuple[Calculation, ...] = tuple(
    function
    for noun in NOUNS
    for name, function in vars(noun).items()
    if name in {column.name for column in columns.DERIVED} and function.__module__ == noun.__name__
)
# Those that give several results at once.
BUNDLES: tuple[Calculation, ...] = (
    complete_nameplate.by_standard,
    study.start_study,
    study.failover_study,
    study.limit_study,
)
ALL = CALCULATIONS + BUNDLES
# Those about a bus: of all its motors, or of its own columns; and what is counted, from its rows.
OF_MOTORS: tuple[Calculation, ...] = (lineup.feeder_limit_a, lineup.feeder_limit_known_a)
OF_THE_BUS: tuple[Calculation, ...] = (lineup.transformer_fault_ka, lineup.source_fault_ka)
COUNTED = {"bus_positions": frozenset({"bus"}), "places_of_model": frozenset({"model"})}


@cache
def parameters(calculation: Calculation) -> tuple[str, ...]:
    """The names that a calculation asks for: facts columns, or tables (`…_table`)."""
    return getattr(calculation, "asks", None) or tuple(inspect.signature(calculation).parameters)


@cache
def results(calculation: Calculation) -> tuple[str, ...]:
    """The columns that a calculation gives: its own name, or those of a bundle."""
    return getattr(calculation, "gives", None) or (calculation.__name__,)


def is_mixed(calculation: Calculation) -> bool:
    """True for a bundle each of whose results comes of all that it asks for."""
    return getattr(calculation, "mixed", False)


def parts_of(calculation: Calculation) -> Mapping[str, tuple[Calculation, ...]]:
    """The parts on which each result of a bundle is based; of a single calculation none."""
    return getattr(calculation, "rests_on", {})


# Results that are based on too much to be listed beside them; `startroll study` shows it all.
STUDIED = frozenset(name for bundle in BUNDLES if not is_mixed(bundle) for name in results(bundle))


@cache
def order(calculations: tuple[Calculation, ...] = ALL) -> tuple[Calculation, ...]:
    """The calculations, each after those whose results it needs.

    Raises RuleError naming every parameter that is no column, or the names in a circle.
    """
    by_name = {c.__name__: c for c in calculations}
    problems = [
        Problem(f"{name} asks for {p!r}, which is no column", f"nearest: {columns.nearest(p)}")
        for name, c in by_name.items()
        for p in parameters(c)
        if not p.endswith("_table") and p not in columns.FACTS
    ]
    if problems:
        raise RuleError(problems)
    makers = {result: name for name, c in by_name.items() for result in results(c)}
    graph = {n: [makers[p] for p in parameters(c) if p in makers] for n, c in by_name.items()}
    try:
        return tuple(by_name[name] for name in TopologicalSorter(graph).static_order())
    except CycleError as error:
        raise RuleError(f"calculations ask for one another: {' → '.join(error.args[1])}") from None


@cache
def entered_behind(name: str) -> frozenset[str]:
    """The columns that are not derived and stand behind a column; itself, if it is not derived."""
    if columns.column(name).origin != "derived":
        return frozenset({name})
    if name in COUNTED:
        return COUNTED[name]
    calculation = _maker()[name]
    alone = (calculation,)
    parts = alone if is_mixed(calculation) else parts_of(calculation).get(name, alone)
    asked = [p for part in parts for p in parameters(part) if not p.endswith("_table")]
    return frozenset().union(*(entered_behind(p) for p in asked))


@cache
def _maker() -> Mapping[str, Calculation]:
    """For each derived column the calculation that gives it."""
    return {name: c for c in reversed(ALL + OF_MOTORS + OF_THE_BUS) for name in results(c)}


@cache
def needed_for(names: frozenset[str]) -> tuple[Calculation, ...]:
    """The calculations that lead to these columns, in order."""
    wanted, found = set(names), []
    for calculation in reversed(order()):
        if wanted.intersection(results(calculation)):
            wanted.update(parameters(calculation))
            found.append(calculation)
    return tuple(reversed(found))


def derive(
    base: Mapping[str, np.ndarray],
    tables: Mapping[str, Any],
    *,
    only: frozenset[str] | None = None,
    alike: bool = False,
    kept: dict[Calculation, Kept] | None = None,
) -> dict[str, np.ndarray]:
    """Every derived column, from base columns and tables.

    Parameters
    ----------
    base : column → array of one length; numbers with NaN, text with None where unknown.
    tables : name → table of a standard.
    only : columns wanted; what does not lead to them is left out.
    alike : that many rows are the same to a study, so that it pays to make each only once.
    kept : what was worked out before, and of what; where that is the same arrays still, it is taken as it is.

    Raises RuleError naming every table that a calculation asks for and nobody brought.
    """
    known: dict[str, Any] = dict(base)
    known |= {f"{name.replace('-', '_')}_table": table for name, table in tables.items()}
    _all_there(known)
    kept = {} if kept is None else kept
    made: dict[str, np.ndarray] = {}
    with np.errstate(all="ignore"):
        for calculation in order() if only is None else needed_for(only):
            args = {name: known[name] for name in parameters(calculation)}
            asked, made_now = kept.get(calculation, ((), {}))
            if not asked or any(now is not then for now, then in zip(args.values(), asked, strict=True)):
                made_now = _worked_out(calculation, args, alike)
                kept[calculation] = tuple(args.values()), made_now
            made |= made_now
            known |= made_now
    return made


def _worked_out(calculation: Calculation, args: Mapping[str, Any], alike: bool) -> dict[str, np.ndarray]:
    given: Any = _once(calculation, args) if alike and calculation in BUNDLES else calculation(**args)
    return given if calculation in BUNDLES else {calculation.__name__: given}


def _once(calculation: Calculation, args: Mapping[str, Any]) -> dict[str, np.ndarray]:
    """What a bundle gives, each different row worked out once."""
    rows = {name: v for name, v in args.items() if isinstance(v, np.ndarray)}
    first, which = distinct(rows.values())
    made = calculation(**{**args, **{name: v[first] for name, v in rows.items()}})
    return {name: np.broadcast_to(v, first.shape)[which] for name, v in made.items()}


def _all_there(known: Mapping[str, Any]) -> None:
    asked = {p for c in ALL for p in parameters(c) if p.endswith("_table")}
    problems = [
        Problem(f"there is no table {name.removesuffix('_table').replace('_', '-')}", "restore rules/tables")
        for name in sorted(asked - set(known))
    ]
    if problems:
        raise RuleError(problems)
