"""The audit: register → facts → verdicts → findings, each stage one call."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from difflib import get_close_matches
from functools import cached_property
from typing import Any

import numpy as np
from sqlite_utils import Database

from register import columns
from register.audit.assumed import judged, not_to_judge
from register.audit.bounds import held
from register.audit.doubts import Doubts, doubted, of_the_buses
from register.audit.finding import Finding, Unknown, Value
from register.audit.places import places_of
from register.audit.priority import priority
from register.audit.root_causes import causes_of
from register.errors import Problem, StartrollError
from register.facts.assumptions import Assumption, load_assumptions, mask_for, stand_ins_named
from register.facts.build import every_gap, gaps, refresh
from register.facts.derived import STUDIED, entered_behind
from register.facts.method import Method
from register.facts.standard_tables import load_tables
from register.facts.subjects import Behind, fields_behind, lay
from register.rulebook.model import Explanation, Outcome, Pack, Rule, Verdicts
from register.rulebook.run.evaluate import evaluate
from register.rulebook.run.explain import explain, unknown_columns
from register.store.queries import origin_of
from register.text import shown


@dataclass(frozen=True)
class Audit:
    """What one run concluded: an outcome for every rule at every position.

    `tables` are the verdicts that count: first those of positions, then those of buses and of
    devices in store, where there are rules about them. `on_trial` are those of rules on trial.
    `unproven` are, by (tag, rule id), those that fail on an assumed bound alone: the columns to read.
    `doubts` are the values not believed that verdicts rest on.
    """

    pack: Pack
    today: date
    tables: tuple[Verdicts, ...]
    on_trial: tuple[Verdicts, ...]
    assumptions: tuple[Assumption, ...]
    measured_only: bool
    unproven: Mapping[tuple[str, str], tuple[str, ...]] = field(default_factory=dict)
    doubts: Doubts = field(default_factory=Doubts)

    @property
    def verdicts(self) -> Verdicts:
        """Those of the positions."""
        return self.tables[0]

    @property
    def provisional(self) -> np.ndarray:
        """Which of them rest on a stand-in."""
        return self.verdicts.provisional

    @property
    def rules(self) -> tuple[Rule, ...]:
        """The rules that count, in the order of their tables."""
        return tuple(rule for table in self.tables for rule in table.rules)

    def table(self, rule: str) -> Verdicts:
        """The verdicts of a rule, and of those that are judged with it; KeyError if not asked."""
        return self._of_rule[rule]

    def has(self, rule: str, subject: str) -> bool:
        """Whether there is a rule of that id about such a subject."""
        return rule in self._of_rule and self._of_rule[rule].subject == subject

    def outcome(self, tag: str, rule: str) -> Outcome:
        """The outcome of one rule at one position, bus or device in store."""
        table = self.table(rule)
        return Outcome(int(table.outcomes[table.row(tag), table.column(rule)]))

    def is_provisional(self, tag: str, rule: str) -> bool:
        """True when that verdict rests on a stand-in."""
        table = self.table(rule)
        return bool(table.provisional[table.row(tag), table.column(rule)])

    def failed(self) -> Iterator[tuple[str, str]]:
        """(tag, rule id) of every failed verdict that counts."""
        return self.having(Outcome.FAILED)

    def having(self, outcome: Outcome) -> Iterator[tuple[str, str]]:
        """(tag, rule id) of every verdict with that outcome."""
        for table in self.tables:
            for row, col in np.argwhere(table.outcomes == outcome):
                yield table.tags[row], table.rules[col].id

    def tags_having(self, outcome: Outcome, rule: Rule) -> list[str]:
        """The positions, buses or devices where that rule came out so."""
        table = self.table(rule.id)
        rows = np.flatnonzero(table.outcomes[:, table.column(rule.id)] == outcome)
        return [table.tags[row] for row in rows]

    def stand_ins(self, tag: str, rule: Rule) -> tuple[str, ...]:
        """The stand-ins that a verdict rests on, in words; empty for a firm one."""
        used = self.used(tag, rule) & mask_for(rule.columns, self.assumptions)
        return (*stand_ins_named(used, self.assumptions), *self.doubts.words(tag, rule.id))

    def used(self, tag: str, rule: Rule) -> int:
        """The bits of all stand-ins in the facts that a rule is judged on."""
        table = self.table(rule.id)
        return int(table.stand_ins[table.row(tag)])

    def left_open(self, tag: str, rule: Rule) -> tuple[str, ...]:
        """The blanks whose assumed values a rule may not judge by, or fail by alone, so that it can't be told."""
        used = self.used(tag, rule)
        never = (a.column for a in not_to_judge(rule, self.assumptions) if used >> a.bit & 1)
        return tuple(dict.fromkeys((*never, *self.unproven.get((tag, rule.id), ()))))

    def rows(self) -> Iterator[tuple[str, str, str]]:
        """(place, a letter a rule, `y` or `n` a rule for provisional) of all that counts.

        The letters are in the order of `rules`, a dot for a rule about something else. A bus or a
        device in store bears its subject in front of its key.
        """
        letters, before, count = "".join(o.letter for o in Outcome), 0, len(self.rules)
        for table in self.tables:
            rest = count - before - len(table.rules)
            named = columns.SUBJECTS[table.subject].named
            marked = table.provisional.astype(int)
            for tag, codes, marks in zip(table.tags, table.outcomes, marked, strict=True):
                told = "".join(letters[code] for code in codes)
                firm = "".join("ny"[mark] for mark in marks)
                yield (named(tag), "." * before + told + "." * rest, "n" * before + firm + "n" * rest)
            before += len(table.rules)

    @cached_property
    def _of_rule(self) -> dict[str, Verdicts]:
        return {r.id: table for table in self.tables + self.on_trial for r in table.rules}


def run(
    db: Database,
    pack: Pack,
    *,
    today: date,
    measured_only: bool = False,
    tags: Iterable[str] | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Audit:
    """Judge every position by every rule of the pack, and every bus and device in store.

    Parameters
    ----------
    db : an open register; facts are refreshed in it, or beside it when it cannot be written.
    pack : the rules and limits in force.
    today : the day on which the audit is made.
    measured_only : leave every stand-in out.
    tags : only these positions, and neither buses nor devices in store.
    progress : told the rows of facts done, of how many, while any are built.
    """
    assumptions = load_assumptions(pack.folder / "assumptions.yml")
    tables = load_tables(pack.folder / "tables")
    refresh(db, tables=tables, assumptions=assumptions, measured_only=measured_only, progress=progress)
    tags = None if tags is None else list(tags)
    lay(db.conn, assumptions)
    found = [
        judged(evaluate(db.conn, pack, today=today, tags=tags, subject=subject), assumptions)
        for subject in columns.SUBJECTS
        if tags is None or subject == "position"
    ]
    used = () if measured_only else assumptions
    unproven = {} if measured_only else held(db, found[0], pack, Method(tables, assumptions, ""), today)
    beside = [] if tags is None else of_the_buses(db, pack, assumptions, today)
    doubts = doubted(db, [*found, *beside], pack, standards=tables, assumptions=used, today=today)
    trials = {rule.id for rule in pack.rules if pack.on_trial(rule, today.isoformat())}
    counted = [table.of(r for r in table.rules if r.id not in trials) for table in found]
    on_trial = [table.of(r for r in table.rules if r.id in trials) for table in found]
    return Audit(
        pack=pack,
        today=today,
        tables=(counted[0], *(table for table in counted[1:] if table.rules)),
        on_trial=tuple(table for table in on_trial if table.rules),
        assumptions=assumptions,
        measured_only=measured_only,
        unproven=unproven,
        doubts=doubts,
    )


def findings(db: Database, audit: Audit) -> list[Finding]:
    """Every failed verdict that counts, opened: clauses, values with their origin, margin."""
    return [found for rule in audit.rules for found in findings_of(db, audit, rule)]


def findings_of(db: Database, audit: Audit, rule: Rule) -> list[Finding]:
    """The failed verdicts of one rule, opened."""
    tags = audit.tags_having(Outcome.FAILED, rule)
    return _opened(db, audit, rule, tags) if tags else []


def opened_verdict(db: Database, audit: Audit, tag: str, rule_id: str) -> Finding:
    """One verdict opened, whatever its outcome; StartrollError when tag or rule is unknown."""
    rules = {r.id: r for table in audit.tables + audit.on_trial for r in table.rules}
    listing = "a rule of the site needs --site-rules <folder>; startroll rules list"
    rule = _known(rule_id, rules, "rule", listing)
    tags = dict.fromkeys(audit.table(rule.id).tags)
    _known(tag, tags, rule.subject, f"the rule is about {rule.about.plural}; startroll positions")
    (opened,) = _opened(db, audit, rule, [tag])
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


def _opened(db: Database, audit: Audit, rule: Rule, tags: list[str]) -> list[Finding]:
    explanations = _explained(db, audit, rule, tags)
    places = places_of(db, rule.subject, tags)
    origins = origin_of(db, tags, rule.shown_columns, rule.subject)
    return [_finding(audit, rule, e, places[e.tag], origins) for e in explanations]


def _explained(db: Database, audit: Audit, rule: Rule, tags: list[str]) -> list[Explanation]:
    """Verdicts opened, each on the facts that decided it: the entered ones, or those on the safe side."""
    found = {e.tag: e for e in explain(db.conn, audit.pack, rule, tags, today=audit.today)}
    safe = [tag for tag in tags if (tag, rule.id) in audit.doubts.by_safe]
    if safe:
        found |= {e.tag: e for e in explain(audit.doubts.safe_facts, audit.pack, rule, safe, today=audit.today)}
    return [found[tag] for tag in tags if tag in found]


def _finding(audit: Audit, rule: Rule, explanation: Explanation, place: dict[str, Any], origins: dict) -> Finding:
    tag = explanation.tag
    values = tuple(
        Value(name, value, columns.column(name).unit, _origin(audit, rule, name, tag, value, origins))
        for name, value in explanation.values.items()
    )
    compared = {n: v for n, v in explanation.values.items() if n in rule.margin_columns}
    return Finding(
        tag=tag,
        rule=rule.id,
        title=rule.title,
        grade=rule.grade,
        outcome=audit.outcome(tag, rule.id).word,
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
        priority=priority(
            rule.grade, place["criticality"], explanation.margin, compared, harm=rule.harm, unit=explanation.margin_unit
        ),
        place=place,
        subject=rule.subject,
        outside=explanation.outside,
        causes=causes_of(rule, tag, rule.about.named(tag), explanation.values, audit.doubts),
        on_trial=audit.pack.on_trial(rule, audit.today.isoformat()),
    )


def _origin(audit: Audit, rule: Rule, name: str, tag: str, value: Any, origins: dict) -> str:
    column = columns.column(name)
    used = audit.used(tag, rule)
    taken = [d for d in audit.doubts.of.get((tag, rule.id), ()) if d.column == name and d.safe == value]
    if taken and (tag, rule.id) in audit.doubts.by_safe:
        return f"the safe side: {shown(taken[0].entered, column.unit)} was entered, and {taken[0].rule} doubts it"
    for assumption in audit.assumptions:
        if assumption.column == name and used >> assumption.bit & 1:
            return f"assumed: {assumption.sentence}"
    if column.table == "around":
        return "counted in the register"
    if name in STUDIED:
        way = " --failover" if name.startswith("failover") else ""
        return f"the study of this start: startroll study {tag}{way}"
    if column.origin == "derived":
        return "computed from " + ", ".join(sorted(entered_behind(name)))
    if value is None:
        return origins.get((tag, name), "not known")
    return origins.get((tag, name)) or f"entered, table {column.table}"


def unknowns(db: Database, audit: Audit) -> list[Unknown]:
    """Every verdict that can't be told, with the entered fields that would decide it."""
    behind = every_gap(db)
    return [open_ for rule in audit.rules for open_ in unknowns_of(db, audit, rule, behind)]


def unknowns_of(db: Database, audit: Audit, rule: Rule, behind: Behind) -> list[Unknown]:
    """The verdicts of one rule that can't be told; `behind` gives the fields behind a fact."""
    tags = audit.tags_having(Outcome.CANT_TELL, rule)
    if not tags:
        return []
    undecided = unknown_columns(db.conn, audit.pack, rule, tags, today=audit.today)
    found = []
    for tag in tags:
        places = _to_read(db, audit, rule, tag, undecided, behind)
        elsewhere = {name: at for name, at in places.items() if at != (tag,)}
        found.append(Unknown(tag, rule.id, rule.grade, tuple(places), subject=rule.subject, elsewhere=elsewhere))
    return found


def _to_read(
    db: Database, audit: Audit, rule: Rule, tag: str, undecided: Mapping, behind: Behind
) -> dict[str, tuple[str, ...]]:
    """The entered fields that would decide a verdict, and where each is to be read."""
    places: dict[str, tuple[str, ...]] = {}
    for name in undecided.get(tag, ()):
        if rule.subject == "position":
            places |= dict.fromkeys(behind(tag, name), (tag,))
        else:
            places |= fields_behind(db.conn, rule.about, tag, name, behind)
    return places | dict.fromkeys(audit.left_open(tag, rule), (tag,))
