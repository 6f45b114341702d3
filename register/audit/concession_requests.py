"""Concessions against the register: asked for, decided, and how each stands in an audit."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, replace
from datetime import date, timedelta
from typing import Any

from sqlite_utils import Database

from register.audit.concessions import (
    ASKED,
    UNUSED,
    USED,
    VOID,
    Basis,
    Case,
    Concession,
    Standing,
    decided,
    fingerprint,
    same_person,
)
from register.audit.finding import F, Finding
from register.audit.findings import findings_at, opened_verdict
from register.audit.judge import Audit
from register.audit.session import Session
from register.columns import SUBJECTS
from register.columns.renamed import row_now
from register.errors import Problem, StartrollError
from register.facts.changes import latest_change
from register.rulebook.model import Pack, Rule
from register.rulebook.run.limit_layers import LimitLayers
from register.store import concessions
from register.store.database import writing

LONGEST = "concession_longest_days"
Stands = tuple[str | None, str | None]
RANK = {status: place for place, status in enumerate((USED, VOID, ASKED))}


def standings(db: Database, audit: Audit, found: Iterable[Finding]) -> tuple[Standing, ...]:
    """How every concession stands in an audit; `found` are its findings.

    Those at which the audit did not look are left out.
    """
    failed = {finding.identity: finding for finding in found}
    asked = [row for row in concessions.rows(db) if audit.covers(row["subject"], row["tag"])]
    return tuple(_standing(db, audit, row, _stands(db, row["subject"], row["tag"]), failed) for row in asked)


def _stands(db: Database, subject: str, tag: str) -> Stands:
    """Motor and device at a position, a part of the basis; nothing stands at a bus or a device in store."""
    found = db.execute("SELECT motor, device FROM facts WHERE tag = ?", [tag]).fetchone()
    return found if found and subject == "position" else (None, None)


def marked(found: Iterable[F], stand: Iterable[Standing]) -> list[F]:
    """The findings, each with the concession that speaks of it: the one used before a void one."""
    best: dict[tuple[str, str], Standing] = {}
    for standing in stand:
        if standing.status in RANK:
            known = best.setdefault((standing.rule, standing.at), standing)
            if RANK[standing.status] <= RANK[known.status]:
                best[standing.rule, standing.at] = standing
    if not best:
        return list(found)
    return [replace(f, concession=best[f.identity]) if f.identity in best else f for f in found]


def _standing(
    db: Database, audit: Audit, row: dict[str, Any], stand: Stands, failed: Mapping[tuple[str, str], Finding]
) -> Standing:
    made = _concession(db, row)
    finding = failed.get((made.rule, SUBJECTS[made.subject].named(made.tag)))
    rule = next((r for r in audit.rules if r.id == made.rule and r.subject == made.subject), None)
    case = Case(
        outcome=None if rule is None else audit.word_at(made.subject, made.tag, rule.id) or "not in store",
        rule="" if rule is None else fingerprint(rule),
        motor=stand[0],
        device=stand[1],
        now=None if finding is None or rule is None else _basis(rule, finding, stand),
        ages=rule is not None and rule.reads_today,
    )
    return decided(made, today=audit.today.isoformat(), case=case)


def _concession(db: Database, row: dict[str, Any]) -> Concession:
    """A row; motor and device of its basis under the names that they have now."""
    basis = _read(row["basis"])
    if basis is not None:
        motor, device = (
            concessions.present_name(db, asset, getattr(basis, asset), basis.change_id) for asset in ("motor", "device")
        )
        basis = replace(basis, motor=motor, device=device)
    return Concession(**{**row, "basis": basis})


def _read(text: str | None) -> Basis | None:
    """The basis from its JSON; None where there is none, or none that can be understood."""
    try:
        basis = Basis(**json.loads(text)) if text else None
        return basis and replace(basis, values=row_now(basis.values))
    except (ValueError, TypeError):
        return None


def _basis(rule: Rule, finding: Finding, stand: Stands) -> Basis:
    deciding = {v.column: v.value for v in finding.values if v.column in rule.columns}
    limits = {f":{name}": value for name, (value, _, _) in finding.limits.items()}
    return Basis(fingerprint(rule), *stand, finding.margin, finding.margin_unit, deciding | limits)


def ask(session: Session, tag: str, rule_id: str, *, until: date, reason: str, by: str) -> int:
    """Ask that a finding be accepted until a date; the number of the concession asked for.

    `tag` is the position, the bus or the device in store, whichever the rule is about.
    Raises StartrollError when the rule does not fail there, the day is past or beyond the longest
    term, no reason is given, or a concession for it is asked for or holds already.
    """
    db, on = session.db, session.today
    audit = session.audit()
    finding = opened_verdict(db, audit, tag, rule_id)
    stand = standings(db, audit, [finding] if finding.outcome == "failed" else [])
    problems = _check_asked(finding, stand, until, reason, by, on) + _too_long(audit.pack, finding, until, on)
    if problems:
        raise StartrollError(problems)
    rule = audit.pack.rule(rule_id)
    basis = replace(_basis(rule, finding, _stands(db, finding.subject, tag)), change_id=latest_change(db.conn))
    values = {
        "rule": rule_id,
        "subject": finding.subject,
        "tag": tag,
        "reason": reason.strip(),
        "asked_by": by,
        "asked_on": on.isoformat(),
        "expires_on": until.isoformat(),
        "basis": json.dumps(asdict(basis), default=str),
    }
    with writing(db, reason=f"concession asked for: {rule_id} at {finding.at}", author=by):
        return concessions.add(db, values)


def _check_asked(
    finding: Finding, stand: tuple[Standing, ...], until: date, reason: str, by: str, today: date
) -> list[Problem]:
    problems = _unsaid(reason, by)
    if finding.outcome != "failed":
        word = finding.outcome.replace("cant-tell", "is unknown")
        problems.append(
            Problem(
                f"{finding.rule} does not fail at {finding.at} (it is: {word}): there is nothing to concede",
                f"startroll explain {finding.tag} {finding.rule}",
            )
        )
    if until < today:
        problems.append(Problem(f"the last day {until} is past", f"name a day from {today} on", "--until"))
    for s in stand:
        if (s.rule, s.at) == finding.identity and s.status in (USED, ASKED):
            problems.append(
                Problem(
                    f"there is concession {s.concession_id} for it: {s.why}",
                    f"startroll concede withdraw {s.concession_id} ends that one",
                )
            )
    return problems


def _too_long(pack: Pack, finding: Finding, until: date, today: date) -> list[Problem]:
    """What is wrong with a term that is longer than the limit; packs kept before there was one hold none."""
    if LONGEST not in pack.limits:
        return []
    layers = LimitLayers(pack, [LONGEST], finding.subject)
    told, layer, _ = layers.told(LONGEST, finding.tag, finding.place.get("area"))
    days = int(layers.values[LONGEST] if told is None else told)
    last = today + timedelta(days=days)
    if until <= last:
        return []
    remedy = f"name a day until {last}, and ask anew then; or set {LONGEST} in the site's limits, with a reason"
    cause = f"until {until} is longer than the {days} days that a concession may hold ({layer})"
    return [Problem(cause, remedy, "--until")]


def _unsaid(reason: str, by: str) -> list[Problem]:
    problems = []
    if not reason.strip():
        problems.append(Problem("no reason is given", "say why, in words", "--reason"))
    if not by.strip():
        problems.append(Problem("it is not said who", "name a person", "--by"))
    return problems


def decide(session: Session, number: int, decision: str, *, reason: str, by: str) -> Standing:
    """Decide on a concession: `approved`, `refused` or `withdrawn`; how it stands then.

    Raises StartrollError when it was decided before, when its asker would approve it, or when it
    would be void at once (the finding is no longer the one that was shown).
    """
    db, on = session.db, session.today
    before = concessions.row(db, number)
    problems = _unsaid(reason, by) + _out_of_turn(before, decision, by)
    if problems:
        raise StartrollError(problems)
    with writing(db, reason=f"concession {number} {decision}", author=by):
        concessions.change(db, number, _entered(decision, reason.strip(), by, on.isoformat()))
        after = standing_of(session, number)
        if decision == "approved" and after.status in (VOID, UNUSED):
            raise StartrollError(
                Problem(
                    f"concession {number} can't be approved: {after.why}",
                    "refuse it; where the finding still stands, let it be asked for anew",
                )
            )
    return after


def _entered(decision: str, reason: str, by: str, on: str) -> dict[str, str]:
    if decision == "withdrawn":
        return {"withdrawn_by": by, "withdrawn_on": on, "withdrawn_why": reason}
    return {"decision": decision, "decided_by": by, "decided_on": on, "decision_note": reason}


def _out_of_turn(row: dict[str, Any], decision: str, by: str) -> list[Problem]:
    number = row["concession_id"]
    if row["withdrawn_on"]:
        what = f"was withdrawn by {row['withdrawn_by']} on {row['withdrawn_on']}"
    elif row["decision"] == "refused" or (row["decision"] and decision != "withdrawn"):
        what = f"was {row['decision']} by {row['decided_by']} on {row['decided_on']}"
    elif decision == "approved" and same_person(by, row["asked_by"]):
        return [
            Problem(
                f"{by} asked for concession {number} and cannot approve it",
                "someone else who may decide does that: --by NAME",
            )
        ]
    else:
        return []
    return [Problem(f"concession {number} {what}", "ask for a new one: startroll concede ask")]


def standing_of(session: Session, number: int) -> Standing:
    """How one concession stands now."""
    concessions.row(session.db, number)
    return next(s for s in current(session) if s.concession_id == number)


def current(session: Session) -> tuple[Standing, ...]:
    """How every concession stands now."""
    rows = concessions.rows(session.db)
    alone = all(row["subject"] == "position" for row in rows)
    audit = session.audit(tags=dict.fromkeys(row["tag"] for row in rows) if alone else None)
    return standings(session.db, audit, spoken_of(session.db, audit))


def spoken_of(db: Database, audit: Audit) -> list[Finding]:
    """The findings of which a concession speaks."""
    return findings_at(db, audit, ((row["rule"], row["tag"]) for row in concessions.rows(db)))
