"""Two audits that were kept, compared: the cause of each difference found by judging again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path

from sqlite_utils import Database

from register.audit import Audit, run
from register.causes import Told
from register.errors import Problem, StartrollError
from register.facts.method import present_method
from register.findings import comparison as side_by_side
from register.findings.comparison import Comparison, Difference, Pair, Verdict
from register.findings.concessions import USED
from register.rewind import rules_of
from register.rulebook.explain import explain
from register.rulebook.files import laid_out
from register.rulebook.load import load_pack
from register.rulebook.model import Outcome, Pack
from register.store import audits, packs
from register.store.asof import as_at
from register.store.audits import KeptAudit
from register.store.database import opened

PLAIN = {outcome.letter: Verdict(outcome.word) for outcome in Outcome}
STAND_INS = "pack/assumptions.yml"
Verdicts = dict[Pair, Verdict]


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
        ways = [("", {pair: before.get(pair, Verdict()) for pair in moved})]
        both = {pair for pair in moved if _failed(before, pair) and _failed(after, pair)}
        for step, audit, register in _judged(path, db, heads, stack) if moved else ():
            ways.append((step, _verdicts(register, audit, moved, both)))
            told.look(step, audit, register)
        last = _step_of_program(heads[1])
        ways.append((last, {pair: after.get(pair, Verdict()) for pair in moved}))
        found = tuple(_difference(pair, ways, told) for pair in moved)
    return _comparison(heads, before, after, found)


def _in_order(old: KeptAudit, new: KeptAudit) -> None:
    if old.audit_id >= new.audit_id:
        raise StartrollError(
            Problem(f"{new.name} was not kept after {old.name}", "name the older one first")
        )


def _failed(verdicts: Verdicts, pair: Pair) -> bool:
    return pair in verdicts and verdicts[pair].outcome == side_by_side.FAILED


def _kept(db: Database, head: KeptAudit) -> Verdicts:
    """Every verdict of an audit as it was kept."""
    found = {
        (rule, tag): PLAIN[letter]
        for tag, letters in audits.verdicts_of(db, head).items()
        for rule, letter in zip(head.rules, letters, strict=True)
    }
    for pair, finding in audits.findings_of(db, head).items():
        stand = finding.get("concession") or {}
        found[pair] = Verdict(
            side_by_side.FAILED, finding["grade"], finding["margin"], finding["margin_unit"],
            stand.get("why", ""), stand.get("status") == USED,
        )  # fmt: skip
    return found


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
    for step, rules in (
        (side_by_side.STAND_IN, stood), (side_by_side.LIMIT, limited), (side_by_side.RULE, other)
    ):  # fmt: skip
        if old.pack_hash != new.pack_hash or only != only_later:
            yield step, run(last, rules, today=later, measured_only=only_later), last


@contextmanager
def _with_stand_ins(db: Database, old: KeptAudit, new: KeptAudit) -> Iterator[Pack]:
    """The old rules, limits and tables with the new stand-ins."""
    files = packs.kept_pack(db, old.pack_hash)
    later = packs.kept_pack(db, new.pack_hash)
    with laid_out(files | {STAND_INS: later[STAND_INS]}) as (folder, site_folder):
        yield load_pack(folder, site_folder)


def _with_limits(pack: Pack, other: Pack) -> Pack:
    """The rules of one pack with the limits of another, as far as that one has them."""
    return replace(pack, limits={**pack.limits, **other.limits}, overrides=other.overrides)


def _verdicts(register: Database, audit: Audit, pairs: Iterable[Pair], both: set[Pair]) -> Verdicts:
    """These verdicts in an audit; the margins only of those that are findings at both ends."""
    rules = {rule.id: rule for rule in audit.verdicts.rules}
    tags = set(audit.verdicts.tags)
    found: Verdicts = {}
    failed = defaultdict(list)
    for rule, tag in pairs:
        if rule not in rules or tag not in tags:
            found[rule, tag] = Verdict()
            continue
        word = audit.outcome(tag, rule).word
        if word == side_by_side.FAILED:
            found[rule, tag] = Verdict(word, str(rules[rule].grade))
            failed[rule].append(tag)
        else:
            found[rule, tag] = Verdict(word)
    for rule, at in failed.items():
        wanted = [tag for tag in at if (rule, tag) in both]
        opened_ones = explain(register.conn, audit.pack, rules[rule], wanted, today=audit.today)
        for e in opened_ones:
            found[rule, e.tag] = replace(
                found[rule, e.tag], margin=e.margin, margin_unit=e.margin_unit
            )
    return found


def _difference(pair: Pair, ways: list[tuple[str, Verdicts]], told: Told) -> Difference:
    rule, tag = pair
    path = [(step, verdicts[pair]) for step, verdicts in ways]
    old, new = path[0][1], path[-1][1]
    cause = told.of_place(tag) or side_by_side.cause_of(path)
    return Difference(
        tag=tag, rule=rule, grade=new.grade or old.grade or told.grade(rule),
        kind=side_by_side.kind_of(old, new), cause=cause,
        detail=told.detail(cause, pair, old, new), before=old.outcome, after=new.outcome,
        margin_before=old.margin, margin_after=new.margin,
        margin_unit=new.margin_unit or old.margin_unit,
    )  # fmt: skip


def _comparison(
    heads: tuple[KeptAudit, KeptAudit], before: Mapping[Pair, Verdict],
    after: Mapping[Pair, Verdict], found: tuple[Difference, ...],
) -> Comparison:  # fmt: skip
    differ = {(d.rule, d.tag) for d in found}
    was, is_now = ({p: v for p, v in side.items() if v.outcome == side_by_side.FAILED}
                   for side in (before, after))  # fmt: skip
    return Comparison(
        site=heads[1].scope["site"], old=heads[0].name, new=heads[1].name, differences=found,
        persisting=tuple(sorted(pair for pair in was.keys() & is_now.keys() if pair not in differ)),
        findings_before=len(was), findings_after=len(is_now),
        conceded_before=sum(v.conceded for v in was.values()),
        conceded_after=sum(v.conceded for v in is_now.values()),
    )  # fmt: skip
