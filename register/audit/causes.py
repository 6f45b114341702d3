"""What is said of the cause of a difference between two audits: which value, limit, rule."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from sqlite_utils import Database

from register import columns
from register.audit import comparison as side_by_side
from register.audit.comparison import Pair, Verdict
from register.audit.concessions import alike
from register.audit.judge import Audit
from register.facts.assumptions import Assumption
from register.facts.derived import entered_behind
from register.rulebook.model import Pack, Rule
from register.rulebook.run.limit_layers import LimitLayers
from register.store.audits import KeptAudit
from register.text import shown

MOST = 3
JUDGES = ("practice", "applies", "requires", "margin", "grade")


class Told:
    """What was seen on the way from one audit to another, for the differences to be explained."""

    def __init__(self, heads: tuple[KeptAudit, KeptAudit], pairs: Iterable[Pair]) -> None:
        self.heads = heads
        self.pairs = list(pairs)
        self.packs: list[Pack] = []
        self.facts: list[dict[str, dict[str, Any]]] = []
        self.judged: list[set[str]] = []
        self.assumptions: tuple[Assumption, ...] = ()
        self._rules: dict[str, Rule] = {}

    def look(self, step: str, audit: Audit, register: Database) -> None:
        """Remember the values on the old and the new register, and the rules on either side."""
        self.assumptions = audit.assumptions or self.assumptions
        known = {rule.id: rule for rule in audit.rules}
        self._rules |= known
        self.packs = [*self.packs[:1], audit.pack]
        self.judged = [*self.judged[:1], {at for at, _, _ in audit.rows()}]
        if step == side_by_side.DATA or not self.facts:
            self.facts.append(dict(self._rows(register)))

    def _rows(self, register: Database) -> Iterator[tuple[str, dict[str, Any]]]:
        """What is known of each place that differs."""
        places = {at for _, at in self.pairs}
        for subject in columns.SUBJECTS.values():
            for row in register.query(f"SELECT * FROM {subject.relation}"):
                if (at := subject.named(row[subject.key])) in places:
                    yield at, row

    def of_place(self, tag: str) -> str:
        """The cause, where the position itself came or went."""
        was, is_now = (tag in judged for judged in (self.judged[0], self.judged[-1]))
        if was and is_now:
            return ""
        return side_by_side.RETIRED if was else side_by_side.ADDED

    def sharper(self, cause: str, pair: Pair) -> str:
        """`value lost` for a change of data by which an assumed value took a value's place."""
        if cause != side_by_side.DATA:
            return cause
        lost = any("stands in" in told.partition("→")[2] for told in self._values(*pair))
        return side_by_side.LOST if lost else cause

    def grade(self, rule: str) -> str:
        """How grave a finding of that rule is."""
        return str(self._rules[rule].grade) if rule in self._rules else ""

    def detail(self, cause: str, pair: Pair, old: Verdict, new: Verdict) -> str:
        """What was changed, in words."""
        rule, tag = pair
        if cause in (side_by_side.DATA, side_by_side.JUDGEABLE, side_by_side.UNJUDGEABLE, side_by_side.LOST):
            return _few(self._values(rule, tag)) or "what is known of it was changed"
        if cause == side_by_side.LIMIT:
            return _few(self._limits(rule, tag)) or "a limit was changed"
        if cause == side_by_side.RULE:
            return self._rule(rule)
        if cause == side_by_side.CONCESSION:
            return new.concession or f"no longer conceded; it was {old.concession}"
        first, last = self.heads
        if tag.startswith("device in store ") and cause in (side_by_side.RETIRED, side_by_side.ADDED):
            return "it left the store" if cause == side_by_side.RETIRED else "it came into the store"
        return {
            side_by_side.DAY: f"judged as on {first.today}, then on {last.today}",
            side_by_side.STAND_IN: "the value assumed for a missing one was changed",
            side_by_side.PROGRAM: f"{first.program_version} → {last.program_version}",
        }.get(cause, "")

    def _values(self, rule: str, tag: str) -> Iterator[str]:
        """The entered values that differ; where none does, those worked out."""
        if rule not in self._rules:
            return
        read = (*self._rules[rule].columns, *self._rules[rule].margin_columns)
        entered = sorted(frozenset().union(*(entered_behind(name) for name in read)))
        before, after = (rows.get(tag, {}) for rows in (self.facts[0], self.facts[-1]))
        for names in (entered, dict.fromkeys(read)):
            differ = [n for n in names if self._differs(n, before, after)]
            for name in differ:
                yield f"{name} {self._told(name, before)} → {self._told(name, after)}"
            if differ:
                return

    def _differs(self, name: str, before: dict[str, Any], after: dict[str, Any]) -> bool:
        stood = (self._stands_in(name, row) for row in (before, after))
        return len(set(stood)) == 2 or not alike(before.get(name), after.get(name))

    def _told(self, name: str, row: dict[str, Any]) -> str:
        value = shown(row.get(name), columns.column(name).unit)
        return f"unknown ({value} stands in)" if self._stands_in(name, row) else value

    def _stands_in(self, name: str, row: dict[str, Any]) -> bool:
        bits = row.get("stand_ins") or 0
        return any(a.column == name and bits >> a.bit & 1 for a in self.assumptions)

    def _limits(self, rule: str, tag: str) -> Iterator[str]:
        area, subject = self.facts[-1].get(tag, {}).get("area"), self._rules[rule].subject
        first, last = self.packs[0], self.packs[-1]
        for name in self._rules[rule].limits:
            if name in first.limits and name in last.limits:
                (then, _, _), (now, layer, why) = (
                    LimitLayers(pack, [name], subject).told(name, tag, area) for pack in (first, last)
                )
                if not alike(then, now):
                    unit = last.limits[name].unit
                    yield f":{name} {shown(then, unit)} → {shown(now, unit)} ({layer}: {why})"

    def _rule(self, rule: str) -> str:
        one, other = ({r.id: r for r in pack.rules}.get(rule) for pack in (self.packs[0], self.packs[-1]))
        if one is None:
            return "a new rule"
        if other is None:
            return "the rule was taken out"
        for name in JUDGES:
            if getattr(one, name) != getattr(other, name):
                then, now = getattr(one, name), getattr(other, name)
                return f"{name}: {then or 'nothing'} → {now or 'nothing'}"
        return "a table that the calculations read was changed"


def _few(said: Iterable[str]) -> str:
    said = list(said)
    more = f" and {len(said) - MOST} more" if len(said) > MOST else ""
    return "; ".join(said[:MOST]) + more
