"""Rules tried and packs compared, in a terminal."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from register.audit.report import read_at
from register.reports.terminal.layout import indented
from register.reports.terminal.report import OUTCOMES, WORDS, few, table, titled


def tried(trial: Any, *, most: int | None) -> RenderableType:
    """One rule on a register: outcomes, what would fail, what it would need, what moves."""
    count, rule = trial.count, trial.rule
    made = table(*(f"{WORDS.get(o, o)} " for o in OUTCOMES), "all ")
    made.add_row(*(str(count.counts[o]) for o in OUTCOMES), str(sum(count.counts.values())))
    rests = f"{count.provisional} of these are provisional: they assume a value."
    note = [Text(f"{rests} measured_only: true in the rule leaves them open.", style="dim")]
    outcomes = Group(made, *(note if count.provisional else ()))
    parts: list[RenderableType] = [
        Text(f"{rule.id}  {rule.grade}  tried, not counted", style="bold"),
        Text(rule.title),
        titled(f"Of all {rule.about.plural}", outcomes),
    ]
    if trial.wrong:
        parts.append(titled("Examples that do not hold", indented(map(str, trial.wrong))))
    if trial.findings:
        first = trial.findings[:most]
        lines = [f"{finding.tag}: {finding.sentence}" for finding in first]
        if len(first) < len(trial.findings):
            lines.append(f"{len(trial.findings) - len(first)} more: --all.")
        parts.append(titled("Would fail", indented(lines)))
    if trial.fields:
        parts.append(titled("Can't tell: what to read", _fields(trial.fields)))
    if trial.replaces:
        body = _moves(trial.moves) if trial.moves else Text("No verdict is another than now.")
        parts.append(titled("Against the rule of that id as it is now", body))
    return Group(*parts)


def compared(comparison: Any) -> RenderableType:
    """Two versions of a pack: what moves, what is new, what is not accepted."""
    parts: list[RenderableType] = [
        Text(f"From {comparison.old} to {comparison.new}", style="bold"),
        titled("Verdicts that move", _moves(comparison.moves) if comparison.moves else Text("None.")),
    ]
    if comparison.added:
        made = table("New rule", *(f"{WORDS.get(o, o)} " for o in OUTCOMES))
        for count in comparison.added:
            made.add_row(count.rule, *(str(count.counts[o]) for o in OUTCOMES))
        parts.append(titled("Rules that are new", made))
    lines = comparison.accepted
    accepted = [f"{line.rule}: {line.reason} ({line.by}, {line.on})" for line in lines]
    if accepted:
        parts.append(titled("Accepted losses", indented(accepted)))
    open_rules = dict.fromkeys(move.rule for move in comparison.unaccepted)
    if open_rules:
        told = "These findings are lost though nothing on site has changed, and no line accepts it:"
        remedy = "Give each a line in a file for --accepted: {rule: …, reason: …, by: …, on: …}"
        parts.append(titled("Findings lost", Group(Text(told), indented(open_rules), Text(remedy))))
    return Group(*parts)


def _moves(moves: Iterable[Any]) -> RenderableType:
    made = table("Rule", "from", "to", "verdicts ", "at")
    for move in moves:
        made.add_row(
            move.rule,
            WORDS.get(move.before, move.before),
            WORDS.get(move.after, move.after),
            str(len(move.tags)),
            few(move.tags),
        )
    return made


def _fields(fields: Iterable[Any]) -> RenderableType:
    made = table("Field to read", "verdicts ", "at ", "where it is read")
    for field in fields:
        made.add_row(field.column, str(field.verdicts), str(len(field.tags)), read_at(field.column))
    return made
