"""Verdicts opened: the findings of an audit, what is unknown, and which fields would decide it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from typing import Any

from sqlite_utils import Database

from register import columns
from register.audit.finding import Finding, Found, Priority, Unknown, Value
from register.audit.judge import Audit
from register.audit.places import Places, places_of
from register.audit.priority import priority
from register.audit.root_causes import causes_of
from register.columns.renamed import rule_now
from register.errors import Problem, StartrollError
from register.facts.build import every_gap, gaps
from register.facts.origins import origin
from register.facts.subjects import Behind, fields_behind
from register.rulebook.model import Explanation, Outcome, Rule
from register.rulebook.run.explain import explain, margins, unknown_columns
from register.store.origins import Known, origin_of
from register.text import shown


@dataclass
class Seen:
    """What was read for some findings, for the next ones while nothing changes: `origin_of`'s and `places_of`'s."""

    origins: Known = field(default_factory=dict)
    places: Places = field(default_factory=dict)


def findings(db: Database, audit: Audit) -> list[Finding]:
    """Every failed verdict that counts, opened: clauses, values with their origin, margin."""
    seen = Seen()
    return [found for rule in audit.rules for found in findings_of(db, audit, rule, seen)]


def findings_of(db: Database, audit: Audit, rule: Rule, seen: Seen | None = None) -> list[Finding]:
    """The failed verdicts of one rule, opened; `seen` keeps what was read for it."""
    tags = audit.tags_having(Outcome.FAILED, rule)
    return _opened(db, audit, rule, tags, seen or Seen()) if tags else []


def findings_at(db: Database, audit: Audit, asked: Iterable[tuple[str, str]]) -> list[Finding]:
    """Those of the findings that are at these (rule id, tag)."""
    asked, seen, found = set(asked), Seen(), []
    for rule in audit.rules:
        if tags := [tag for tag in audit.tags_having(Outcome.FAILED, rule) if (rule.id, tag) in asked]:
            found += _opened(db, audit, rule, tags, seen)
    return found


def unopened(db: Database, audit: Audit) -> list[Found]:
    """Every failed verdict that counts, not opened: the same and in the same order as the findings."""
    return [one for rule in audit.rules for one in _unopened(db, audit, rule)]


def _unopened(db: Database, audit: Audit, rule: Rule) -> Iterator[Found]:
    tags = audit.tags_having(Outcome.FAILED, rule)
    if not tags:
        return
    places = places_of(db, rule.subject, tags)
    weighed = margins(db.conn, audit.pack, rule, tags, today=audit.today)
    if (safe := _by_safe(audit, rule, tags)) and audit.doubts.safe_facts is not None:
        weighed |= margins(audit.doubts.safe_facts, audit.pack, rule, safe, today=audit.today)
    title = rule.title_at(Outcome.FAILED)
    for tag in (tag for tag in tags if tag in weighed):
        margin, values = weighed[tag]
        pressing = _priority(rule, places[tag], margin, values)
        causes = causes_of(rule, tag, rule.about.named(tag), values, audit.doubts)
        yield Found(tag, rule.id, title, rule.grade, margin, pressing, rule.action, rule.caution, rule.subject, causes)


def _priority(rule: Rule, place: Mapping[str, Any], margin: float | None, values: Mapping[str, Any]) -> Priority:
    compared = {name: values[name] for name in rule.margin_columns if name in values}
    return priority(rule.grade, place["criticality"], margin, compared, harm=rule.harm, unit=rule.margin_unit)


def opened_verdict(db: Database, audit: Audit, tag: str, rule_id: str) -> Finding:
    """One verdict opened, whatever its outcome; StartrollError when tag or rule is unknown."""
    rules = {r.id: r for table in audit.tables + audit.on_trial for r in table.rules}
    listing = "a rule of the site needs --site-rules <folder>; startroll rules list"
    rule = _known(rule_now(rule_id), rules, "rule", listing)
    tags = dict.fromkeys(audit.table(rule.id).tags)
    _known(tag, tags, rule.subject, f"the rule is about {rule.about.plural}; startroll positions")
    (opened,) = _opened(db, audit, rule, [tag], Seen())
    undecided = unknown_columns(db.conn, audit.pack, rule, [tag], today=audit.today)
    places = _to_read(db, audit, rule, tag, undecided, lambda at, name: tuple(gaps(db, at, [name])))
    elsewhere = {name: at for name, at in places.items() if at != (tag,)}
    return replace(opened, to_read=tuple(places), elsewhere=elsewhere)


def _known(name: str, among: dict, noun: str, listing: str) -> Any:
    if name in among:
        return among[name]
    near = get_close_matches(name, list(among), n=1, cutoff=0.5)
    hint = f"did you mean {near[0]}? " if near else ""
    raise StartrollError(Problem(f"there is no {noun} {name!r}", f"{hint}{listing} lists them"))


def _opened(db: Database, audit: Audit, rule: Rule, tags: list[str], seen: Seen) -> list[Finding]:
    explanations = _explained(db, audit, rule, tags)
    places = places_of(db, rule.subject, tags, seen.places)
    origins = origin_of(db, tags, rule.shown_columns, rule.subject, seen.origins)
    return [_finding(audit, rule, e, places[e.tag], origins) for e in explanations]


def _explained(db: Database, audit: Audit, rule: Rule, tags: list[str]) -> list[Explanation]:
    """Verdicts opened, each on the facts that decided it: the entered ones, or those on the safe side."""
    found = {e.tag: e for e in explain(db.conn, audit.pack, rule, tags, today=audit.today)}
    if (safe := _by_safe(audit, rule, tags)) and audit.doubts.safe_facts is not None:
        found |= {e.tag: e for e in explain(audit.doubts.safe_facts, audit.pack, rule, safe, today=audit.today)}
    return [found[tag] for tag in tags if tag in found]


def _by_safe(audit: Audit, rule: Rule, tags: list[str]) -> list[str]:
    """The places where the value on the safe side decided."""
    return [tag for tag in tags if (tag, rule.id) in audit.doubts.by_safe]


def _finding(audit: Audit, rule: Rule, explanation: Explanation, place: dict[str, Any], origins: dict) -> Finding:
    tag = explanation.tag
    came_from = _origins(audit, rule, tag, explanation.values, origins)
    values = tuple(
        Value(name, value, columns.column(name).unit, came_from[name]) for name, value in explanation.values.items()
    )
    outcome = audit.outcome(tag, rule.id)
    return Finding(
        tag=tag,
        rule=rule.id,
        title=rule.title_at(outcome),
        grade=rule.grade,
        outcome=outcome.word,
        sentence=explanation.sentence,
        clauses=tuple((c.text, c.valued, c.truth) for c in explanation.clauses),
        values=values,
        margin=explanation.margin,
        margin_unit=explanation.margin_unit,
        limits=explanation.limits,
        stand_ins=audit.stand_ins(tag, rule),
        why=rule.why,
        action=rule.action,
        caution=rule.caution,
        basis=rule.basis,
        priority=_priority(rule, place, explanation.margin, explanation.values),
        place=place,
        subject=rule.subject,
        outside=explanation.outside,
        causes=causes_of(rule, tag, rule.about.named(tag), explanation.values, audit.doubts),
        on_trial=audit.pack.on_trial(rule, audit.today.isoformat()),
    )


def _origins(audit: Audit, rule: Rule, tag: str, values: Mapping[str, Any], entered: Mapping) -> dict[str, str]:
    """Where each value of a verdict came from: the safe side of one that is doubted, an assumed value, an entry."""
    used = audit.used(tag, rule)
    found = {}
    for name, value in values.items():
        may = audit.assumed_for.get(name, ()) if used else ()
        assumed = next((a for a in may if used >> a.bit & 1), None)
        found[name] = origin(name, value, tag=tag, entered=entered.get((tag, name)), assumed=assumed)
    if (tag, rule.id) in audit.doubts.by_safe:
        for doubt in reversed(audit.doubts.of.get((tag, rule.id), ())):
            if doubt.column in values and values[doubt.column] == doubt.safe:
                told = shown(doubt.entered, columns.column(doubt.column).unit)
                found[doubt.column] = f"the safe side: {told} was entered, and {doubt.rule} doubts it"
    return found


def unknowns(db: Database, audit: Audit) -> list[Unknown]:
    """Every verdict that is unknown, with the entered fields that would decide it."""
    behind = every_gap(db)
    return [open_ for rule in audit.rules for open_ in unknowns_of(db, audit, rule, behind)]


def anything_to_collect(db: Database, audit: Audit) -> bool:
    """Whether a field can be read that would decide a verdict."""
    behind = every_gap(db)
    return any(one.fields for rule in audit.rules for one in unknowns_of(db, audit, rule, behind))


def unknowns_of(db: Database, audit: Audit, rule: Rule, behind: Behind) -> list[Unknown]:
    """The verdicts of one rule that is unknown; `behind` gives the fields behind a fact."""
    tags = audit.tags_having(Outcome.CANT_TELL, rule)
    if not tags:
        return []
    undecided = unknown_columns(db.conn, audit.pack, rule, tags, today=audit.today)
    if rule.subject == "position":
        opens = audit.leaves_open(rule)
        fields = (_fields(audit, rule, tag, undecided, behind, opens=opens) for tag in tags)
        same: dict[tuple[str, ...], tuple[str, ...]] = {}  # many verdicts wait for the same fields
        each = (same.setdefault(own, own) for own in fields)
        return [Unknown(tag, rule.id, rule.grade, own) for tag, own in zip(tags, each, strict=True)]
    found = []
    for tag in tags:
        places = _to_read(db, audit, rule, tag, undecided, behind)
        elsewhere = {name: at for name, at in places.items() if at != (tag,)}
        found.append(Unknown(tag, rule.id, rule.grade, tuple(places), subject=rule.subject, elsewhere=elsewhere))
    return found


def _fields(
    audit: Audit, rule: Rule, tag: str, undecided: Mapping, behind: Behind, *, opens: bool = True
) -> tuple[str, ...]:
    """The entered fields of a position that would decide a verdict; `opens`: an assumed value may leave it open."""
    fields = dict.fromkeys(field for name in undecided.get(tag, ()) for field in behind(tag, name))
    if opens:
        fields |= dict.fromkeys(audit.left_open(tag, rule))
    return tuple(fields)


def _to_read(
    db: Database, audit: Audit, rule: Rule, tag: str, undecided: Mapping, behind: Behind
) -> dict[str, tuple[str, ...]]:
    """The entered fields that would decide a verdict, and where each is to be collected."""
    if rule.subject == "position":
        return dict.fromkeys(_fields(audit, rule, tag, undecided, behind), (tag,))
    places: dict[str, tuple[str, ...]] = {}
    for name in undecided.get(tag, ()):
        places |= fields_behind(db.conn, rule.about, tag, name, behind)
    return places | dict.fromkeys(audit.left_open(tag, rule), (tag,))
