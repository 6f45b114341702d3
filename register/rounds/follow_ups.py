"""Questions that depend on the answer to another: asked only where they apply."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from register import columns

_FUSES = ("fuse", "time-delay fuse", "semiconductor fuse", "fuse and breaker")
_BREAKERS = ("inverse-time breaker", "instantaneous breaker", "fuse and breaker")
_BYPASSES = ("two-contactor", "three-contactor", "standby starter")


@dataclass(frozen=True, slots=True)
class Condition:
    """A question applies where `column` has one of these words; a number has to be more than `more_than`."""

    column: str
    words: tuple[str, ...] = ()
    more_than: float | None = None


# fmt: off
# What follows from what: how such circuits are built, common practice.
_FOLLOW: tuple[tuple[Condition, tuple[str, ...]], ...] = (
    (Condition("overload_place", ("relay",)),
     ("relay_set_a", "relay_min_a", "relay_max_a", "relay_trip_class", "relay_reset", "relay_for_drive", "relay_leg",
      "relay_side", "relay_compensated", "relay_trip_lr_s")),
    (Condition("overload_place", ("device",)), ("device_overload_set_a", "device_trip_class", "overload_reset")),
    (Condition("protection_kind", _FUSES), ("fuse_class",)),
    (Condition("protection_kind", _BREAKERS), ("instantaneous_a", "instantaneous_electronic")),
    (Condition("protection_kind", tuple(dict.fromkeys((*_FUSES, *_BREAKERS)))),
     ("protection_rating_a", "interrupting_ka")),
    (Condition("bypass_arrangement", _BYPASSES),
     ("bypass_starts_by", "bypass_own_overload", "bypass_own_line_protection", "bypass_contactor_category",
      "bypass_interlock", "bypass_isolated", "bypass_contactor_a", "relay_in_both_paths")),
    (Condition("bypass_starts_by", ("soft starter",)), ("bypass_start_mode",)),
    (Condition("bypass_starts_by", ("soft starter", "drive")), ("bypass_ramp_s", "bypass_current_limit_xfla")),
    (Condition("bypass_start_mode", ("voltage ramp", "limited ramp")), ("bypass_initial_voltage_pct",)),
    (Condition("bypass_start_mode", ("torque ramp",)),
     ("bypass_initial_torque_pct", "bypass_final_torque_pct", "bypass_after_torque_ramp")),
    (Condition("bypass_own_overload", ("yes",)), ("bypass_overload_set_a", "bypass_trip_class")),
    (Condition("bypass_own_line_protection", ("yes",)), ("bypass_protection_kind", "bypass_protection_rating_a")),
    (Condition("hazardous_area", ("yes",)), ("area_class", "ex_protection", "te_s")),
    (Condition("inching", ("yes",)), ("inchings_per_10min",)),
    (Condition("start_mode", ("voltage ramp", "limited ramp")), ("initial_voltage_pct",)),
    (Condition("start_mode", ("current limit", "limited ramp")), ("current_limit_xfla",)),
    (Condition("start_mode", ("torque ramp",)), ("initial_torque_pct", "final_torque_pct", "after_torque_ramp")),
    (Condition("control_scheme", ("network", "both")), ("control_protocol", "comms_loss_action", "comms_loss_need")),
    (Condition("speed_need", ("two-speed",)), ("second_fla_a", "second_overload_set_a")),
    (Condition("motors_on_device", more_than=1), ("own_overloads", "other_motors_a")),
    (Condition("thermal_device", ("thermostat", "PTC thermistor", "RTD", "thermal protector")), ("thermal_stops",)),
    (Condition("capacitor_kvar", more_than=0), ("capacitor_side",)),
)
# fmt: on
CONDITION = {name: condition for condition, names in _FOLLOW for name in names}


def follow_ups(column: str) -> Iterator[str]:
    """The columns that apply, or not, by the answer to this one.

    >>> list(follow_ups("inching"))
    ['inchings_per_10min']
    """
    return (name for name, condition in CONDITION.items() if condition.column == column)


def applies(name: str, value: object) -> bool:
    """Whether a question applies, given the value of the column that it depends on."""
    condition = CONDITION[name]
    if condition.more_than is not None:
        return isinstance(value, int | float) and value > condition.more_than
    return value in condition.words


assert all(name in columns.FACTS for name in (*CONDITION, *(c.column for c in CONDITION.values())))
