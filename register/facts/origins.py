"""Where a value of the facts came from, in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from register import columns
from register.facts.assumptions import Assumption
from register.facts.derived import STUDIED, entered_behind


def origin(
    name: str,
    value: Any,
    *,
    tag: str,
    entered: str | None = None,
    assumed: Assumption | None = None,
    among: Mapping[str, Any] | None = None,
) -> str:
    """The origin of one value: assumed, counted, computed, studied, or entered and where.

    Parameters
    ----------
    name, value, tag : the column, what it holds, and where.
    entered : what the register knows of its entry.
    assumed : the assumption that gave it, if one did.
    among : the facts there where values are tried: what is computed is then computed from these, and
        only the known ones are named.
    """
    column = columns.column(name)
    if assumed is not None:
        return f"assumed: {assumed.sentence}"
    if column.table == "around":
        return "counted in the register"
    if name in STUDIED and among is None:
        way = " --failover" if name.startswith("failover") else ""
        return f"the study of this start: startroll study {tag}{way}"
    if column.origin == "derived":
        return _computed(name) if among is None else _computed_from(n for n in _behind(name) if among[n] is not None)
    if value is None:
        return entered or "not known"
    return entered or f"entered, table {column.table}"


@cache
def _computed(name: str) -> str:
    return _computed_from(_behind(name))


def _computed_from(names: Iterable[str]) -> str:
    return f"computed from {', '.join(names)}"


@cache
def _behind(name: str) -> tuple[str, ...]:
    return tuple(sorted(entered_behind(name)))
