"""Why an example does not come out as it says: the clauses that decided it, and the limits."""

from __future__ import annotations

import sqlite3
from datetime import date
from pathlib import Path

from register.errors import Problem
from register.rulebook.check.expression import names_in, parsed
from register.rulebook.load.files import shown
from register.rulebook.model import TODAY, Explanation, Outcome, Pack, Rule
from register.rulebook.proofs.examples import ExampleResult, run_examples
from register.rulebook.run import wording
from register.rulebook.run.explain import explain
from register.rulebook.tables import facts_table

_ANY_DAY = "2026-01-01"
_WORDS = {
    Outcome.FAILED: ("is not met", False),
    Outcome.INAPPLICABLE: ("does not apply", False),
    Outcome.PASSED: ("is met", True),
    Outcome.CANT_TELL: ("unknown", None),
}


def wrong_examples(pack: Pack) -> list[Problem]:
    """The examples of a pack that do not hold, each with the reason."""
    return [problem for rule in pack.rules for problem in wrong_of(rule, pack)]


def wrong_of(rule: Rule, pack: Pack) -> list[Problem]:
    """The examples of one rule that do not hold, each with the reason."""
    return [_told(result, rule, pack) for result in run_examples(rule, pack) if not result.holds]


def _told(result: ExampleResult, rule: Rule, pack: Pack) -> Problem:
    place, line, _ = result.example.place.rsplit(":", 2)
    return Problem(
        cause=f"{rule.id}: this example is {result.outcome.word}, but says {result.example.outcome.word}",
        remedy="\n  ".join((*_reasons(result, rule, pack), *_limits(result, rule, pack))),
        place=result.example.place,
        excerpt=_line(Path(place), int(line)),
        line=int(line),
    )


def _line(path: Path, number: int) -> str:
    lines = path.read_text(encoding="utf-8-sig").splitlines() if path.is_file() else []
    return lines[number - 1].strip() if number <= len(lines) else ""


def _reasons(result: ExampleResult, rule: Rule, pack: Pack) -> list[str]:
    """The clauses that decided it, each with the example's values in it."""
    opened = _opened(result, rule, pack)
    word, truth = _WORDS[result.outcome]
    decided = [clause for clause in opened.clauses if clause.truth is truth]
    told = [f"{c.text} {word}: {c.valued}" for c in decided]
    if opened.unknown_columns:
        told.append(f"not given: {', '.join(opened.unknown_columns)}")
    return told or [f"the whole of it {word}"]


def _opened(result: ExampleResult, rule: Rule, pack: Pack) -> Explanation:
    """The example's verdict, opened as that of a position with the example's values."""
    example, about = result.example, rule.about
    limits = {n: limit.at(example.named.get(n, limit.value)) for n, limit in pack.limits.items()}
    row = {about.key: "the example", **example.facts}
    connection = sqlite3.connect(":memory:")
    connection.execute(facts_table(rule.subject))
    marks = ", ".join("?" * len(row))
    connection.execute(f"INSERT INTO {about.relation} ({', '.join(row)}) VALUES ({marks})", list(row.values()))
    today = date.fromisoformat(example.named.get(TODAY, _ANY_DAY))
    (opened,) = explain(connection, pack.at_limits(limits), rule, [row[about.key]], today=today)
    connection.close()
    return opened


def _limits(result: ExampleResult, rule: Rule, pack: Pack) -> list[str]:
    """The limits that it was judged by and does not set itself; one may have been changed."""
    texts = [rule.applies] if result.outcome is Outcome.INAPPLICABLE else [rule.requires]
    judged = [parsed(text) for text in texts if text]
    told = []
    for name in names_in(*judged):
        if name != TODAY and name not in result.example.named:
            folder = pack.site_folder if name in pack.own_limits else pack.folder
            value = wording.shown(pack.limits[name].value, pack.limits[name].unit)
            told.append(
                f"with :{name} = {value} ({shown(folder / 'limits.yml')}); give the example"
                f' its own ":{name}" to make it independent of that'
            )
    return told
