"""Where a person stands to read a column, and what has to be open or off for it."""

from __future__ import annotations

from dataclasses import dataclass

from register.audit.report import read_at

EYES, PANEL_OPEN, OUTAGE = "eyes", "panel open", "outage"
CUBICLE, MOTOR, PLACE, OPERATOR, OFFICE = "cubicle", "motor", "place", "operator", "office"

CAUTION = (
    "A panel is opened, and a motor taken out of service, by qualified people only, with permit and lockout as local "
    "codes ask: nothing here asks anyone to open a live panel."
)

# By where `read_at` says that a column is read. What stands on papers needs no more than eyes.
_STANDS = {
    "the process, with its operator": (OPERATOR, EYES),
    "the motor's nameplate": (MOTOR, EYES),
    "the place itself": (PLACE, EYES),
    "the place itself, on a hot day": (PLACE, EYES),
    "a clamp meter, by licensed people": (CUBICLE, PANEL_OPEN),
    "the starter's cubicle": (CUBICLE, PANEL_OPEN),
    "the device's nameplate": (CUBICLE, PANEL_OPEN),
    "the device's own display": (CUBICLE, EYES),
    "the lineup's nameplate or the power study": (OFFICE, EYES),
}
# What can be seen with the door shut, and what only with the motor off and locked out.
# fmt: off
_DOOR_SHUT = {"disconnect_in_sight", "disconnect_lockable", "controller_disconnect_in_sight"}
_NOT_RUNNING = {"motor_leads", "device_connection", "ct_primary_a", "own_overloads", "relay_leg", "relay_side"}
_AT_THE_MOTOR = {"local_stop", "emergency_stop", "motor_ambient_c"}
_AT_THE_DOOR = {"hand_off_auto", "device_place", "ambient_c"}
_OPERATOR_KNOWS = {"automatic_control", "restarts_by_itself"}
_PAPERS = {
    "hazardous_area", "area_class", "drive_certificate", "cable_size", "cable_r_ohm_per_km", "cable_x_ohm_per_km",
    "input_cable_ampacity_a", "measured_start_on", "measured_start_s", "measured_start_peak_a", "measured_start_curve",
}
# fmt: on


@dataclass(frozen=True, slots=True)
class Stand:
    """Where one stands (cubicle, motor, place, operator, office), at what, and whether eyes are enough for it."""

    where: str
    at: str
    needs: str


def stand(name: str) -> Stand:
    """Where a column is read, at what, and what that needs.

    >>> stand("relay_set_a")
    Stand(where='cubicle', at="the starter's cubicle", needs='panel open')
    >>> stand("fla_a").where, stand("ramp_s").needs, stand("trip_test_on").where
    ('motor', 'eyes', 'office')
    """
    at = read_at(name)
    if name in _PAPERS:
        return Stand(OFFICE, "the plant's drawings and records", EYES)
    if name in _AT_THE_MOTOR:
        return Stand(PLACE, "the motor and its surroundings", EYES)
    if name in _AT_THE_DOOR:
        return Stand(CUBICLE, "the starter's cubicle", EYES)
    if name in _OPERATOR_KNOWS:
        return Stand(OPERATOR, "the process, with its operator", EYES)
    where, needs = _STANDS.get(at, (OFFICE, EYES))
    if name in _DOOR_SHUT:
        needs = EYES
    elif name in _NOT_RUNNING:
        needs = OUTAGE
    return Stand(where, at, needs)
