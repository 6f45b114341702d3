"""Two audits that were kept, compared: the cause of each difference found by judging again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path

from sqlite_utils import Database

from register.audit import comparison as side_by_side
from register.audit.as_of import rules_of
from register.audit.causes import Told
from register.audit.comparison import Comparison, Difference, Judged, Pair, Verdict
from register.audit.concessions import USED
from register.audit.judge import Audit, run
from register.columns import SUBJECTS
from register.errors import Problem, StartrollError
from register.facts.method import present_method
from register.rulebook.load.files import in_folders
from register.rulebook.load.kept_files import present_form
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Pack
from register.rulebook.run.explain import explain
from register.store import audits, packs
from register.store.as_of import as_at
from register.store.audits import KeptAudit
from register.store.database import opened

STAND_INS = "pack/assumptions.yml"


def compare(path: Path, old: str, new: str) -> Comparison:
    """Two kept audits, by number or day: every difference, each with its one cause.

    Raises StartrollError when either was not kept, or the second is not the later one.
    """
    with opened(path) as db, ExitStack() as stack:
        heads = (audits.kept_audit(db, old), audits.kept_audit(db, new))
        _in_order(*heads)
        before, after = (_kept(db, head) for head in heads)
        moved = list(side_by_side.moved(before, after))
        told = Told(heads, moved)
        ways = [("", before)]
        both = {pair for pair in moved if pair in before.findings and pair in after.findings}
        for step, audit, register in _judged(path, db, heads, stack) if moved else ():
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
    path: Path, db: Database, heads: tuple[KeptAudit, KeptAudit], stack: ExitStack
) -> Iterator[tuple[str, Audit, Database]]:
    """The register judged again, with one thing after another changed from old to new."""
    old, new = heads
    first, last = (as_at(path, head.point) for head in heads)
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


def _difference(pair: Pair, ways: list[tuple[str, Judged]], told: Told) -> Difference:
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
