"""Which model fits where: each is tried in place, with the settings that its sheet would give."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from sqlite_utils import Database

from register import columns
from register.facts.derived import entered_behind
from register.planning.holdings import Fit
from register.planning.settings import chosen
from register.planning.trial import Variant, judge
from register.rulebook.model import Grade, Pack, Rule

# A rule that reads a column of these is about what a device brings; but what is done and entered
# anew after a swap, what lies in store beside it, and the way round it are not the device's.
OF_THE_DEVICE = frozenset({"device", "model", "setting"})
NOT_ITS_OWN = frozenset({"record", "around", "bypass"})


@dataclass(frozen=True)
class Tried:
    """One model tried at a position: how it fits, and the settings with which it was tried."""

    model: str
    fit: Fit
    settings: Mapping[str, Any]


def of_the_device(pack: Pack) -> tuple[Rule, ...]:
    """The major rules of positions that a starting device has a part in."""
    return tuple(
        rule for rule in pack.rules
        if rule.grade == Grade.MAJOR and rule.subject == "position" and not rule.trial
        and OF_THE_DEVICE & _tables(rule.columns) and not NOT_ITS_OWN & _tables(rule.columns)
    )  # fmt: skip


@cache
def _tables(names: tuple[str, ...]) -> frozenset[str]:
    behind = frozenset().union(*(entered_behind(name) for name in names))
    own = frozenset(columns.FACTS[name].table for name in names)
    return own | frozenset(columns.FACTS[name].table for name in behind)


def tried(
    db: Database, tag: str, models: Sequence[Mapping[str, Any]], *, pack: Pack, today: date,
    measured_only: bool = False,
) -> dict[str, Tried]:  # fmt: skip
    """Each of these models at one position, by catalogue number.

    Parameters
    ----------
    models : rows of the catalogue.
    pack, today, measured_only : as for an audit.
    """
    asked = {"pack": pack, "today": today, "measured_only": measured_only}
    bare = [Variant(row["model"], brought(row, tag, today)) for row in models]
    facts = [made.facts for made in judge(db, tag, bare, **asked)]
    sheet = chosen({name: [row[name] for row in facts] for name in columns.FACTS}, pack=pack)
    settings = [sheet.at(row) for row in range(len(bare))]
    whole = [Variant(v.label, {**v.changes, **s}) for v, s in zip(bare, settings, strict=True)]
    rules = frozenset(rule.id for rule in of_the_device(pack))
    judged = judge(db, tag, whole, **asked)
    return {
        v.label: Tried(v.label, _fit(made, rules), s)
        for v, made, s in zip(bare, judged, settings, strict=True)
    }


def brought(model: Mapping[str, Any], tag: str, today: date) -> dict[str, Any]:
    """The base columns that a new device of a model brings; its settings are not chosen yet."""
    bare = {c.name: None for name in ("device", "setting") for c in columns.TABLES[name].columns}
    day = today.isoformat()
    return bare | dict(model) | {
        "device": f"a new {model['model']}", "tag": tag, "device_status": "in service",
        "device_installed_on": day, "setting_recorded_on": day,
    }  # fmt: skip


def _fit(made: Any, rules: Iterable[str]) -> Fit:
    failed = tuple(rule for rule in made.failed["major"] if rule in rules)
    unknown = tuple(rule for rule in made.open["major"] if rule in rules)
    return Fit(failed, unknown, made.to_read(unknown))
