"""Rules that say nothing: such as never fail, never pass or never apply, at the limits in force."""

from __future__ import annotations

import sqlite3

from register.rulebook.model import Outcome, Pack
from register.rulebook.proofs.random_facts import Invented, judged, subjects


def dead(pack: Pack, connection: sqlite3.Connection, *, trials: int, seed: int) -> dict[str, str]:
    """Rule → what it never does, on random rows and on what its own examples hold.

    An example may set a limit for itself; here only those in force count.
    """
    found: dict[str, str] = {}
    for subject in subjects(pack):
        invented = Invented(pack, subject, seed=seed)
        rows = [invented.row() for _ in range(trials)]
        outcomes = judged(connection, pack, invented.rules, rows)
        for column, rule in enumerate(invented.rules):
            known = [{n: e.facts.get(n) for n in invented.pools} for e in rule.examples]
            seen = {Outcome(int(o)) for o in outcomes[:, column]}
            if not seen >= {Outcome.FAILED, Outcome.PASSED}:
                seen |= {Outcome(int(o)) for o in judged(connection, pack, [rule], known)[:, 0]}
            if not seen & {Outcome.FAILED, Outcome.PASSED}:
                found[rule.id] = "never applies: nothing is judged by it"
            elif Outcome.FAILED not in seen:
                found[rule.id] = "is always true: it never fails"
            elif Outcome.PASSED not in seen:
                found[rule.id] = "is never met: whatever it applies to fails"
    return found
