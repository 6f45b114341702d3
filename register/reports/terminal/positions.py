"""Lists in a terminal: positions, one position whole, its history."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from register import columns
from register.columns.units import power
from register.reports.terminal.layout import Listing, table, titled
from register.text import counted, money, shown

# Tables with one row a position, which need no key beside its tag.
AT_THE_TAG = ("position", "protection", "bypass", "control")
HIDDEN = ("record_id", "event_id")


def positions(rows: list[dict[str, Any]]) -> RenderableType:
    """One line a position."""
    made = Listing("Tag", "Description", "Bus", "Power ", "FLA ", "Started by")
    for row in rows:
        status = row["device_status"]
        device = row["device_kind"] or "unknown"
        made.rows.append(
            (
                row["tag"],
                row["description"] or row["area"] or "",
                row["bus"] or "unknown",
                power(row["power_kw"], row.get("practice")).split(" (")[0],
                shown(row["fla_a"], "A"),
                device if status in (None, "in service") else f"{device} ({status})",
            )
        )
    return Group(made, Text(f"{counted(len(rows), 'position')}.", style="dim"))


def position(known: dict[str, Any]) -> RenderableType:
    """All that is known at a position, table by table, and what is not."""
    parts: list[RenderableType] = [Text(known["tag"], style="bold")]
    for name, row in known["tables"].items():
        parts.append(titled(f"{name}: {columns.TABLES[name].sentence}", _values(name, row, known)))
    missing = [n for n in ("motor", "device", "protection", "bypass", "control") if n not in known["tables"]]
    if missing:
        parts.append(titled("Nothing entered yet", Text(", ".join(missing))))
    for title, rows in (("Records", known["records"]), ("Events", known["events"])):
        if rows:
            parts.append(titled(title, _rows(rows)))
    return Group(*parts)


def _values(name: str, row: dict[str, Any], known: dict[str, Any]) -> RenderableType:
    made = table("Column", "Value", "Meaning")
    blank = []
    for column in columns.TABLES[name].columns:
        value = row[column.name]
        reason = known["blanks"].get(column.name)
        if value is None and reason is None:
            blank.append(column.name)
        else:
            text = f"unknown ({reason})" if value is None else _value(column, value, known["tables"].get("site", {}))
            made.add_row(column.name, text, column.sentence)
    note = Text(f"Unknown: {', '.join(blank)}." if blank else "", style="dim")
    return Group(made, note) if blank else made


def _value(column: columns.Column, value: Any, site: dict[str, Any]) -> str:
    if column.unit == "currency":
        return money(value, site.get("currency") or "")
    if column.name.endswith("power_kw"):
        return power(value, site.get("practice"))
    return shown(value, column.unit)


def _rows(rows: list[dict[str, Any]]) -> RenderableType:
    names = [n for n in rows[0] if n not in (*HIDDEN, "tag") and any(r[n] is not None for r in rows)]
    made = table(*names)
    for row in rows:
        made.add_row(*("" if row[n] is None else shown(row[n]) for n in names))
    return made


def history(tag: str, entries: Iterable[Any]) -> RenderableType:
    """Who changed what at a position, when and why, oldest first."""
    made = table("When", "No. ", "What", "Change", "Who and why")
    for entry in entries:
        if entry.action == "note":
            what, change = entry.column, f"unknown: {entry.after}"
        elif entry.action == "note gone":
            what, change = entry.column, f"no longer {entry.before}"
        elif entry.column:
            unit = columns.column(entry.column).unit
            own = "" if entry.table in AT_THE_TAG else f", {entry.table} {entry.row_key}"
            what = f"{entry.column}{own}"
            change = f"{shown(entry.before, unit)} → {shown(entry.after, unit)}"
        else:
            what = f"{entry.table} {entry.row_key}"
            change = {"insert": "entered", "delete": "removed"}[entry.action]
        why = ": ".join(part for part in (entry.author, entry.reason) if part)
        if entry.group:
            why += f" ({entry.group})"
        made.add_row(entry.at[:10], "–" if entry.change_set is None else str(entry.change_set), what, change, why)
    note = Text("No.: the change-set, which startroll undo No. takes back as one.", style="dim")
    return titled(f"History of {tag}", Group(made, note))
