"""Corrective actions: assigned, closed with evidence, and checked by audits, not believed."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from register.audit.findings import opened_verdict
from register.audit.judge import Audit
from register.audit.session import Session
from register.columns import COLUMNS, SUBJECTS
from register.errors import Problem, StartrollError
from register.rulebook.model import Outcome
from register.store import actions as rows
from register.store import audits, clock
from register.store.database import writing

OPEN, OVERDUE, MENDED = "open", "overdue", "no longer failing"
CONFIRMED, STILL_FAILING = "closed, confirmed", "closed, still failing"
UNTOLD, NO_MORE = "closed, unknown", "closed, no longer judged"
UNCHECKED = "closed, unchecked"
RECORD_GONE = "closed, its record is gone"
# Those that someone has to look at, the gravest first.
PRESSING = (STILL_FAILING, RECORD_GONE, OVERDUE, UNTOLD, OPEN, MENDED, UNCHECKED)
STATES = (*PRESSING, NO_MORE, CONFIRMED)


@dataclass(frozen=True, slots=True)
class Action:
    """A row of the register's table of that name; `tag` is the key of its `subject`."""

    action_id: int
    tag: str
    against_rule: str
    task: str | None
    assigned_to: str
    assigned_by: str | None
    assigned_on: str
    due_on: str
    closed_on: str | None
    closed_by: str | None
    evidence_record: str | None
    evidence_on: str | None
    evidence_file: str | None
    evidence_hash: str | None
    subject: str = "position"

    @property
    def evidence(self) -> str:
        """What is said to show that it was done."""
        parts = []
        if self.evidence_record:
            parts.append(f"record: {self.evidence_record}, {self.evidence_on}")
        if self.evidence_file:
            parts.append(f"file: {self.evidence_file}, SHA-256 {(self.evidence_hash or '')[:12]}…")
        return "; ".join(parts)


@dataclass(frozen=True, slots=True)
class Followed:
    """An action as it stands, and how that is known; `tag` is the key of its `subject`."""

    action_id: int
    tag: str
    rule: str
    task: str
    assigned_to: str
    assigned_on: str
    due_on: str
    closed_on: str
    closed_by: str
    evidence: str
    state: str
    why: str
    subject: str = "position"

    @property
    def at(self) -> str:
        """What it is about, told apart from what else has the same key."""
        return SUBJECTS[self.subject].named(self.tag)


def followed(action: Action, *, today: str, outcome: str | None, audit: str, record_there: bool = True) -> Followed:
    """How an action stands.

    Parameters
    ----------
    action : as it was assigned, and perhaps closed.
    today : the day on site, ISO 8601.
    outcome : the rule's outcome there in the latest audit that saw the action as it is; None when
        no audit did, or the rule was not in force.
    audit : that audit's name; empty when there is none.
    record_there : whether the register holds the record given as evidence.
    """
    state, why = (_closed if action.closed_on else _open)(action, today, outcome, audit)
    if state == CONFIRMED and not record_there:
        state, why = RECORD_GONE, "the register no longer holds the record that was to show it"
    return Followed(
        action.action_id,
        action.tag,
        action.against_rule,
        action.task or "",
        action.assigned_to,
        action.assigned_on,
        action.due_on,
        action.closed_on or "",
        action.closed_by or "",
        action.evidence,
        state,
        why,
        action.subject,
    )


def _open(action: Action, today: str, outcome: str | None, audit: str) -> tuple[str, str]:
    if outcome in ("passed", "inapplicable"):
        return MENDED, f"{_word(outcome)} in {audit}; close it with its evidence"
    if action.due_on < today:
        days = (date.fromisoformat(today) - date.fromisoformat(action.due_on)).days
        return OVERDUE, f"due on {action.due_on}, {days} day{'s' if days > 1 else ''} ago"
    return OPEN, f"due on {action.due_on}"


def _closed(action: Action, today: str, outcome: str | None, audit: str) -> tuple[str, str]:
    said = f"closed by {action.closed_by} on {action.closed_on}"
    if not audit:
        return UNCHECKED, f"{said}; the next audit checks it"
    if outcome is None:
        return NO_MORE, f"{said}; the rule was not judged there in {audit}"
    state = {"passed": CONFIRMED, "failed": STILL_FAILING, "cant-tell": UNTOLD, "inapplicable": NO_MORE}[outcome]
    return state, f"{said}; {_word(outcome)} in {audit}"


def _word(outcome: str) -> str:
    return {"cant-tell": "is unknown", "failed": "still failed"}.get(outcome, outcome)


def followed_up(db: Database, audit: Audit) -> tuple[Followed, ...]:
    """How every action stands in an audit of the register as it is, the most pressing first."""
    day = audit.today.isoformat()
    found = []
    for row in rows.rows(db):
        if audit.covers(row["subject"], row["tag"]):
            outcome = audit.word_at(row["subject"], row["tag"], row["against_rule"])
            found.append(_followed(db, row, day, outcome, f"the audit of {day}"))
    return _sorted(found)


def listed(db: Database, *, today: date | None = None) -> tuple[Followed, ...]:
    """How every action stands by the audits that were kept, the most pressing first."""
    day = (today or clock.today(db)).isoformat()
    kept = audits.kept_audits(db)
    latest = kept[-1] if kept else None
    letters = audits.verdicts_of(db, latest) if latest else {}
    found = []
    for row in rows.rows(db):
        if latest is not None and latest.point.change_id >= rows.seen_from(db, row):
            found.append(_followed(db, row, day, _kept_outcome(latest, letters, row), latest.name))
        else:
            found.append(_followed(db, row, day, None, ""))
    return _sorted(found)


def _kept_outcome(audit: audits.KeptAudit, letters: dict[str, str], row: dict) -> str | None:
    at = SUBJECTS[row["subject"]].named(row["tag"])
    if at not in letters or row["against_rule"] not in audit.rules:
        return None
    letter = letters[at][audit.rules.index(row["against_rule"])]
    # A rule about something else has a dot there.
    return next((outcome.word for outcome in Outcome if outcome.letter == letter), None)


def _followed(db: Database, row: dict[str, Any], day: str, outcome: str | None, audit: str) -> Followed:
    kind, on = row["evidence_record"], row["evidence_on"]
    there = not kind or rows.has_record(db, row["subject"], row["tag"], kind, on)
    return followed(Action(**row), today=day, outcome=outcome, audit=audit, record_there=there)


def _sorted(found: list[Followed]) -> tuple[Followed, ...]:
    return tuple(sorted(found, key=lambda f: (STATES.index(f.state), f.due_on, f.action_id)))


def assign(session: Session, tag: str, rule: str, *, to: str, due: date, by: str, task: str = "") -> tuple[int, bool]:
    """Assign a finding to someone; an action that is open for it already is reassigned.

    `tag` is the position, the bus or the device in store, whichever the rule is about.

    Returns
    -------
    (number, new) : `new` is False when an open action was reassigned.

    Raises StartrollError when the rule passes there, nobody is named, or the day is past.
    """
    db, on = session.db, session.today
    verdict = opened_verdict(db, session.audit(), tag, rule)
    _check_assigned(verdict.outcome, tag, rule, to, due, on)
    values = {"assigned_to": to.strip(), "assigned_by": by, "due_on": due.isoformat()}
    values |= {"task": task.strip()} if task.strip() else {}
    known = rows.open_at(db, rule, verdict.subject, tag)
    with writing(db, reason=f"assigned to {to.strip()}: {rule} at {verdict.at}", author=by):
        if known is not None:
            rows.change(db, known["action_id"], values)
            return known["action_id"], False
        values |= {"tag": tag, "subject": verdict.subject, "against_rule": rule, "assigned_on": on.isoformat()}
        return rows.add(db, values), True


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


def close(session: Session, number: int, *, by: str, record: str = "", file: Path | None = None) -> Followed:
    """Close an action with its evidence: a record of the register, a file, or both.

    Raises StartrollError when it is closed already, when there is no evidence, when the record
    is not there or is older than the action, or when the file cannot be read.
    """
    db, on = session.db, session.today.isoformat()
    row = rows.row(db, number)
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
    values |= _record(session, row, record) if record else {}
    values |= _file(file) if file else {}
    with writing(db, reason=f"action {number} closed", author=by):
        rows.change(db, number, values)
    return _followed(db, rows.row(db, number), on, None, "")


def _record(session: Session, row: dict[str, Any], kind: str) -> dict[str, str]:
    kinds = COLUMNS["record_kind"].choices
    if kind not in kinds:
        raise StartrollError(Problem(f"there is no kind of record {kind!r}", f"one of: {', '.join(kinds)}", "--record"))
    where = SUBJECTS[row["subject"]].named(row["tag"])
    if row["subject"] not in ("position", "bus"):
        cause = f"{where} has no records: they are made at positions and of lineups"
        raise StartrollError(Problem(cause, "name a --file", "--record"))
    found = rows.latest_record(session.db, row["subject"], row["tag"], kind)
    of_lineup = " --lineup" if row["subject"] == "bus" else ""
    remedy = f"enter it first: startroll record {row['tag']} {kind!r} passed --on DAY{of_lineup}"
    rule = row["against_rule"]
    # A rule that is not in force reads nothing, and any record may show that it is done.
    read = next((each.columns for each in session.pack.rules if each.id == rule), ())
    asked = [k for k in kinds if f"{k.replace(' ', '_')}_on" in read]
    if asked and kind not in asked:
        raise StartrollError(
            Problem(f"a {kind} shows nothing about {rule}", f"that rule looks for: {', '.join(asked)}", "--record")
        )
    if found is None:
        raise StartrollError(Problem(f"{where} has no record of a {kind}", remedy, "--record"))
    day, result = found
    if result != "passed" or day < row["assigned_on"]:
        raise StartrollError(
            Problem(
                f"the latest {kind} at {where} is of {day} and {result}; the action was"
                f" assigned on {row['assigned_on']}",
                remedy,
                "--record",
            )
        )
    return {"evidence_record": kind, "evidence_on": day}


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
