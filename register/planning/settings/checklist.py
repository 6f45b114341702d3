"""Putting a device in service: the steps in their order, and which of them are done."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Any

from sqlite_utils import Database

from register.planning.model import BYPASSED, Checklist, CommissioningStep
from register.planning.replace.installed import HERE, Installed, installed
from register.store.queries import position
from register.text import shown

ISOLATE = (
    "Line, bypass, control supply and what may feed back: off, locked, tagged, and proved dead "
    "with a meter proved before and after. Wait for capacitors as the label says. Arc flash: "
    "dressed as the door's label asks."
)
INSULATION = "Motor and cable to earth, the device's leads off: its electronics do not withstand the test."
CONNECTIONS = (
    "Line and load side not exchanged, earth on; every power and control terminal to its stated "
    "torque, and marked; motor links and current transformers as the drawing says"
)
SAFETY = "Emergency stop and local stop cut it off; guards on, interlocks work; nothing starts it by itself"
PARAMETERS = "The settings of the sheet entered, each read back and compared by a second person."
BACKUP = "A copy of the parameters saved where the next one finds it."
CLEAR = (
    "Panel closed, covers on, nobody near cubicle or machine, then the line on from a distance. "
    "Nothing runs, smells or shows a fault."
)
BUMP = (
    "Load free to turn either way, or uncoupled. On and off at once; watch the shaft. Wrong way: "
    "isolate, swap two leads at the motor side, and bump again"
)
LOAD = "Started under its load with everyone clear; time it, read the highest current."
TRIP = "The overload seen to trip, by its test key or as its maker says; settings put back."
BYPASS = "Started on its bypass too: same direction, its own protection works."


def checklist(db: Database, tag: str, *, today: date, device: str | None = None, model: str | None = None) -> Checklist:
    """The steps to put the device at a position in service, or another that would be installed there.

    Raises StartrollError for an unknown tag, device or model, and where none is installed.
    """
    there = installed(db, tag, device=device, model=model, today=today.isoformat())
    return of(position(db, tag), there, today=today)


def of(at: Mapping[str, Any], there: Installed, *, today: date, expected: str = "") -> Checklist:
    """The steps at a position, as `reading.position` gives it.

    `expected` says in words what the start under load should show.
    """
    rows = at["tables"]
    return Checklist(
        tag=at["tag"],
        description=rows["position"]["description"] or "",
        device=there.words,
        steps=tuple(_steps(at, there, expected)),
        today=today.isoformat(),
    )


def _steps(at: Mapping[str, Any], there: Installed, expected: str) -> Iterator[CommissioningStep]:
    rows = at["tables"]
    control, bypass = rows.get("control", {}), rows.get("bypass", {})
    volts = control.get("control_voltage_v")
    volts = f"; control supply {shown(volts, 'V')}." if volts else "."
    restarts = " (it may: restarts_by_itself is yes)." if control.get("restarts_by_itself") == "yes" else "."
    also = "; then the bypass's direction." if _has_bypass(bypass) else "."
    plan = [
        ("Isolate", ISOLATE, ""),
        ("Insulation", INSULATION, "insulation test"),
        ("Connections", CONNECTIONS + volts, "connections verified"),
        ("Safety", SAFETY + restarts, "safety checks"),
        ("Parameters", PARAMETERS, "parameters reviewed"),
        ("Copy", BACKUP, "parameter backup"),
        ("Close and clear", CLEAR, ""),
        ("Bump", BUMP + also, "bump test"),
        ("Load", f"{LOAD} {expected}".strip(), "load test"),
        ("Trip", TRIP, "trip test"),
    ]
    if _has_bypass(bypass):
        plan.append(("Bypass", BYPASS, "bypass test"))
    for name, what, kind in plan:
        last, done = _last(at["records"], kind, rows, there) if kind else ("", False)
        yield CommissioningStep(name, what, kind, last, done)


def _has_bypass(bypass: Mapping[str, Any]) -> bool:
    return bypass.get("bypass_arrangement") in BYPASSED


def _last(
    records: Iterable[Mapping[str, Any]], kind: str, rows: Mapping[str, Any], there: Installed
) -> tuple[str, bool | None]:
    """The latest record of a kind in words, and whether it passed since device and motor came."""
    own = [r for r in records if r["record_kind"] == kind]
    if not own:
        return "never recorded", False
    latest = max(own, key=lambda r: (r["done_on"], r["record_id"]))
    value = shown(latest["value"], latest["value_unit"] or "") if latest["value"] is not None else ""
    words = [latest["result"], value, latest["done_on"], latest["done_by"] or ""]
    record = ", ".join(word for word in words if word)
    if there.source != HERE:
        return f"{record}, before this device", False
    if latest["result"] != "passed":
        return record, False
    return _since(record, latest["done_on"], rows)


def _since(record: str, on: str, rows: Mapping[str, Any]) -> tuple[str, bool | None]:
    unread = []
    for asset in ("device", "motor"):
        installed = rows.get(asset, {}).get(f"{asset}_installed_on")
        if installed is None:
            unread.append(f"{asset}_installed_on")
        elif on < installed:
            return f"{record}, before this {asset} came on {installed}", False
    if unread:
        return f"{record}; whether since then is unknown: read {', '.join(unread)}", None
    return record, True
