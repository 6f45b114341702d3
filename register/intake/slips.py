"""Slips of who types a value: a decimal mark lost, a current that the nameplate contradicts, a day that lies ahead."""

from __future__ import annotations

from collections.abc import Iterator
from math import log, log10, sqrt
from typing import TYPE_CHECKING, Any

from register.columns import Column
from register.errors import Problem, StartrollError
from register.store import clock
from register.store.queries import rows_at
from register.text import number, shown

if TYPE_CHECKING:
    from sqlite_utils import Database

NEAR_TEN = 0.01  # of a power of ten, in decades, within which a change looks like a lost decimal mark
PLATE = ("power_kw", "motor_voltage_v", "fla_a")
MOST_OFF = 2.5  # times what power, voltage and current of a motor usually give together
TURNING = ("speed_rpm", "poles", "motor_frequency_hz")
SLOWEST, SYNCHRONOUS_AND_ROUNDED = 0.85, 1.002  # of the synchronous speed, 120·f/p: slip of small and high-slip motors
SET_FROM_FLA = ("fla_set_a", "device_overload_set_a")
FAR_OFF = 5.0  # times the full-load current, beyond which a device is not set to it
# Days on which something was done: none of them can lie ahead.
DONE_ON = ("motor_installed_on", "device_installed_on", "setting_recorded_on", "measured_start_on", "done_on")


def refuse_slip(db: Database, tag: str, column: Column, value: Any) -> None:
    """Raise StartrollError with what makes a number look like a slip, and how to enter it all the same."""
    if not column.is_number or not value:
        return
    if why := slip(known_at(db, tag), column, value):
        said = shown(value, column.unit)
        raise StartrollError(
            Problem(f"{column.name} {said} at {tag} looks like a slip: {why}", "look again; if it is right, add --sure")
        )


def known_at(db: Database, tag: str) -> dict[str, Any]:
    """What is known at a position, by column."""
    return {name: held for row in rows_at(db, tag).values() for name, held in row.items() if held is not None}


def slip(known: dict[str, Any], column: Column, value: Any) -> str:
    """What makes a number look like a slip beside what is known at its position; empty where nothing does."""
    return "; ".join(_doubts(known, column, float(value))) if column.is_number and value else ""


def _doubts(known: dict[str, Any], column: Column, value: float) -> Iterator[str]:
    before = known.get(column.name)
    if before and before * value > 0:
        decades = log10(value / before)
        if round(decades) and abs(decades - round(decades)) < NEAR_TEN:
            times = f"{10 ** abs(round(decades)):g}"
            was = f"{shown(before, column.unit)}, known so far"
            yield f"it is {times} times {was}" if decades > 0 else f"{was}, is {times} times it"
    plate: dict[str, Any] = {name: known.get(name) for name in PLATE} | {column.name: value}
    if column.name in PLATE and all(plate[name] for name in PLATE):
        root = 1.0 if known.get("phases") == 1 else sqrt(3)
        power, volts, amps = (float(plate[name]) for name in PLATE)
        import numpy as np  # only this comparison needs it, and what follows

        from register.intake.crosscheck import usual_product

        usual = float(usual_product(np.array(power)))
        if abs(log(power * 1000 / (root * volts * amps) / usual)) > log(MOST_OFF):
            amount = shown(float(f"{power * 1000 / (root * volts * usual):.2g}"), "A")
            yield f"a motor of {number(power)} kW at {number(volts)} V takes about {amount}"
    turning: dict[str, Any] = {name: known.get(name) for name in TURNING} | {column.name: value}
    if column.name in TURNING and all(turning[name] for name in TURNING):
        speed, poles, hertz = (float(turning[name]) for name in TURNING)
        synchronous = 120 * hertz / poles
        if not SLOWEST * synchronous < speed <= SYNCHRONOUS_AND_ROUNDED * synchronous:
            yield f"a motor of {number(poles)} poles at {number(hertz)} Hz turns at just below {synchronous:.0f} r/min"
    fla = known.get("fla_a")
    if column.name in SET_FROM_FLA and fla and abs(log(value / fla)) > log(FAR_OFF):
        yield f"the motor's full-load current is {shown(fla, 'A')}"


def refuse_ahead(db: Database, name: str, day: str | None) -> None:
    """Raise StartrollError where a day on which something was done lies after the site's own day."""
    today = clock.today(db).isoformat()
    if name in DONE_ON and day is not None and day > today:
        raise StartrollError(
            Problem(
                f"{name}: {day} lies ahead, and on site it is {today}",
                "give the day on which it was done; what is only planned is entered when it is done",
            )
        )
