"""The rules themselves, in a terminal."""

from __future__ import annotations

from difflib import get_close_matches
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from register import columns
from register.errors import Problem, StartrollError
from register.figures import shown
from register.reports.tables import table, titled
from register.reports.terminal import prose


def rules(pack) -> RenderableType:
    """One line a rule."""
    made = table("Rule", "Grade", "Practice", "Title")
    for rule in pack.rules:
        made.add_row(rule.id, rule.grade, rule.practice, rule.title)
    return Group(made, Text(f"{len(pack.rules)} rules.", style="dim"))


def rule(pack, name: str) -> RenderableType:
    """One rule whole; StartrollError, with the nearest, when there is none of that id."""
    known = {r.id: r for r in pack.rules}
    if name not in known:
        near = get_close_matches(name, list(known), n=1, cutoff=0.5)
        hint = f"did you mean {near[0]}? " if near else ""
        raise StartrollError(
            Problem(f"there is no rule {name!r}", f"{hint}startroll rules list shows them")
        )
    found = known[name]
    parts: list[RenderableType] = [
        Text(f"{found.id}  {found.grade}  practice: {found.practice}", style="bold"),
        Text(found.title),
    ]
    for title, text in (
        ("Applies where", found.applies or "everywhere"),
        ("Requires", found.requires),
        ("Margin", found.margin),
        ("Finding", found.finding),
        ("Why", found.why),
        ("Action", found.action),
        ("Caution", found.caution),
        ("Unknown is deliberate", found.unknown_is_deliberate),
        ("Basis", "; ".join(found.basis)),
        ("File", str(found.path)),
    ):
        if text:
            parts.append(titled(title, prose(text)))
    examples = table("Outcome", "With")
    for example in found.examples:
        facts = (f"{name} = {_shown(name, value)}" for name, value in example.row.items())
        examples.add_row(example.outcome.word, ", ".join(facts))
    parts.append(titled("Examples", examples))
    return Group(*parts)


def _shown(name: str, value: Any) -> str:
    column = columns.FACTS.get(name)
    return shown(value, column.unit if column else "")


def checked(pack, wrong) -> RenderableType:
    """What a check of the pack found."""
    if not wrong:
        count = sum(len(rule.examples) for rule in pack.rules)
        return Text(f"{len(pack.rules)} rules are sound; all {count} examples hold.")
    lines = [Text(str(example)) for example in wrong]
    return Group(*lines, Text(f"{len(wrong)} examples do not hold.", style="bold"))


def proved(mutants: int, survivors) -> RenderableType:
    """How many small changes to the rules their examples notice."""
    noticed = mutants - len(survivors)
    share = 100 * noticed / mutants if mutants else 100.0
    lines = [Text(str(survivor)) for survivor in survivors]
    return Group(*lines, Text(f"{noticed} of {mutants} changes noticed ({share:.1f} %).",
                              style="bold"))  # fmt: skip
