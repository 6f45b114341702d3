"""What a verdict is based on: which rules a candidate affects, and how early they can be told."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from register import columns
from register.columns import TABLES
from register.facts.assumptions import Assumption
from register.facts.base import BASE
from register.facts.derived import STUDIED, entered_behind, needed_for, results
from register.rulebook.model import Rule

RELAY = {"relay_set_a", "relay_reset"}
SET = frozenset(c.name for c in TABLES["setting"].columns if c.name != "device") | RELAY
# All that comes with a device; what is counted round a position counts its device too.
BROUGHT = (
    frozenset(c.name for name in ("device", "model") for c in TABLES[name].columns)
    | frozenset(c.name for c in columns.AROUND)
    | SET
) - {"tag"}
# A rule that reads one of these asks for what is done anew once a device has come in: checks,
# readings, and another spare where this one was the last.
DONE_ANEW = frozenset(
    {"device_installed_on", "setting_recorded_on", "first_reviewed_on", "first_bumped_on", "spares_in_store"}
)
WHATEVER, OFFER = "whatever is installed", "the device"


def is_owed(rule: Rule) -> bool:
    """Whether a rule is decided by what is done after a swap, and not by which device came in."""
    return not DONE_ANEW.isdisjoint(rule.columns)


def tells_early(rule: Rule, assumptions: Iterable[Assumption]) -> str:
    """What a rule is decided by, where settings and start of the device do not matter; or "".

    One that is based on nothing a device brings comes out the same `whatever is installed`.
    """
    entered, studied = behind(rule.columns, tuple(assumptions))
    if entered.isdisjoint(BROUGHT):
        return WHATEVER
    return OFFER if entered.isdisjoint(SET) and not studied else ""


@cache
def behind(asked: tuple[str, ...], assumptions: tuple[Assumption, ...]) -> tuple[frozenset[str], bool]:
    """The entered columns behind those asked, by assumed values too; and whether a study is among it."""
    read, entered, studied = list(asked), set(), False
    while read:
        name = read.pop()
        if name not in BASE:
            studied |= _is_studied(name)
        new = entered_behind(name) - entered
        entered |= new
        for assumption in (a for a in assumptions if a.column in new):
            read += [assumption.from_column] if assumption.from_column else []
            read += ["device_kind"] if assumption.only_for else []
    return frozenset(entered), studied


def _is_studied(name: str) -> bool:
    behind = needed_for(frozenset({name}))
    return any(STUDIED.intersection(results(calculation)) for calculation in behind)
