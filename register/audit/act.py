"""Actions against the register: assigned, closed with evidence, and checked by audits."""

from __future__ import annotations

import hashlib
from datetime import date
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from register.audit.actions import STATES, Action, Followed, followed
from register.audit.finding import Finding
from register.audit.judge import Audit, opened_verdict, run
from register.columns import COLUMNS
from register.errors import Problem, StartrollError
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Outcome
from register.store import actions, audits, clock
from register.store.database import opened, writing


def followed_up(db: Database, audit: Audit) -> tuple[Followed, ...]:
    """How every action stands in an audit of the register as it is, the most pressing first."""
    judged, rules = set(audit.verdicts.tags), {rule.id for rule in audit.verdicts.rules}
    day = audit.today.isoformat()
    found = []
    for row in actions.rows(db):
        if row["tag"] in judged:
            rule = row["against_rule"]
            outcome = audit.outcome(row["tag"], rule).word if rule in rules else None
            found.append(_followed(db, row, day, outcome, f"the audit of {day}"))
    return _sorted(found)


def listed(db: Database, *, today: date | None = None) -> tuple[Followed, ...]:
    """How every action stands by the audits that were kept, the most pressing first."""
    day = (today or clock.today(db)).isoformat()
    kept = audits.kept_audits(db)
    latest = kept[-1] if kept else None
    letters = audits.verdicts_of(db, latest) if latest else {}
    found = []
    for row in actions.rows(db):
        seen = latest is not None and latest.point.change_id >= actions.seen_from(db, row)
        outcome = _kept_outcome(latest, letters, row) if seen else None
        found.append(_followed(db, row, day, outcome, latest.name if seen else ""))
    return _sorted(found)


def _kept_outcome(audit: audits.KeptAudit, letters: dict[str, str], row: dict) -> str | None:
    if row["tag"] not in letters or row["against_rule"] not in audit.rules:
        return None
    letter = letters[row["tag"]][audit.rules.index(row["against_rule"])]
    return next(outcome.word for outcome in Outcome if outcome.letter == letter)


def _followed(db: Database, row: dict[str, Any], day: str, outcome: str | None, audit: str) -> Followed:
    kind, on = row["evidence_record"], row["evidence_on"]
    there = not kind or actions.has_record(db, row["tag"], kind, on)
    return followed(Action(**row), today=day, outcome=outcome, audit=audit, record_there=there)


def _sorted(found: list[Followed]) -> tuple[Followed, ...]:
    return tuple(sorted(found, key=lambda f: (STATES.index(f.state), f.due_on, f.action_id)))


def assign(
    path: Path,
    tag: str,
    rule: str,
    *,
    to: str,
    due: date,
    by: str,
    task: str = "",
    today: date | None = None,
    site_rules: Path | None = None,
) -> tuple[int, bool]:
    """Assign a finding to someone; an action that is open for it already is given over.

    Returns
    -------
    (number, new) : `new` is False when an open action was given over.

    Raises StartrollError when the rule passes there, nobody is named, or the day is past.
    """
    with opened(path, write=True) as db:
        on = today or clock.today(db)
        audit = run(db, load_pack(site_folder=site_rules), today=on)
        verdict = opened_verdict(db, audit, tag, rule)
        _about_a_position(verdict)
        _check_assigned(verdict.outcome, tag, rule, to, due, on)
        values = {"assigned_to": to.strip(), "assigned_by": by, "due_on": due.isoformat()}
        values |= {"task": task.strip()} if task.strip() else {}
        known = actions.open_at(db, rule, tag)
        with writing(db, reason=f"assigned to {to.strip()}: {rule} at {tag}", author=by):
            if known is not None:
                actions.change(db, known["action_id"], values)
                return known["action_id"], False
            values |= {"tag": tag, "against_rule": rule, "assigned_on": on.isoformat()}
            return actions.add(db, values), True


def _about_a_position(verdict: Finding) -> None:
    if verdict.subject != "position":
        raise StartrollError(
            Problem(
                f"{verdict.rule} is about a {verdict.subject}; actions are kept at positions",
                "assign one against a finding of a position that it feeds or serves",
            )
        )


def _check_assigned(outcome: str, tag: str, rule: str, to: str, due: date, on: date) -> None:
    problems = []
    if outcome not in ("failed", "cant-tell"):
        problems.append(
            Problem(f"{rule} is {outcome} at {tag}: there is nothing to correct", f"startroll explain {tag} {rule}")
        )
    if not to.strip():
        problems.append(Problem("nobody is named", "name who is to do it", "--to"))
    if due < on:
        problems.append(Problem(f"{due} is past", f"name a day from {on} on", "--due"))
    if problems:
        raise StartrollError(problems)


def close(
    path: Path, number: int, *, by: str, record: str = "", file: Path | None = None, today: date | None = None
) -> Followed:
    """Close an action with its evidence: a record of the register, a file, or both.

    Raises StartrollError when it is closed already, when there is no evidence, when the record
    is not there or is older than the action, or when the file cannot be read.
    """
    with opened(path, write=True) as db:
        row = actions.row(db, number)
        on = (today or clock.today(db)).isoformat()
        if row["closed_on"]:
            raise StartrollError(
                Problem(
                    f"action {number} was closed by {row['closed_by']} on {row['closed_on']}",
                    "where the finding still stands, assign it anew",
                )
            )
        if not record and file is None:
            raise StartrollError(Problem("there is no evidence", "name a record (--record 'bump test') or a --file"))
        values = {"closed_on": on, "closed_by": by}
        values |= _record(db, row, record) if record else {}
        values |= _file(file) if file else {}
        with writing(db, reason=f"action {number} closed", author=by):
            actions.change(db, number, values)
        return _followed(db, actions.row(db, number), on, None, "")


def _record(db: Database, row: dict[str, Any], kind: str) -> dict[str, str]:
    kinds = COLUMNS["record_kind"].choices
    if kind not in kinds:
        raise StartrollError(Problem(f"there is no kind of record {kind!r}", f"one of: {', '.join(kinds)}", "--record"))
    found = actions.latest_record(db, row["tag"], kind)
    remedy = f"enter it first: startroll record {row['tag']} {kind!r} passed --on DAY"
    rule = row["against_rule"]
    asked = [k for k in kinds if f"{k.replace(' ', '_')}_on" in _read_by(rule)]
    if asked and kind not in asked:
        raise StartrollError(
            Problem(f"a {kind} shows nothing about {rule}", f"that rule looks for: {', '.join(asked)}", "--record")
        )
    if found is None:
        raise StartrollError(Problem(f"{row['tag']} has no record of a {kind}", remedy, "--record"))
    day, result = found
    if result != "passed" or day < row["assigned_on"]:
        raise StartrollError(
            Problem(
                f"the latest {kind} at {row['tag']} is of {day} and {result}; the action was"
                f" assigned on {row['assigned_on']}",
                remedy,
                "--record",
            )
        )
    return {"evidence_record": kind, "evidence_on": day}


def _read_by(rule: str) -> tuple[str, ...]:
    """The columns that a rule of the program reads; none of one that is a site's own or gone."""
    known = {each.id: each.columns for each in load_pack().rules}
    return known.get(rule, ())


def _file(path: Path) -> dict[str, str]:
    try:
        if path.is_file() and not path.stat().st_size:
            raise StartrollError(Problem("it is empty, and so shows nothing", "name the file that does", str(path)))
        with path.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise StartrollError(
            Problem(f"it cannot be read: {error.strerror or error}", "name the file", str(path))
        ) from None
    return {"evidence_file": path.name, "evidence_hash": digest}


def of_register(path: Path, *, today: date | None = None) -> tuple[Followed, ...]:
    """How every action of the register in a file stands, by the audits that were kept."""
    with opened(path) as db:
        return listed(db, today=today)
