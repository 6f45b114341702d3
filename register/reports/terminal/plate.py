"""A photographed nameplate: what it proposes, how far the plate confirms it, what was read where."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.text import Text

from register.columns import COLUMNS
from register.intake.nameplate.model import AGREES, PlateRead, Proposal
from register.reports.terminal.layout import table, titled
from register.text import counted, shown

TYPED = "COLUMN=VALUE as you read it on the plate"


def plate_read(made: PlateRead) -> RenderableType:
    """The proposals beside what is on file, why some are doubted, and the text of the plate; or what was written."""
    if made.accepted:
        return Group(*(Text(f"{made.tag} {name}: {before} → {after}") for name, before, after in made.accepted))
    photo = made.photograph
    parts: list[RenderableType] = [
        Text(f"{photo.name}, {photo.width} × {photo.height} px, SHA-256 {photo.sha256[:16]}…"),
        Text("Nothing is written. Compare each value with the plate itself."),
        Text(),
    ]
    parts.append(_values(made) if made.proposals else Text("No value was read: see what the text gives, or photograph"))
    if not made.proposals:
        parts.append(Text("it again, straight on, filling the picture, without glare."))
    parts += [Text(line) for line in _doubts(made.proposals)]
    if made.note:
        parts.append(Text(f"motor: {made.note}"))
    parts.append(titled("Text on the plate", _text(made)))
    if made.proposals:
        parts += [Text(), *(Text(line) for line in _next(made))]
    return Group(*parts)


def _values(made: PlateRead) -> RenderableType:
    rows = table("Column", "Proposed", *(["On file"] if made.tag else []), "The plate", "As read", "At px")
    for proposal in made.proposals:
        unit = COLUMNS[proposal.column].unit
        first = proposal.readings[0]
        left, top = made.photograph.lines[first.line].corners[0]
        values = " or ".join(shown(r.value, unit) for r in proposal.readings)
        held = [shown(made.on_file.get(proposal.column), unit)] if made.tag else []
        rows.add_row(proposal.column, values, *held, proposal.state, first.text, f"{left:.0f}, {top:.0f}")
    return rows


def _doubts(proposals: tuple[Proposal, ...]) -> Iterator[str]:
    """Each reason once, with the columns that it is about."""
    whys: dict[str, list[str]] = {}
    for proposal in proposals:
        if proposal.why and proposal.state != AGREES:
            whys.setdefault(proposal.why, []).append(proposal.column)
    if whys:
        yield ""
    for why, names in whys.items():
        yield f"Doubted: {', '.join(names)}"
        yield f"  {why}"


def _text(made: PlateRead) -> RenderableType:
    lines = made.photograph.lines
    return Group(*(Text(f"  {line.text}") for line in lines)) if lines else Text("  none")


def _next(made: PlateRead) -> Iterator[str]:
    agreeing = [p.column for p in made.proposals if p.state == AGREES]
    where = "" if made.tag else " --at TAG"
    yield f'To write values: add{where} --reason "plate read …" and --accept for each of them:'
    if agreeing:
        yield f"  --accept COLUMN, of {counted(len(agreeing), 'value')} that agree; --accept {TYPED}."
    else:
        yield f"  --accept {TYPED}."
