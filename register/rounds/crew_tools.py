"""What a crew brings for a task: the tool, and the range that it needs at that position.

The tools are common practice. The voltage of an insulation tester is that of IEEE 43-2000, the guideline table for the
test's direct voltage by the winding's rated voltage, up to 12 kV (seen in a maker of test instruments' extract,
handheldtesttools.blogs.keysight.com, August 2014): 500 V; 500 to 1000 V; 1000 to 2500 V; 2500 to 5000 V.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import ceil, floor, log10
from typing import Any

# Upper end of the rated voltage of the winding [V], the direct voltage of the test.
INSULATION_TEST = ((1000, "500 V"), (2500, "500 to 1000 V"), (5000, "1000 to 2500 V"), (12000, "2500 to 5000 V"))
# A clamp meter has to show the running current with room for an overload; common practice.
ROOM = 1.5
# A trip test injects a multiple of the setting; at three times every class has a time to compare with.
INJECTED = 3.0
NOT_KNOWN = "read its range off the plate first"
DEAD = ("outage of the lineup", "panel open", "stopped")


@dataclass(frozen=True, slots=True)
class Measured:
    """What is measured at a task, in which unit."""

    ask: str
    unit: str


# What is different where the lineup itself is worked on; common practice.
LINEUP_CAUTION = {
    "insulation test": "Before the test, disconnect soft starters, drives, electronic relays, meters, surge arresters;"
    " keep everyone off the bus bars while it lasts, and discharge them after it.",
    "breaker test": "The line side of a main breaker stays live until what feeds it is isolated too: isolate and lock"
    " out upstream, and prove dead on both sides.",
    "connections verified": "By the maker's torques and method, on bus bars proved dead section by section.",
    "thermography": "Covers taken off a live bus are energised work: only where the site's electrical permit, the"
    " clothing and the distance allow it; else through windows, or not at all.",
}
MEASURED = {
    "thermography": Measured("load current at the look", "A"),
    "insulation test": Measured("insulation resistance after one minute", "MΩ"),
    "contact resistance test": Measured("contact resistance, the highest of the poles", "µΩ"),
    "connections verified": Measured("torque applied", "N·m"),
    "trip test": Measured("time to trip", "s"),
}


def tools(task: str, needs: str, row: Mapping[str, Any], *, of_lineup: bool = False) -> Iterator[str]:
    """The tools for a task at a position or `of_lineup`, with the range where one is needed.

    `row` has fla_a, motor_voltage_v, bus_voltage_v, overload_a, where they are known; of a lineup its load as fla_a.

    >>> list(tools("insulation test", "stopped", {"motor_voltage_v": 460, "bus_voltage_v": 480}))
    ['insulation tester, 500 V', 'voltage tester for 480 V, with a source to prove it on', 'locks and tags']
    >>> list(tools("thermography", "running", {"fla_a": 96}))
    ['infrared camera', 'clamp meter to 150 A or more']
    """
    current = row.get("fla_a")
    if task == "thermography":
        yield "infrared camera"
        yield f"clamp meter to {_round_up(current * ROOM)} A or more" if current else f"clamp meter: {NOT_KNOWN}"
    elif task == "insulation test":
        volts = row.get("motor_voltage_v")
        test = next((test for most, test in INSULATION_TEST if volts and volts < most), None)
        unread = "by the maker's voltage for the bus bars" if of_lineup else NOT_KNOWN
        yield f"insulation tester, {test}" if test else f"insulation tester: {unread}"
    elif task == "trip test":
        set_a = row.get("overload_a") or current
        yield f"current source to {_round_up(set_a * INJECTED)} A" if set_a else f"current source: {NOT_KNOWN}"
        yield "stopwatch"
    yield from _PLAIN.get(task, ())
    if needs in DEAD:
        volts = row.get("bus_voltage_v") or row.get("motor_voltage_v")
        what = f"voltage tester for {volts:g} V" if volts else "voltage tester for the voltage of the lineup"
        yield f"{what}, with a source to prove it on"
        yield "locks and tags"


_PLAIN = {
    "cleaning": ("vacuum cleaner with a brush that is no conductor", "filters"),
    "connections verified": ("torque wrench, with the makers' torques",),
    "contact resistance test": ("low-resistance ohmmeter, 10 A or more",),
    "breaker test": ("the maker's test set or instructions",),
    "parameter backup": ("computer and cable with the maker's program",),
    "visual inspection": ("torch", "camera"),
    "hazardous area inspection": ("certificates and the last inspection report",),
    "bypass test": ("stopwatch",),
    "emergency stop test": ("the list of what each stop has to stop",),
}


def _round_up(value: float) -> str:
    """A meter's range as it is made: 1, 1.5, 2, 3, 5, 7.5 or 10 times a power of ten.

    >>> _round_up(144.0), _round_up(31.0), _round_up(0.9)
    ('150', '50', '1')
    """
    power = 10.0 ** floor(log10(value))
    steps = (1, 1.5, 2, 3, 5, 7.5, 10)
    return f"{next(s for s in steps if ceil(value / power * 1e6) <= s * 1e6) * power:g}"
