"""The rules themselves, in a terminal."""

from __future__ import annotations

from datetime import date
from difflib import get_close_matches
from typing import Any

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from register import columns
from register.columns.renamed import rule_now
from register.errors import Problem, StartrollError
from register.reports.first import takes
from register.reports.terminal.hint import follow
from register.reports.terminal.layout import coloured, table, titled
from register.reports.terminal.report import prose
from register.rulebook.model import Line, Pack, Rule
from register.text import shown

_LISTING = "startroll rules list shows them, with --site-rules <folder> the site's own as well"


def rules(pack) -> RenderableType:
    """One line a rule."""
    made = table("Rule, and what it requires", "Grade")
    for rule in pack.rules:
        trial = " (on trial)" if rule.trial and not _taken(pack, rule) else ""
        made.add_row(Text(rule.id, style="bold"), coloured(rule.grade))
        made.add_row(Text(f"  {rule.title}{trial}"), "" if rule.practice == "any" else rule.practice)
    return Group(made, Text(f"{len(pack.rules)} rules.", style="dim"), follow("rules", "show", pack.rules[0].id))


def known(pack: Pack, name: str) -> Rule:
    """The rule of that id; StartrollError, with the nearest, when there is none."""
    by_id = {r.id: r for r in pack.rules}
    name = rule_now(name)
    if name not in by_id:
        near = get_close_matches(name, list(by_id), n=1, cutoff=0.5)
        hint = f"did you mean {near[0]}? " if near else ""
        raise StartrollError(Problem(f"there is no rule {name!r}", f"{hint}{_LISTING}"))
    return by_id[name]


def rule(pack: Pack, found: Rule) -> RenderableType:
    """One rule whole."""
    about = f"about: {found.subject}"
    parts: list[RenderableType] = [
        Text(f"{found.id}  {found.grade}  practice: {found.practice}  {about}", style="bold"),
        Text(found.title),
        Text(f"When it fails: {found.title_failed}"),
        Text(f"Setting it right takes: {takes(found)}"),
        *_trial(pack, found),
    ]
    for title, text in (
        ("Applies where", found.applies or "everywhere"),
        ("Requires", found.requires),
        ("Margin", found.margin),
        ("Assumed values", "none is judged: a blank is can't tell" if found.measured_only else ""),
        ("Finding", found.finding),
        ("Why", found.why),
        ("Action", found.action),
        ("Caution", found.caution),
        ("Unknown is deliberate", found.unknown_is_deliberate),
        ("Basis", "; ".join(map(str, found.basis))),
        ("File", str(found.path)),
    ):
        if text:
            parts.append(titled(title, prose(text)))
    if found.limits:
        parts.append(titled("Limits", _limits(pack, found)))
    examples = table("Outcome", "With")
    for example in found.examples:
        facts = (f"{name} = {_shown(name, value)}" for name, value in example.row.items())
        examples.add_row(example.outcome.word, ", ".join(facts))
    parts.append(titled("Examples", examples))
    return Group(*parts)


def _taken(pack: Pack, rule: Rule) -> list[Line]:
    return [line for line in pack.taken_in if line.rule == rule.id]


def _trial(pack: Pack, rule: Rule) -> list[RenderableType]:
    for line in _taken(pack, rule):
        since = "Will count from" if pack.on_trial(rule, date.today().isoformat()) else "Counts since"
        return [Text(f"{since} {line.on}: {line.reason} ({line.by}).")]
    told = "On trial: judged and shown, and not counted until taken-in.yml takes it in."
    return [Text(told, style="italic")] if rule.trial else []


def _limits(pack: Pack, rule: Rule) -> RenderableType:
    """The pack's value of each limit, then its overrides, and why."""
    made = table("Limit", "Value", "Where", "Why")
    for name in rule.limits:
        limit = pack.limits[name]
        made.add_row(f":{name}", shown(limit.value, limit.unit), pack.layer_of(name), str(limit.basis))
        for laid in (o for o in pack.overrides if o.limit == name):
            why = f"{laid.reason} ({laid.by}, {laid.on})"
            made.add_row("", shown(laid.value, limit.unit), f"{laid.layer} {laid.at}", why)
    return made


def _shown(name: str, value: Any) -> str:
    column = columns.COLUMNS.get(name)
    return shown(value, column.unit if column else "")


def checked(pack, wrong) -> RenderableType:
    """What a check of the pack found."""
    if not wrong:
        count = sum(len(rule.examples) for rule in pack.rules)
        trial = [rule.id for rule in pack.rules if rule.trial and not _taken(pack, rule)]
        told = f" On trial: {', '.join(trial)}." if trial else ""
        return Text(f"{len(pack.rules)} rules are sound; all {count} examples hold.{told}")
    lines = [Text(str(problem)) for problem in wrong]
    count = "1 example does" if len(wrong) == 1 else f"{len(wrong)} examples do"
    return Group(*lines, Text(f"{count} not hold.", style="bold"))


def proved(proofs) -> RenderableType:
    """Every proof: what was tried, what was found, and what is wrong, rule by rule."""
    made = table("Proof", "Tried", "wrong ")
    for proof in proofs:
        made.add_row(proof.name, proof.tried, str(len(proof.faults)))
    parts: list[RenderableType] = [made]
    for proof in proofs:
        body = [Padding(Text(text), (0, 0, 0, 2)) for _, text in proof.faults]
        body += [Text(note, style="dim") for note in proof.notes]
        if body:
            parts.append(titled(f"{proof.name}: {proof.asks}", Group(*body)))
    wrong = sum(len(proof.faults) for proof in proofs)
    end = f"{wrong} things are wrong." if wrong else "All of it is proved."
    return Group(*parts, Text(), Text(end, style="bold"))
