"""Two audits that were kept, compared: the cause of each difference found by judging again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from datetime import date
from typing import Any

from sqlite_utils import Database

from register import columns
from register.audit import comparison as side_by_side
from register.audit.as_of import rules_of
from register.audit.comparison import Comparison, Difference, Judged, Pair, Verdict
from register.audit.concessions import USED, alike
from register.audit.judge import Audit, run
from register.columns import SUBJECTS
from register.errors import Problem, StartrollError
from register.facts.assumptions import Assumption
from register.facts.derived import entered_behind
from register.facts.method import present_method
from register.rulebook.load.files import in_folders
from register.rulebook.load.kept_files import present_form
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Pack, Rule
from register.rulebook.run.explain import explain
from register.rulebook.run.limit_layers import LimitLayers
from register.store import audits, packs
from register.store.as_of import as_at
from register.store.audits import KeptAudit
from register.text import shown

STAND_INS = "pack/assumptions.yml"
MOST = 3
JUDGES = ("practice", "applies", "requires", "margin", "grade")


def compare(db: Database, old: str, new: str) -> Comparison:
    """Two kept audits, by number or day: every difference, each with its one cause.

    Raises StartrollError when either was not kept, or the second is not the later one.
    """
    with ExitStack() as stack:
        heads = (audits.kept_audit(db, old), audits.kept_audit(db, new))
        _in_order(*heads)
        before, after = (_kept(db, head) for head in heads)
        moved = list(side_by_side.moved(before, after))
        told = _Told(heads, moved)
        ways = [("", before)]
        both = {pair for pair in moved if pair in before.findings and pair in after.findings}
        for step, audit, register in _judged(db, heads, stack) if moved else ():
            ways.append((step, _again(register, audit, both)))
            told.look(step, audit, register)
        ways.append((_step_of_program(heads[1]), after))
        found = tuple(_difference(pair, ways, told) for pair in moved)
    return _comparison(heads, before, after, found)


def _in_order(old: KeptAudit, new: KeptAudit) -> None:
    if old.audit_id >= new.audit_id:
        raise StartrollError(Problem(f"{new.name} was not kept after {old.name}", "name the older one first"))


def _kept(db: Database, head: KeptAudit) -> Judged:
    """Every verdict of an audit as it was kept."""
    found = {}
    for (rule, tag), finding in audits.findings_of(db, head).items():
        pair = rule, SUBJECTS[finding["subject"]].named(tag)
        stand = finding.get("concession") or {}
        found[pair] = Verdict(
            side_by_side.FAILED,
            finding["grade"],
            finding["margin"],
            finding["margin_unit"],
            stand.get("why", ""),
            stand.get("status") == USED,
        )
    return Judged(head.rules, audits.verdicts_of(db, head), found)


def _step_of_program(head: KeptAudit) -> str:
    """What a verdict that comes out otherwise when judged again is due to."""
    same = head.method_hash == present_method()
    return side_by_side.UNEXPLAINED if same else side_by_side.PROGRAM


def _judged(
    db: Database, heads: tuple[KeptAudit, KeptAudit], stack: ExitStack
) -> Iterator[tuple[str, Audit, Database]]:
    """The register judged again, with one thing after another changed from old to new."""
    old, new = heads
    first, last = (as_at(db, head.point) for head in heads)
    day, later = (date.fromisoformat(head.today) for head in heads)
    only, only_later = (head.scope["measured_only"] for head in heads)
    pack, other = (stack.enter_context(rules_of(db, head.pack_hash)) for head in heads)
    step = _step_of_program(old)
    yield step, run(first, pack, today=day, measured_only=only), first
    yield side_by_side.DATA, run(last, pack, today=day, measured_only=only), last
    if day != later:
        yield side_by_side.DAY, run(last, pack, today=later, measured_only=only), last
    stood = stack.enter_context(_with_stand_ins(db, old, new))
    limited = _with_limits(stood, other)
    for step, rules in ((side_by_side.STAND_IN, stood), (side_by_side.LIMIT, limited), (side_by_side.RULE, other)):
        if old.pack_hash != new.pack_hash or only != only_later:
            yield step, run(last, rules, today=later, measured_only=only_later), last


@contextmanager
def _with_stand_ins(db: Database, old: KeptAudit, new: KeptAudit) -> Iterator[Pack]:
    """The old rules, limits and tables with the new assumed values."""
    files = packs.kept_pack(db, old.pack_hash)
    later = packs.kept_pack(db, new.pack_hash)
    with in_folders(present_form(files | {STAND_INS: later[STAND_INS]})) as (folder, site_folder):
        yield load_pack(folder, site_folder)


def _with_limits(pack: Pack, other: Pack) -> Pack:
    """The rules of one pack with the limits of another, as far as that one has them."""
    return replace(pack, limits={**pack.limits, **other.limits}, overrides=other.overrides)


def _again(register: Database, audit: Audit, both: Iterable[Pair]) -> Judged:
    """The verdicts of an audit made on the way; the margins only of findings at both ends."""
    rules = {rule.id: rule for rule in audit.rules}
    grades = {name: str(rule.grade) for name, rule in rules.items()}
    made = Judged(tuple(rules), {tag: row for tag, row, _ in audit.rows()}, {}, grades)
    wanted, failed = defaultdict(set), {}
    for rule, at in both:
        if made.at((rule, at)).outcome == side_by_side.FAILED:
            wanted[rule].add(at)
    for rule, places in wanted.items():
        named = SUBJECTS[rules[rule].subject].named
        tags = [tag for tag in audit.table(rule).tags if named(tag) in places]
        for e in explain(register.conn, audit.pack, rules[rule], tags, today=audit.today):
            pair = rule, named(e.tag)
            failed[pair] = replace(made.at(pair), margin=e.margin, margin_unit=e.margin_unit)
    return replace(made, findings=failed)


def _difference(pair: Pair, ways: list[tuple[str, Judged]], told: _Told) -> Difference:
    rule, tag = pair
    path = [(step, judged.at(pair)) for step, judged in ways]
    old, new = path[0][1], path[-1][1]
    cause = told.of_place(tag) or told.sharper(side_by_side.cause_of(path), pair)
    return Difference(
        tag=tag,
        rule=rule,
        grade=new.grade or old.grade or told.grade(rule),
        kind=side_by_side.kind_of(old, new),
        cause=cause,
        detail=told.detail(cause, pair, old, new),
        before=old.outcome,
        after=new.outcome,
        margin_before=old.margin,
        margin_after=new.margin,
        margin_unit=new.margin_unit or old.margin_unit,
    )


def _comparison(
    heads: tuple[KeptAudit, KeptAudit], before: Judged, after: Judged, found: tuple[Difference, ...]
) -> Comparison:
    differ = {(d.rule, d.tag) for d in found}
    both = before.findings.keys() & after.findings.keys()
    return Comparison(
        site=heads[1].scope["site"],
        old=heads[0].name,
        new=heads[1].name,
        differences=found,
        persisting=tuple(sorted(both - differ)),
        findings_before=len(before.findings),
        findings_after=len(after.findings),
        conceded_before=sum(v.conceded for v in before.findings.values()),
        conceded_after=sum(v.conceded for v in after.findings.values()),
    )


class _Told:
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
