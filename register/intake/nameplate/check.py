"""Does a plate confirm itself: closed lists, usual ratings, and the arithmetic between its numbers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import sqrt
from typing import Any

from register.columns import COLUMNS
from register.intake.nameplate.model import AGREES, ALONE, DOUBTED, SEVERAL, Proposal, Reading
from register.text import number

WITHIN = 0.02  # of each other: what rounding of five numbers on a plate leaves open (common practice)
BEYOND = 0.05  # one of them is misread, or does not belong to the others
FAR = 1.6  # times the usual, where efficiency or power factor is not on the plate
SAME_POWER = 0.025  # 15 kW and 20 hp are one rating
MOST_SLIP = 0.13  # at rated load, of the smallest cage motors
CLOSURE = ("power_kw", "motor_voltage_v", "fla_a", "efficiency_pct", "power_factor")
FREQUENCIES = (50.0, 60.0)  # IEC 60038; NEMA MG 1 is 60 Hz
# Rated voltages of motors on systems of IEC 60038 and ANSI C84.1, and the older ones; from memory.
# fmt: off
VOLTAGES = {110, 115, 120, 127, 200, 208, 220, 230, 240, 260, 265, 380, 400, 415, 420, 440, 460, 480, 500, 525, 550,
            575, 600, 660, 690, 725, 1000, 1100, 2300, 2400, 3000, 3300, 4000, 4160, 5000, 5500, 6000, 6300, 6600, 6900,
            10000, 10500, 11000, 13200, 13800}
# fmt: on


def proposals(found: Iterable[Reading]) -> tuple[Proposal, ...]:
    """Return what is proposed for each column, each with how far the plate confirms it.

    Examples
    --------
    >>> plate = dict(zip(CLOSURE, (15.0, 400.0, 285.0, 92.1, 0.84)))
    >>> proposals(Reading(name, value, "") for name, value in plate.items())[2].state
    'doubted'
    """
    own: dict[str, list[Reading]] = {}
    for reading in found:
        kept = own.setdefault(reading.column, [])
        if not any(_same(reading, other) for other in kept):
            kept.append(reading)
    doubts, agreed = _judged(own)
    made = []
    for name in sorted(own, key=list(COLUMNS).index):
        several = tuple(own[name])
        if name in doubts:
            state, why = DOUBTED, doubts[name]
        elif len(several) > 1:
            state, why = SEVERAL, ""
        else:
            state, why = (AGREES, agreed[name]) if name in agreed else (ALONE, "")
        made.append(Proposal(name, several, state, why))
    return tuple(made)


def _same(one: Reading, other: Reading) -> bool:
    if one.column == "power_kw" and one.value and other.value:
        return abs(one.value / other.value - 1) < SAME_POWER
    return bool(one.value == other.value)


def _judged(own: Mapping[str, Sequence[Reading]]) -> tuple[dict[str, str], dict[str, str]]:
    """Why columns are doubted, and what confirms others."""
    doubts: dict[str, str] = {}
    agreed: dict[str, str] = {}
    for row in range(max((len(readings) for readings in own.values()), default=0)):
        values = {name: _in_row(readings, row) for name, readings in own.items()}
        values = {name: value for name, value in values.items() if value is not None}
        for check in (_closure, _speed, _lists):
            wrong, right = check(values)
            doubts |= {name: why for name, why in wrong.items() if name not in doubts}
            agreed |= right
    return doubts, agreed


def _in_row(readings: Sequence[Reading], row: int) -> Any:
    """The value of a rating; where a column has but one value, it holds for all of them."""
    if len(readings) == 1:
        return readings[0].value
    return next((r.value for r in readings if r.row == row), None)


Said = tuple[dict[str, str], dict[str, str]]


def _closure(values: Mapping[str, Any]) -> Said:
    """Output against √3·V·I·η·cos φ (IEC 60034-1)."""
    if any(not values.get(name) for name in CLOSURE[:3]):
        return {}, {}
    power, volts, amps = (float(values[name]) for name in CLOSURE[:3])
    apparent = (1.0 if values.get("phases") == 1 else sqrt(3)) * volts * amps / 1000
    efficiency, factor = product = [values.get(name) for name in CLOSURE[3:]]
    if efficiency is not None and factor is not None:
        share = efficiency / 100 * factor
        off = power / (apparent * share)
        expected = f"{number(power)} kW at {number(volts)} V, with that η and cos φ, take {number(amps * off)} A"
        if abs(off - 1) > BEYOND:
            return dict.fromkeys(CLOSURE, f"{expected}; {number(amps)} A was read"), {}
        return {}, dict.fromkeys(CLOSURE, "kW, V, A, η and cos φ agree") if abs(off - 1) <= WITHIN else {}
    share = power / apparent
    known = [name for name in CLOSURE if values.get(name) is not None]
    if any(p is not None and share > (p / 100 if p > 1 else p) for p in product):
        return dict.fromkeys(known, "η and cos φ would have to be above 1"), {}
    import numpy as np

    from register.intake.crosscheck import usual_product

    usual = float(usual_product(np.array(power)))
    if not 1 / FAR < share / usual < FAR:
        about = number(power / usual * amps / apparent)
        why = f"a motor of {number(power)} kW at {number(volts)} V takes about {about} A; {number(amps)} A was read"
        return dict.fromkeys(known, why), {}
    return {}, {}


def _speed(values: Mapping[str, Any]) -> Said:
    """Rated speed against the synchronous speeds 120·f/p."""
    speed, frequency = values.get("speed_rpm"), values.get("motor_frequency_hz")
    if speed is None:
        return {}, {}
    frequencies = (frequency,) if frequency in FREQUENCIES else FREQUENCIES
    slips = [1 - speed * poles / (120 * f) for f in frequencies for poles in range(2, 26, 2)]
    if any(0 < slip < MOST_SLIP for slip in slips):
        return {}, {"motor_frequency_hz": "50 or 60 Hz, and the speed fits it"} if frequency in FREQUENCIES else {}
    given = f"at {number(frequency)} Hz" if frequency in FREQUENCIES else "at 50 or 60 Hz"
    why = f"no cage motor runs at {number(speed)} r/min under load {given}"
    return {name: why for name in ("speed_rpm", "motor_frequency_hz") if name in values}, {}


def _lists(values: Mapping[str, Any]) -> Said:
    wrong = {}
    for name, value in values.items():
        column = COLUMNS[name]
        if column.choices and value not in column.choices:
            wrong[name] = f"one of: {', '.join(column.choices)}"
    if values.get("motor_frequency_hz", 50.0) not in FREQUENCIES:
        wrong["motor_frequency_hz"] = "50 or 60 Hz is usual"
    if values.get("motor_voltage_v", 400.0) not in VOLTAGES:
        wrong["motor_voltage_v"] = "no usual rated voltage"
    if values.get("phases", 3) not in (1, 3):
        wrong["phases"] = "1 or 3"
    enclosure = str(values.get("motor_enclosure", ""))
    if enclosure.startswith("IP") and enclosure[2:4] not in IP_MARKS:
        wrong["motor_enclosure"] = "no degree of protection of motors"
    return wrong, {}


# Of IEC 60034-5: first figure 0 to 6, second 0 to 9; those that motors have (common practice).
IP_MARKS = {"00", "10", "11", "12", "13", "20", "21", "22", "23", "43", "44", "54", "55", "56", "57", "58", "65", "66",
            "67", "68", "69"}  # fmt: skip
