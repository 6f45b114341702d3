"""The starts of a plant, and the restart of a bus, in a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from register.reports.terminal.hint import follow
from register.reports.terminal.layout import STYLES, table, titled
from register.starts.model import BusRestart, PlantStart, Restart
from register.text import shown

ORDER = {"does not turn": 0, "stalls": 1, "trips on the way": 2, "starts too hot": 3, "may stall": 4, "starts": 5}
FAILING = ("does not turn", "stalls", "trips on the way", "starts too hot")
NOTE = (
    "time: to full speed, with its band; × FLA: highest line current; heat: of what the motor withstands; "
    "lowest: lowest current limit that takes it to speed, × FLA; data: how sure, from A, the maker's figures, "
    "to D, little known."
)
CAUTION = (
    "A machine that starts by itself after a dip can kill whoever works on it: lock and prove dead "
    "before reaching in. Which machine must run before which, and which may restart at all, is for "
    "those who run the plant and for the local code; this is no more than what the bus withstands."
)


def starts(found: Sequence[PlantStart], *, most: int | None) -> RenderableType:
    """One line a position, what does not come up first; then what can't be studied, and why."""
    able = sorted((s for s in found if s.outcome), key=lambda s: (_badness(s), s.tag))
    unable = [s for s in found if not s.outcome]
    parts: list[RenderableType] = [headline(found), Text(f"{len(found)} positions, each started alone")]
    if able:
        parts += [Text(), _table(able[:most]), *_left(len(able), most), Text(NOTE, style="dim")]
    if unable:
        why = table("Tag", "Fields to read or check")
        for s in unable[:most]:
            why.add_row(s.tag, ", ".join(s.to_read))
        parts.append(titled(f"Cannot be studied yet: {len(unable)}", Group(why, *_left(len(unable), most))))
    numbers = {word: sum(s.outcome == word for s in able) for word in ORDER}
    counts = [f"{number} {_plural(word, number)}" for word, number in numbers.items() if number]
    parts += [Text(), Text(", ".join([*reversed(counts), f"{len(unable)} can't be studied"]) + ".", style="bold")]
    if able:
        parts.append(follow("study", able[0].tag))
    return Group(*parts)


def headline(found: Sequence[PlantStart]) -> Text:
    """How many starts fail, how many more may trip, how many cannot be studied yet."""
    able = [s for s in found if s.outcome]
    failing = sum(s.outcome in FAILING for s in able)
    may = sum(s.outcome not in FAILING and (s.overload == "may trip" or s.outcome == "may stall") for s in able)
    line = Text(style="bold")
    line.append(f"{failing} of {len(able)} starts fail", style=STYLES["failed"] if failing else "")
    if may:
        line.append(f"; {may} more may trip or stall", style=STYLES["minor"])
    line.append(f"; {len(found) - len(able)} cannot be studied yet.")
    return line


def _badness(start: PlantStart) -> tuple[int, int]:
    """What does not come up first, then what may trip, then what nobody knows of."""
    return ORDER[start.outcome or "starts"], {"may trip": 0, None: 1, "unknown": 1}.get(start.overload, 2)


def _table(able: Sequence[PlantStart]) -> RenderableType:
    rows = table("Tag", "Outcome", "time, s ", "×FLA ", "dip % ", "heat % ", "Overload", "lowest ", "data")
    for s in able:
        style = STYLES["failed"] if s.outcome in FAILING else ""
        overload = s.overload or "unknown"
        doubt = {"may trip": STYLES["minor"], "unknown": STYLES["unknown"], "trips": STYLES["failed"]}.get(overload, "")
        rows.add_row(
            s.tag,
            Text(s.outcome or "", style=style),
            _time(s),
            _number(s.peak_xfla),
            "< 1" if s.dip_pct is not None and s.dip_pct < 1 else _number(s.dip_pct),
            _number(s.motor_heat_pct),
            Text(overload, style=doubt),
            _number(s.lowest_limit_xfla),
            s.certainty,
        )
    return rows


def _plural(word: str, count: int = 2) -> str:
    if count == 1:
        return word
    return {
        "starts": "start",
        "stalls": "stall",
        "does not turn": "do not turn",
        "trips on the way": "trip on the way",
        "starts too hot": "start too hot",
        "may stall": "may stall",
    }[word]


def _time(start: PlantStart) -> str:
    """The time to full speed with its band."""
    if start.time_s is None:
        return "-"
    time, low, high = map(_number, (start.time_s, start.time_low_s, start.time_high_s))
    if "-" in (low, high):
        return f"{time}, or stalls"
    return time if low == high else f"{time} ({low}-{high})"


def _number(value: float | str | None) -> str:
    if value is None:
        return "-"
    return value if isinstance(value, str) else shown(float(f"{value:.2g}"))


def _left(count: int, most: int | None) -> list[Text]:
    if most is None or count <= most:
        return []
    return [Text(f"{count - most} more: --all shows every one.", style="dim")]


def restart(made: BusRestart) -> RenderableType:
    """All at once, those that need no person, the staggered sequence, and who is left out."""
    able = [m for m in made.motors if m.peak_a is not None]
    limit = shown(made.dip_limit_pct, "%")
    parts: list[RenderableType] = [
        Text(f"{made.bus} after a power dip", style="bold"),
        Text(f"Deepest dip allowed: {limit} ({made.dip_limit_origin})"),
        Text(),
        *_at_once(made, len(able)),
    ]
    if made.sequence:
        rows = table("Begins ", "Tag", "Start takes ", "Current ", "Dip ", "Restarts by itself")
        # The order in which they were let in: the dip deepens with each that begins at the same time.
        for m in sorted(made.sequence, key=lambda m: (m.begins_s, m.dip_pct)):
            rows.add_row(
                shown(round(m.begins_s, 1), "s"),
                m.tag,
                shown(round(m.start_s, 1), "s"),
                shown(round(m.peak_a), "A"),
                shown(round(m.dip_pct, 1), "%"),
                m.by_itself or "unknown",
            )
        note = (
            f"Times from when the bus is back, on a bus held at the limit, with "
            f"{shown(made.pause_s, 's')} between a start's end and its successor; largest "
            "first. Dip: as that start begins."
        )
        together = all(m.begins_s == 0.0 for m in made.sequence)
        title = "All of these may begin at once" if together else f"A sequence within {limit}"
        parts.append(titled(title, Group(rows, Text(note, style="dim"))))
    if made.left_out:
        parts.append(titled(f"Left out: {len(made.left_out)}", _left_out(made.left_out)))
    return Group(*parts, Text(), Text(CAUTION, style="dim"))


def _at_once(made: BusRestart, able: int) -> list[Text]:
    if made.all_at_once_pct is None:
        return [Text("No motor of this bus can be studied.", style="bold")]
    rest = len(made.motors) - able
    least = "at least " if rest else ""
    over = made.all_at_once_pct > made.dip_limit_pct
    lines = [
        Text(
            f"All {able} that can be studied at once: the bus dips by {least}"
            f"{shown(round(made.all_at_once_pct, 1), '%')}, "
            f"{'deeper than allowed' if over else 'within what is allowed'}.",
            style="bold",
        )
    ]
    if rest:
        lines.append(Text(f"{rest} more stand on this bus and are not in it; they deepen it."))
    if made.by_themselves_pct is None:
        lines.append(Text("None of them is known to restart by itself."))
    else:
        lines.append(Text(f"Those known to restart by themselves: {shown(round(made.by_themselves_pct, 1), '%')}."))
    unknown = sum(m.by_itself is None for m in made.motors)
    if unknown:
        lines.append(Text(f"Of {unknown} it is not known: read restarts_by_itself."))
    return lines


def _left_out(motors: Sequence[Restart]) -> RenderableType:
    rows = table("Tag", "Why", "Fields to read or check")
    for m in motors:
        rows.add_row(m.tag, m.why_not, ", ".join(m.to_read))
    return rows
