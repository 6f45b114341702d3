"""One position on one screen: load, motor, starter, settings, protection, bypass, control, checks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from register import columns
from register.columns.units import power
from register.reports.terminal.hint import follow
from register.reports.terminal.layout import STYLES, table
from register.text import shown

# What a line says, in its order; a heading of its own goes before a value that does not explain itself.
LINES: dict[str, tuple[str, tuple[tuple[str, str], ...]]] = {
    "Load": (
        "position",
        (("load_kind", ""), ("coupling", ""), ("start_condition", "started"), ("starts_per_hour", "")),
    ),
    "Motor": (
        "motor",
        (
            ("power_kw", ""),
            ("fla_a", ""),
            ("motor_voltage_v", ""),
            ("speed_rpm", ""),
            ("service_factor", "SF"),
            ("design_letter", "design"),
            ("code_letter", "code"),
            ("motor", "serial"),
            ("motor_installed_on", "installed"),
        ),
    ),
    "Starter": (
        "device",
        (("model", ""), ("device", "serial"), ("device_status", ""), ("device_installed_on", "installed")),
    ),
    "Settings": (
        "setting",
        (
            ("start_mode", ""),
            ("current_limit_xfla", "limit"),
            ("initial_voltage_pct", "initial voltage"),
            ("ramp_s", "ramp"),
            ("device_overload_set_a", "overload"),
            ("device_trip_class", "class"),
            ("stop_mode", "stop:"),
            ("setting_recorded_on", "read"),
        ),
    ),
    "Protection": (
        "protection",
        (
            ("protection_kind", ""),
            ("protection_rating_a", ""),
            ("interrupting_ka", ""),
            ("overload_place", "overload:"),
        ),
    ),
    "Bus": ("bus", (("bus", ""), ("bus_voltage_v", ""), ("fault_current_ka", "fault current"))),
    "Bypass": ("bypass", (("bypass_arrangement", ""), ("bypass_starts_by", "starts by"))),
    "Control": (
        "control",
        (("control_scheme", ""), ("emergency_stop", "emergency stop:"), ("local_stop", "stop in sight:")),
    ),
}


def summary(known: Mapping[str, Any]) -> RenderableType:
    """The lines that matter first; what nobody has entered is said, in grey."""
    tables = known["tables"]
    place = tables.get("position", {})
    practice = tables.get("site", {}).get("practice")
    about = (place.get("description"), place.get("area"), place.get("bus"), place.get("criticality"))
    head = Text(f"{known['tag']}  ", style="bold")
    head.append(", ".join(filter(None, about)) or "nothing but its tag is known", style="not bold")
    made = table("", "")
    made.show_header = False
    for title, (name, wanted) in LINES.items():
        row = tables.get(name)
        said = ", ".join(_said(row, wanted, practice)) if row else ""
        made.add_row(Text(title, style="bold"), said or Text("not entered", style=STYLES["unknown"]))
    if known["records"]:
        made.add_row(Text("Checks", style="bold"), ", ".join(_checks(known["records"])))
    unknown = sum(value is None for name, _ in LINES.values() for value in tables.get(name, {}).values())
    return Group(
        head,
        Text(),
        made,
        Text(),
        Text(f"{unknown} fields of these are not known.", style="dim"),
        follow("show", known["tag"], "--all", label="All of it"),
        follow("explain", known["tag"], label="Findings"),
    )


def _said(row: Mapping[str, Any], wanted: tuple[tuple[str, str], ...], practice: str | None) -> Iterator[str]:
    for name, before in wanted:
        value = row.get(name)
        if value is None:
            continue
        column = columns.column(name)
        text = power(value, practice).split(" (")[0] if name == "power_kw" else shown(value, column.unit)
        yield f"{before} {text}".strip()


def _checks(records: list[dict[str, Any]]) -> Iterator[str]:
    """The latest of each kind."""
    latest: dict[str, dict[str, Any]] = {}
    for record in records:
        kind = record["record_kind"]
        if (record["done_on"] or "") >= (latest.get(kind, {}).get("done_on") or ""):
            latest[kind] = record
    for kind, record in latest.items():
        yield f"{kind} {record['done_on'] or 'without a day'}"
