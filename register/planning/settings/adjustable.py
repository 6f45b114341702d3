"""The adjustable settings of a position, and the values that each can be given: settings first, then hardware."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import floor, inf
from typing import Any

from register.columns import FACTS
from register.facts.standard_tables import load_tables
from register.planning.settings import options
from register.rulebook.model import Pack
from register.rulebook.run.limit_layers import LimitLayers
from register.starts.words import not_a_cage
from register.text import shown

Facts = Mapping[str, Any]
Values = Iterable[Any]
LIMITS = ("limit_margin", "inside_delta_share", "electronic_peak", "first_half_cycle")
GRID_XFLA = 0.25  # between the current limits tried
TRIP_MULTIPLES = tuple(0.5 * half for half in range(10, 35))
# IEC 60059, standard current ratings [A] (from memory).
# fmt: off
IEC_RATINGS_A = (2, 4, 6, 10, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400,
                 500, 630, 800, 1000, 1250)
# fmt: on
# What stands between a motor and its burning.
GUARDS = ("device_overload_set_a", "device_trip_class", "relay_set_a", "relay_trip_class")


@dataclass(frozen=True)
class Change:
    """One column of a position set otherwise; `hardware` where no setting does it."""

    column: str
    before: Any
    value: Any
    hardware: bool = False

    @property
    def size(self) -> float:
        """The share by which it changes what was set before; 1 for a word, and where nothing was known."""
        if isinstance(self.before, int | float) and self.before and not isinstance(self.value, str):
            return abs(self.value - self.before) / abs(self.before)
        return 1.0

    @property
    def loosens(self) -> bool:
        """True where an overload lets more through, or for longer, than before."""
        if self.column not in GUARDS or self.before is None:
            return False
        choices = FACTS[self.column].choices
        return (choices.index(self.value) > choices.index(self.before)) if choices else self.value > self.before

    def __str__(self) -> str:
        unit = FACTS[self.column].unit
        return f"{self.column}: {shown(self.before, unit)} → {shown(self.value, unit)}"


def changes(facts: Facts, pack: Pack, sheet: Facts | None = None) -> tuple[Change, ...]:
    """Everything that can be set otherwise at a position with these facts, settings before hardware.

    `sheet` are the settings that its sheet would give; each of these is an option too. Only what is
    known to be there is set: a mode or a trip class that the catalogue entry does not list is no
    option, nor is a value outside the device's own range.
    """
    laid = LimitLayers(pack, LIMITS)
    limits = {n: laid.told(n, facts["tag"], facts["area"])[0] for n in LIMITS}
    found: dict[tuple[str, Any], Change] = {}
    for hardware, sources in ((False, SETTINGS), (True, HARDWARE)):
        for column, values in sources.items():
            own = () if hardware or column not in (sheet or {}) else (sheet[column],)
            for value in (*own, *values(facts, limits)):
                if is_believable(column, value) and value != facts[column]:
                    change = Change(column, facts[column], value, hardware)
                    found.setdefault((column, value), change)
    return tuple(found.values())


def is_believable(name: str, value: Any) -> bool:
    """True where the dictionary lets a column have that value."""
    column = FACTS[name]
    if column.choices:
        return value in column.choices
    return not column.is_number or (value == value and column.low <= value <= column.high)


def _is(facts: Facts, *kinds: str) -> bool:
    return facts["device_kind"] in kinds


def _electronic(facts: Facts) -> bool:
    return _is(facts, "soft starter", "drive")


def _current_limits(facts: Facts, limits: Facts) -> Iterator[float]:
    """A grid over the device's range, and the least that starts the load with the rule's margin."""
    if not _electronic(facts):
        return
    low = facts["current_limit_min_xfla"] or options.LEAST_LIMIT_XFLA
    high = facts["current_limit_max_xfla"] or options.MOST_LIMIT_XFLA
    grid = [GRID_XFLA * n for n in range(1, round(options.MOST_LIMIT_XFLA / GRID_XFLA) + 1)]
    lowest = ("lowest_limit_xfla", "lowest_limit_high_xfla") if not not_a_cage(facts["motor_type"]) else ()
    starting = [facts[n] for n in lowest if facts[n]]
    margin = limits["limit_margin"]
    least = [round(float(options.step_up(limit * margin)), 2) for limit in starting if margin]
    yield from (value for value in (*least, *grid, low, high) if low <= value <= high)


def _of(kinds: tuple[str, ...], values: tuple, modes: tuple[str, ...] = ()) -> Callable:
    """The same values with every such device; in some start modes only."""

    def values_of(facts: Facts, limits: Facts) -> Values:
        offered = {*options.listed(facts["start_modes"]), facts["start_mode"]}
        return values if _is(facts, *kinds) and (not modes or offered & set(modes)) else ()

    return values_of


def _ramps(facts: Facts, limits: Facts) -> Values:
    if not _electronic(facts):
        return ()
    longest = facts["duty_code_time_s"] or inf if _is(facts, "soft starter") else inf
    own = () if longest == inf else (float(floor(longest)),)
    return (*own, *(s for s in options.RAMP_STEPS_S if s <= longest))


def _overload(facts: Facts, limits: Facts, low: str, high: str) -> Iterator[float]:
    """The motor's current, what flows in the delta, and the most that practice permits."""
    asked = [facts["overload_current_a"], facts["fla_a"], facts["overload_set_max_a"]]
    if facts["device_connection"] == "inside delta":
        asked += [a and a * limits["inside_delta_share"] for a in asked]
    for value in asked:
        if value and (facts[low] or 0.0) <= value <= (facts[high] or inf):
            yield _down(value)


def _down(value: float) -> float:
    """Three figures, never above: a setting may not exceed its limit by being rounded."""
    for digits in (2, 1, 0):
        if value < 10 ** (3 - digits):
            return floor(value * 10**digits + 1e-9) / 10**digits
    return float(floor(value))


def _device_overload(facts: Facts, limits: Facts) -> Values:
    built_in = facts["device_overload"] == "built in" and facts["overload_place"] != "relay"
    return _overload(facts, limits, "overload_min_a", "overload_max_a") if built_in else ()


def _relay_overload(facts: Facts, limits: Facts) -> Values:
    return _overload(facts, limits, "relay_min_a", "relay_max_a") if facts["overload_place"] == "relay" else ()


def _motor_current(facts: Facts, limits: Facts) -> Iterator[float]:
    if _electronic(facts) and facts["fla_a"]:
        yield facts["fla_a"]
        if (facts["motors_on_device"] or 1) > 1:
            yield facts["fla_a"] * facts["motors_on_device"]


def _instantaneous(facts: Facts, limits: Facts) -> Iterator[float]:
    """Where a breaker has that setting: multiples of the motor's current, and the code's most."""
    has = facts["protection_kind"] in ("instantaneous breaker", "inverse-time breaker")
    if has and facts["instantaneous_a"] and facts["fla_a"]:
        most = facts["branch_limit_a"]
        if most and facts["protection_kind"] == "instantaneous breaker":
            yield _down(most)
        yield from (_down(multiple * facts["fla_a"]) for multiple in TRIP_MULTIPLES)


def _ratings(facts: Facts, limits: Facts) -> Values:
    """Standard sizes from the motor's current to the largest that code and device permit."""
    if not facts["fla_a"] or facts["protection_kind"] in (None, "none"):
        return ()
    most = min(facts["branch_limit_a"] or inf, facts["line_protection_max_a"] or inf)
    standard = load_tables()["standard-ratings"].columns["rating_a"]
    sizes = standard if facts["practice"] == "us" else IEC_RATINGS_A
    fitting = [float(size) for size in sizes if facts["fla_a"] <= size <= most]
    return fitting[-4:] if most < inf else ()


def _where(holds: Callable[[Facts], Any], values: Callable[[Facts], Values]) -> Callable:
    """These values where something holds of the position, else none."""
    return lambda facts, limits: values(facts) if holds(facts) else ()


def _manual(name: str, place: str) -> Callable:
    return _where(lambda f: f[name] and f["overload_place"] == place, lambda f: ("manual",))


SOFT = ("soft starter",)
SETTINGS: dict[str, Callable[[Facts, Facts], Values]] = {
    "current_limit_xfla": _current_limits,
    "start_mode": _where(lambda f: _is(f, *SOFT), lambda f: options.listed(f["start_modes"])),
    "initial_voltage_pct": _of(SOFT, options.VOLTAGE_STEPS_PCT, options.RAMPED),
    "ramp_s": _ramps,
    "tap_pct": _of(("autotransformer",), options.TAPS_PCT),
    "transition_s": _of(("autotransformer", "star-delta"), options.TRANSITION_STEPS_S),
    "initial_torque_pct": _of(SOFT, options.INITIAL_TORQUE_STEPS_PCT, ("torque ramp",)),
    "final_torque_pct": _of(SOFT, options.FINAL_TORQUE_STEPS_PCT, ("torque ramp",)),
    "fla_set_a": _motor_current,
    "device_overload_set_a": _device_overload,
    "device_trip_class": _where(
        lambda f: f["device_overload"] == "built in", lambda f: options.listed(f["trip_classes"])
    ),
    "overload_reset": _manual("overload_reset", "device"),
    "comms_loss_action": _where(lambda f: _electronic(f) and f["comms_loss_need"], lambda f: (f["comms_loss_need"],)),
    "relay_set_a": _relay_overload,
    "relay_reset": _manual("relay_reset", "relay"),
    "instantaneous_a": _instantaneous,
}
HARDWARE: dict[str, Callable[[Facts, Facts], Values]] = {
    "relay_trip_class": _where(lambda f: f["overload_place"] == "relay", lambda f: FACTS["relay_trip_class"].choices),
    "protection_rating_a": _ratings,
    "semiconductor_fuses": _where(lambda f: f["semiconductor_fuse_required"] == "yes", lambda f: ("yes",)),
}
# Start modes in which a column has an effect.
ACTS_IN: dict[str, tuple[str, ...]] = {
    "current_limit_xfla": (*options.LIMITED, "torque ramp"),
    "initial_voltage_pct": options.RAMPED,
    "ramp_s": (*options.RAMPED, "torque ramp"),
    "initial_torque_pct": ("torque ramp",),
    "final_torque_pct": ("torque ramp",),
}
