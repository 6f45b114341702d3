"""What another audit says otherwise: verdicts decided, opened, passed, found, by place."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from register.audit.judge import Audit
from register.rulebook.model import Outcome, Verdicts

PASSED, FAILED, CANT_TELL = int(Outcome.PASSED), int(Outcome.FAILED), int(Outcome.CANT_TELL)


@dataclass(frozen=True)
class Moves:
    """The verdicts that come out otherwise after a change, counted.

    `decided` were unknown and are no longer, `opened` the other way round; `firm` and `provisional` are the new
    findings, `cleared` the findings that are gone. `by_tag` has for each position the verdicts decided there and
    the rules newly failed.
    """

    decided: int = 0
    passed: int = 0
    firm: int = 0
    provisional: int = 0
    opened: int = 0
    cleared: int = 0
    by_tag: Mapping[str, tuple[int, tuple[str, ...]]] = field(default_factory=dict)


def moves(before: Audit, after: Audit) -> Moves:
    """What moved between two audits of one register by the same rules."""
    counts: dict[str, int] = defaultdict(int)
    by_tag: dict[str, tuple[int, tuple[str, ...]]] = {}
    then = {table.subject: table for table in before.tables}
    for table in after.tables:
        was, now, provisional, tags = _aligned(then[table.subject], table)
        found = (now == FAILED) & (was != FAILED)
        decided = (was == CANT_TELL) & (now != CANT_TELL)
        for name, which in (
            ("decided", decided),
            ("passed", (now == PASSED) & (was != PASSED)),
            ("firm", found & ~provisional),
            ("provisional", found & provisional),
            ("opened", (now == CANT_TELL) & (was != CANT_TELL)),
            ("cleared", (was == FAILED) & (now != FAILED)),
        ):
            counts[name] += int(which.sum())
        if table.subject == "position":
            for row in np.flatnonzero((decided | found).any(axis=1)):
                rules = tuple(table.rules[col].id for col in np.flatnonzero(found[row]))
                by_tag[tags[row]] = int(decided[row].sum()), rules
    return Moves(**counts, by_tag=by_tag)


def _aligned(was: Verdicts, now: Verdicts) -> tuple[np.ndarray, np.ndarray, np.ndarray, list[str]]:
    """The outcomes before and after, and which are provisional after, of what both audits judge."""
    place = {tag: row for row, tag in enumerate(was.tags)}
    common = [(row, place[tag]) for row, tag in enumerate(now.tags) if tag in place]
    new, old = ([pair[side] for pair in common] for side in (0, 1))
    return was.outcomes[old], now.outcomes[new], now.provisional[new], [now.tags[row] for row in new]
