"""What became of the work that a finding asked for: closing is checked, not believed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

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
    """A row of the register's table of that name."""

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
    """An action as it stands, and how that is known."""

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
