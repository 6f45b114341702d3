"""Two audits side by side, in a terminal."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from register.audit.comparison import (
    BETTER,
    CAUSES,
    CONCEDED,
    CONCESSION,
    GONE,
    NEW,
    TURNED,
    WORSE,
    Comparison,
    Difference,
)
from register.reports.terminal.layout import table, titled
from register.reports.terminal.report import WORDS
from register.text import shown

TITLES = {NEW: "New findings", WORSE: "Worse", GONE: "Gone", BETTER: "Better", CONCEDED: "Conceded, not corrected"}
TURNINGS = "Verdicts that turned and were no finding"


def compared(made: Comparison, *, most: int | None) -> RenderableType:
    """Totals, causes, then each difference; `most` of each kind at the most."""
    parts: list[RenderableType] = [
        Text(f"{made.site}: {made.old}, and {made.new}", style="bold"),
        Text(_totals(made)),
        titled("What changed, and why", _causes(made)),
    ]
    for kind, title in TITLES.items():
        group = made.of_kind(kind)
        if group:
            parts.append(titled(f"{title}: {len(group)}", _listed(group, most)))
    if most is None and (turned := made.of_kind(TURNED)):
        parts.append(titled(f"{TURNINGS}: {len(turned)}", _listed(turned, most)))
    if made.unexplained:
        parts.append(titled("Without a cause", _listed(made.unexplained, None)))
    return Group(*parts)


def _totals(made: Comparison) -> str:
    def said(failed: int, conceded: int) -> str:
        return f"{failed} failed, {conceded} of them conceded"

    return (
        f"Then {said(made.findings_before, made.conceded_before)}; "
        f"now {said(made.findings_after, made.conceded_after)}. "
        f"{len(made.persisting)} stand as they stood."
    )


def _causes(made: Comparison) -> RenderableType:
    counts = made.counts
    kinds = [*TITLES, TURNED]
    grid = table("Cause", *(f"{kind} " for kind in kinds))
    for cause in CAUSES:
        row = [counts[kind].get(cause, 0) for kind in kinds]
        if any(row):
            grid.add_row(cause, *map(str, row))
    sums = [str(len(made.of_kind(kind))) for kind in kinds]
    grid.add_row("all", *sums, style="bold")
    note = f"{TURNED}: {TURNINGS[0].lower()}{TURNINGS[1:]} in either audit;"
    note += " --all lists them."
    left = f" {len(made.unexplained)} without a cause." if made.unexplained else ""
    return Group(grid, Text(note + left, style="dim"))


def _listed(group: tuple[Difference, ...], most: int | None) -> RenderableType:
    first = group if most is None else group[:most]
    parts: list[RenderableType] = [_line(difference) for difference in first]
    if len(group) > len(first):
        parts.append(Text(f"{len(group) - len(first)} more: --all shows every one.", style="dim"))
    return Group(*parts)


def _line(d: Difference) -> RenderableType:
    head = Text()
    head.append(d.tag, style="bold")
    head.append(f"  {d.grade}  {d.rule}")
    said = f"{d.cause}: {d.detail}" if d.detail else d.cause or "no cause was found"
    body = "\n".join(part for part in (_moved(d), said) if part)
    return Group(head, Padding(Text(body), (0, 0, 0, 5), expand=False))


def _moved(d: Difference) -> str:
    if d.cause == CONCESSION:
        return {WORSE: "conceded → standing", CONCEDED: "standing → conceded"}[d.kind]
    if d.margin_before is not None and d.margin_after is not None:
        margins = (shown(margin, d.margin_unit) for margin in (d.margin_before, d.margin_after))
        return f"margin {' → '.join(margins)}"
    if d.before == d.after:
        return ""
    return f"{WORDS.get(d.before, d.before)} → {WORDS.get(d.after, d.after)}"
