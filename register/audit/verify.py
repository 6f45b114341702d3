"""The clauses that nobody has seen yet and on which verdicts are based: read them before a report is signed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import reduce
from operator import or_

from register.audit.judge import Audit
from register.columns.source import Source
from register.facts.assumptions import mask_for
from register.facts.derived import needed_for, parameters
from register.facts.standard_tables import Table
from register.rulebook.model import Outcome, Rule, Verdicts


@dataclass(frozen=True, slots=True)
class ToVerify:
    """One such clause, the judged rules based on it, and how many failed majors do."""

    clause: str
    seen: str
    rules: tuple[str, ...]
    failed_majors: int


def to_verify(audit: Audit, tables: Mapping[str, Table]) -> tuple[ToVerify, ...]:
    """The clauses to be verified, those behind the most failed majors first.

    A rule is based on its own clauses, on those of its limits and of the tables behind what it reads, and on those
    of the assumed values that were used.
    """
    rules: dict[Source, list[str]] = defaultdict(list)
    majors: dict[Source, int] = defaultdict(int)
    for verdicts in audit.tables:
        for column, rule in enumerate(verdicts.rules):
            outcomes = verdicts.outcomes[:, column]
            failed = int((outcomes == Outcome.FAILED).sum())
            if not failed and not (outcomes == Outcome.PASSED).any():
                continue
            for source in dict.fromkeys(s for s in _behind(audit, verdicts, rule, tables) if s.to_verify):
                rules[source].append(rule.id)
                majors[source] += failed * (rule.grade == "major")
    found = (ToVerify(s.clause, s.seen, tuple(sorted(ids)), majors[s]) for s, ids in rules.items())
    return tuple(sorted(found, key=lambda v: (-v.failed_majors, -len(v.rules), v.clause)))


def _behind(audit: Audit, verdicts: Verdicts, rule: Rule, tables: Mapping[str, Table]) -> Iterator[Source]:
    yield from rule.basis
    yield from (audit.pack.limits[name].basis for name in rule.limits)
    used = reduce(or_, verdicts.stand_ins.tolist(), 0) & mask_for(rule.columns, audit.assumptions)
    yield from (a.basis for a in audit.assumptions if used >> a.bit & 1)
    asked = {p for c in needed_for(frozenset(rule.columns)) for p in parameters(c) if p.endswith("_table")}
    for name in sorted(asked):
        table = tables[name.removesuffix("_table").replace("_", "-")]
        yield Source(f"{table.source}, edition {table.edition}", table.seen or "not stated", table.where)
