"""Whether a departure that was accepted once still holds: one function decides."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import isclose
from typing import Any

from register.columns import COLUMNS, SUBJECTS
from register.columns.renamed import VALUES
from register.rulebook.model import Rule
from register.text import shown

# Far below any reading; only to pass over the last digits of a computation.
SAME = 1e-6

USED, UNUSED, VOID = "used", "unused", "void"
ASKED, REFUSED, WITHDRAWN = "asked", "refused", "withdrawn"
STATUSES = (USED, UNUSED, VOID, ASKED, REFUSED, WITHDRAWN)
UNUSED_WHY = {
    "passed": "the rule passes there now",
    "cant-tell": "it is unknown now whether the rule fails there",
    "inapplicable": "the rule has nothing to say there now",
    "not in store": "it is not in store now",
}


@dataclass(frozen=True, slots=True)
class Basis:
    """What a verdict is based on: the rule's own mark, what is installed there, the margin, the values."""

    rule: str
    motor: str | None
    device: str | None
    margin: float | None
    margin_unit: str
    values: Mapping[str, Any]
    change_id: int = 0


@dataclass(frozen=True, slots=True)
class Concession:
    """A row of the register's table of that name; `tag` is the key of its `subject`."""

    concession_id: int
    rule: str
    tag: str
    reason: str
    asked_by: str
    asked_on: str
    expires_on: str
    decision: str | None
    decided_by: str | None
    decided_on: str | None
    decision_note: str | None
    withdrawn_by: str | None
    withdrawn_on: str | None
    withdrawn_why: str | None
    basis: Basis | None
    subject: str = "position"


@dataclass(frozen=True, slots=True)
class Case:
    """What an audit finds where a concession was asked for.

    `outcome` is None where the rule is not in force; `now` is None unless it failed. A rule that
    `ages` reads the day: its margin shrinks by itself, so it is held to its values.
    """

    outcome: str | None
    rule: str
    motor: str | None
    device: str | None
    now: Basis | None
    ages: bool = False


@dataclass(frozen=True, slots=True)
class Standing:
    """A concession as it stands on a day, and why; `tag` is the key of its `subject`."""

    concession_id: int
    rule: str
    tag: str
    status: str
    why: str
    reason: str
    asked_by: str
    asked_on: str
    decided_by: str
    decided_on: str
    expires_on: str
    subject: str = "position"

    @property
    def at(self) -> str:
        """What it is about, told apart from what else has the same key."""
        return SUBJECTS[self.subject].named(self.tag)


def fingerprint(rule: Rule) -> str:
    """A rule's mark: another one when what it judges, or how gravely, was changed."""
    # A rule without bounds keeps the mark that it had before there were any.
    texts = [rule.condition, rule.requires, rule.margin, *((rule.beyond,) if rule.outside else ())]
    for words in VALUES.values():
        # A word of a closed list that has only another name now judges as before.
        for old, new in words.items():
            texts = [text.replace(f"'{new}'", f"'{old}'") for text in texts]
    judged = repr((*texts[:3], str(rule.grade), *texts[3:]))
    return hashlib.blake2b(judged.encode(), digest_size=8).hexdigest()


def decided(concession: Concession, *, today: str, case: Case) -> Standing:
    """How a concession stands on a day.

    Parameters
    ----------
    concession : as it was asked for and decided.
    today : the day on site, ISO 8601.
    case : what the audit finds there; motor and device under the names of the asking day.
    """
    status, why = _settled(concession, today) or _as_found(concession, today, case)
    return Standing(
        concession_id=concession.concession_id,
        rule=concession.rule,
        tag=concession.tag,
        status=status,
        why=why,
        reason=concession.reason,
        asked_by=concession.asked_by,
        asked_on=concession.asked_on,
        decided_by=concession.decided_by or "",
        decided_on=concession.decided_on or "",
        expires_on=concession.expires_on,
        subject=concession.subject,
    )


def same_person(one: str | None, other: str | None) -> bool:
    """Whether two names are one person's, as far as names can tell."""
    return _letters(one) == _letters(other)


def _letters(name: str | None) -> str:
    """A name without case, blanks, dots and dashes: `R. Kettle` and `r kettle` are one."""
    return "".join(letter for letter in (name or "").casefold() if letter.isalnum())


def _settled(c: Concession, today: str) -> tuple[str, str] | None:
    """What people did with it, where that settles it."""
    if c.withdrawn_on and c.withdrawn_on <= today:
        return WITHDRAWN, f"withdrawn by {c.withdrawn_by} on {c.withdrawn_on}: {c.withdrawn_why}"
    if c.decision is None or (c.decided_on or "") > today:
        late = f"; its last day was {c.expires_on}" if c.expires_on < today else ""
        return ASKED, f"asked by {c.asked_by} on {c.asked_on}, not decided{late}"
    if c.decision == "refused":
        return REFUSED, f"refused by {c.decided_by} on {c.decided_on}: {c.decision_note}"
    if not c.decided_by or not c.decided_on:
        return VOID, "it does not say who approved it, and when"
    if same_person(c.asked_by, c.decided_by):
        return VOID, f"{c.asked_by} asked for it and approved it: that takes two people"
    return None


def _as_found(c: Concession, today: str, case: Case) -> tuple[str, str]:
    """What became of that on which it was approved."""
    cause = next(_voids(c, today, case), "")
    if cause:
        return VOID, cause
    if case.outcome != "failed":
        return UNUSED, UNUSED_WHY[str(case.outcome)]
    given = f"approved by {c.decided_by} on {c.decided_on}, until {c.expires_on}"
    return USED, f"{given}: {c.decision_note}" if c.decision_note else given


def _voids(c: Concession, today: str, case: Case) -> Iterator[str]:
    if c.expires_on < today:
        yield f"its last day was {c.expires_on}"
    if c.basis is None:
        yield "it does not say on which facts it was given; ask for it anew"
        return
    if case.outcome is None:
        yield "the rule is no longer in force"
    elif case.rule != c.basis.rule:
        yield "the rule was changed"
    for asset in ("motor", "device"):
        then, now = getattr(c.basis, asset), getattr(case, asset)
        if then != now:
            yield f"the {asset} was replaced: {then or 'none'} → {now or 'none'}"
    if case.now is not None:
        yield from _worse(c.basis, case.now, ages=case.ages)


def _worse(then: Basis, now: Basis, *, ages: bool) -> Iterator[str]:
    """How the facts are worse; where degrees don't tell, any other value counts as worse."""
    was, is_now, unit = then.margin, now.margin, then.margin_unit
    if not ages and was is not None and is_now is not None and unit == now.margin_unit:
        if is_now < was and not isclose(is_now, was, rel_tol=SAME):
            yield f"the margin worsened: {shown(was, unit)} → {shown(is_now, unit)}"
        return
    for name in {**then.values, **now.values}:
        before, after = then.values.get(name), now.values.get(name)
        if not alike(before, after):
            unit = COLUMNS[name].unit if name in COLUMNS else ""
            yield f"{name} was changed: {shown(before, unit)} → {shown(after, unit)}"


def alike(one: Any, other: Any) -> bool:
    """True for equal values, and for numbers that only a computation's last digits part."""
    if isinstance(one, int | float) and isinstance(other, int | float):
        return isclose(one, other, rel_tol=SAME)
    return one == other
