"""The rules that depend on the device at a position, and those that can be judged before it is set."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache

from register import columns
from register.columns import TABLES
from register.facts.assumptions import Assumption
from register.facts.base import BASE
from register.facts.derived import STUDIED, entered_behind, needed_for, results
from register.rulebook.model import Rule

RELAY = {"relay_set_a", "relay_reset"}
SETTING = frozenset(c.name for c in TABLES["setting"].columns if c.name != "device")
SET = SETTING | RELAY
# All that comes with a device; what is counted round a position counts its device too.
BROUGHT = (
    frozenset(c.name for name in ("device", "model") for c in TABLES[name].columns)
    | frozenset(c.name for c in columns.AROUND)
    | SET
) - {"tag"}
SPARES = "spares_in_store"
# A rule that reads one of these asks for what is done again once a device has come in: checks,
# readings, and another spare where this one was the last.
REPEATED = frozenset({"device_installed_on", "setting_recorded_on", "first_reviewed_on", "first_bumped_on", SPARES})
POSITION, DEVICE = "the position", "the device"


def is_repeated(rule: Rule) -> bool:
    """True for a rule decided by what is to be repeated after every swap, whichever device came in."""
    return not REPEATED.isdisjoint(rule.columns)


def asks_for_checks(rule: Rule) -> bool:
    """True for a rule that asks for checks or readings to be repeated after every swap, not for a spare."""
    return is_repeated(rule) and SPARES not in rule.columns


def decided_early_by(rule: Rule, assumptions: Iterable[Assumption]) -> str:
    """What decides a rule before the device is set and its start studied; "" where that must be known.

    A rule that reads nothing a device brings is decided by the position: it comes out the same
    with any device.
    """
    entered, studied = behind(rule.columns, tuple(assumptions))
    if entered.isdisjoint(BROUGHT):
        return POSITION
    return DEVICE if entered.isdisjoint(SET) and not studied else ""


def entered_columns(rules: Sequence[Rule], assumptions: Iterable[Assumption]) -> tuple[frozenset[str], ...]:
    """For each rule, the entered columns that can turn its outcome, by way of assumed values too."""
    return tuple(behind(rule.columns, tuple(assumptions))[0] for rule in rules)


@cache
def behind(asked: tuple[str, ...], assumptions: tuple[Assumption, ...]) -> tuple[frozenset[str], bool]:
    """The entered columns behind those asked, by assumed values too; and whether a study is among them."""
    read, entered, studied = list(asked), set(), False
    while read:
        name = read.pop()
        if name not in BASE:
            studied |= any(not STUDIED.isdisjoint(results(made)) for made in needed_for(frozenset({name})))
        new = entered_behind(name) - entered
        entered |= new
        for assumption in (a for a in assumptions if a.column in new):
            read += [assumption.from_column] if assumption.from_column else []
            read += ["device_kind"] if assumption.only_for else []
    return frozenset(entered), studied
