"""A sheet of device types, a row each: its headings speak of the type, not of a motor or a position."""

from __future__ import annotations

from dataclasses import replace

from register.columns import COLUMNS
from register.columns.languages.patterns import ASSET, NOTE
from register.intake import concepts
from register.intake.cells import as_text
from register.intake.evidence import ENOUGH, cells_of, fit
from register.intake.heading_units import unit_of
from register.intake.headings import KEPT, PASSED_OVER, STOCK, SURE, UNKNOWN, UNSURE, Header, Heading
from register.intake.sheet import Sheet
from register.intake.stock import counts

# What a heading of a motor list means above a type's own values.
OF_A_TYPE = {
    "fla_a": "rated_current_a",
    "power_kw": "device_power_kw",
    "relay_trip_class": "trip_classes",
    "starts_per_hour": "starts_per_hour_max",
    "motor_maker": "model_maker",
    "motor_enclosure": "device_enclosure",
    "control_voltage_v": "device_control_voltage_v",
    "relay_min_a": "overload_min_a",
    "relay_max_a": "overload_max_a",
    "altitude_m": "altitude_max_m",
    "cable_length_m": "motor_cable_max_m",
}
VOLTAGES = ("device_power_v", "voltage_max_v", "voltage_min_v")
OF_ANYTHING = {"model", "model_maker", "price", "lead_time_days", "spare_part_number"}
OF_A_MOTOR = {"motor", "speed_rpm", "poles", "frame", "efficiency_pct", "power_factor", "service_factor"}


def settled(sheet: Sheet, header: Header) -> Header:
    """The headings, with the type and the kind told apart by their cells; those of a sheet of types read as such."""
    if header.verbatim:
        return header
    header = _kind_beside_model(sheet, header)
    return _of_types(sheet, header) if _is_catalogue(header) else header


def _kind_beside_model(sheet: Sheet, header: Header) -> Header:
    """Of two headings for the catalogue number, the one above ways of starting is the kind."""
    sure = {h.meant.name for h in header.sure()}
    rivals = [h for h in header.headings if h.state == UNSURE and h.candidates == ("model",)]
    if "device_kind" in sure or "model" in sure or len(rivals) != 2:
        return header
    kind = COLUMNS["device_kind"]
    told = [h for h in rivals if fit(kind, cells_of(sheet, header, h.index)) >= ENOUGH]
    if len(told) != 1:
        return header
    other = next(h for h in rivals if h is not told[0])
    made = {
        told[0].index: replace(told[0], state=SURE, column=kind, candidates=(kind.name,), why=""),
        other.index: replace(other, state=SURE, column=COLUMNS["model"], why=""),
    }
    return replace(header, headings=tuple(made.get(h.index, h) for h in header.headings))


def _is_catalogue(header: Header) -> bool:
    sure = {h.meant.name for h in header.sure()}
    if "model" not in sure or "tag" in sure or sure & OF_A_MOTOR or any(h.kept == ASSET for h in header.headings):
        return False
    counted = any(h.kept == STOCK for h in header.headings)
    return counted or any(COLUMNS[name].table == "model" for name in sure - OF_ANYTHING)


def _of_types(sheet: Sheet, header: Header) -> Header:
    taken = {h.meant.name for h in header.sure()}
    made = []
    for heading in header.headings:
        if not (heading.answer.column or heading.exact):
            heading = _of_type(sheet, header, heading, taken)
            if heading.state == SURE:
                taken.add(heading.meant.name)
        made.append(heading)
    return replace(header, headings=tuple(made))


def _of_type(sheet: Sheet, header: Header, heading: Heading, taken: set[str]) -> Heading:
    said = (heading.column.name,) if heading.column else heading.candidates
    if "motor_voltage_v" in said:
        names = tuple(n for n in VOLTAGES if n not in taken)
        why = "a type may have several voltages"
        return replace(heading, state=UNSURE, column=None, candidates=names or (NOTE,), why=why)
    own = next((n for s in said for n in (OF_A_TYPE.get(s), s if s in OF_A_TYPE.values() else None) if n), None)
    if own and own not in taken and heading.state != PASSED_OVER:
        column = COLUMNS[own]
        unit = unit_of(heading.text, column, heading.answer)
        return replace(heading, state=SURE, column=column, candidates=(own,), unit=unit, why="")
    if heading.kept == NOTE and _counts(sheet, header, heading):
        why = "it may count devices in store"
        return replace(heading, state=UNSURE, candidates=(STOCK,), kept="", why=why)
    if "description" in said or (heading.state == KEPT and not _counts(sheet, header, heading)):
        return replace(heading, state=UNKNOWN, column=None, candidates=(), kept="", why="")
    if "tag" in said:
        return _item(sheet, header, heading, taken)
    return heading


def _counts(sheet: Sheet, header: Header, heading: Heading) -> bool:
    of_stock = heading.kept == STOCK or STOCK in concepts.said_by(heading.text)
    return of_stock and counts(heading.text, map(as_text, cells_of(sheet, header, heading.index)))


def _item(sheet: Sheet, header: Header, heading: Heading, taken: set[str]) -> Heading:
    """An item of a stores list: a running number, or the number under which the store keeps the type."""
    cells = [as_text(c) for c in cells_of(sheet, header, heading.index)]
    if cells and cells == [str(n) for n in range(1, len(cells) + 1)]:
        return Heading(heading.index, heading.text, PASSED_OVER, why="it numbers the lines")
    if "spare_part_number" in taken:
        return replace(heading, state=UNKNOWN, column=None, candidates=(), why="")
    return replace(heading, state=UNSURE, column=None, candidates=("spare_part_number",), why="it is no position's tag")
