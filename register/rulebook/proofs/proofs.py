"""What is proved of a pack of rules, proof by proof, each with what it found wanting."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from register.columns import SUBJECTS
from register.errors import Problem, RuleError
from register.rulebook.load.document import nearest
from register.rulebook.model import Pack
from register.rulebook.proofs import dead_rules, limit_gaps, unit_mistakes
from register.rulebook.proofs.examples import all_survivors
from register.rulebook.proofs.failed_examples import wrong_of
from register.rulebook.proofs.monotone import monotone
from register.rulebook.tables import facts_table

TRIALS = 10_000
# A rule as it must not be: what nobody has set counts as set to nothing.
PLANTED = "coalesce(overload_set_a, 0) <= overload_set_max_a"


@dataclass(frozen=True)
class Proof:
    """One proof: what it asks, what was tried, and (rule, what is wrong) of all that it found."""

    name: str
    asks: str
    tried: str
    faults: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()


def prove(pack: Pack, *, only: Iterable[str] = (), trials: int = TRIALS, seed: int = 1) -> list[Proof]:
    """Put a pack to the proof, in every way or by `only` some of `PROOFS`.

    Errors: RuleError when there is no such proof.
    """
    for name in only:
        if name not in PROOFS:
            raise RuleError(Problem(f"there is no proof {name!r}", nearest(name, PROOFS), "--only"))
    return [PROOFS[name](pack, trials, seed) for name in tuple(only) or PROOFS]


def _memory() -> sqlite3.Connection:
    return sqlite3.connect(":memory:")


def _examples(pack: Pack, trials: int, seed: int) -> Proof:
    wrong = [(rule.id, str(w)) for rule in pack.rules for w in wrong_of(rule, pack)]
    count = sum(len(rule.examples) for rule in pack.rules)
    return Proof("examples", "Does each example come out as it says?", f"{count} examples", tuple(wrong))


def _monotone(pack: Pack, trials: int, seed: int) -> Proof:
    flips = monotone(pack, _memory, trials=trials, seed=seed)
    faults = [(f.rule, f"{f} ({f.times} of {trials} rows)") for f in flips]
    deliberate = [rule.id for rule in pack.rules if rule.unknown_is_deliberate]
    notes = [f"left out, unknown is meant to count there: {', '.join(deliberate)}"]
    planted = replace(
        pack.rules[0],
        id="planted",
        subject="position",
        practice="any",
        applies="",
        requires=PLANTED,
        margin="",
        limits=(),
        unknown_is_deliberate="",
        columns=("overload_set_a", "overload_set_max_a"),
    )
    caught = monotone(replace(pack, rules=(planted,)), _memory, trials=trials, seed=seed)
    if caught:
        notes.append(f"a planted rule, {PLANTED}, is caught: {str(caught[0]).split(': ', 1)[1]}")
    else:
        faults.append(("planted", f"a planted rule, {PLANTED}, goes uncaught: try more rows"))
    tried = f"{trials} rows × {len(pack.rules) - len(deliberate)} rules"
    return Proof(
        "monotone", "Does filling in blanks flip no firm verdict?", tried, tuple(faults), tuple(notes[not deliberate :])
    )


def _mutation(pack: Pack, trials: int, seed: int) -> Proof:
    count, unnoticed = all_survivors(pack)
    score = 100 * (count - len(unnoticed)) / count if count else 100.0
    told = f"{count - len(unnoticed)} of {count} changes noticed: score {score:.1f} %"
    faults = tuple((mutant.rule, str(mutant)) for mutant in unnoticed)
    return Proof(
        "mutation", "Does some example notice any small change of a rule?", f"{count} changes", faults, (told,)
    )


def _dead(pack: Pack, trials: int, seed: int) -> Proof:
    found = dead_rules.dead(pack, _memory(), trials=trials, seed=seed)
    return Proof(
        "dead",
        "Can each rule fail, and can it be met, at the limits in force?",
        f"{trials} rows × {len(pack.rules)} rules",
        tuple((rule, f"{rule} {what}") for rule, what in found.items()),
    )


def _gaps(pack: Pack, trials: int, seed: int) -> Proof:
    found = limit_gaps.gaps(pack)
    return Proof(
        "gaps",
        "Do rules that share a requirement leave no value between them?",
        f"{len(pack.rules)} rules",
        tuple((rules, f"{rules}: {hole}") for rules, hole in found),
    )


def _units(pack: Pack, trials: int, seed: int) -> Proof:
    connection = _memory()
    for subject in SUBJECTS:
        connection.execute(facts_table(subject))
    count, through = unit_mistakes.accepted(pack, connection)
    return Proof(
        "units",
        "Is a column of another unit refused in any comparison?",
        f"{count} mistakes, A for kA among them",
        tuple((s.rule, f"{s.rule}: {s}") for s in through),
    )


PROOFS: dict[str, Callable[[Pack, int, int], Proof]] = {
    "examples": _examples,
    "monotone": _monotone,
    "mutation": _mutation,
    "dead": _dead,
    "gaps": _gaps,
    "units": _units,
}
