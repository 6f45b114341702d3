"""Where a person stands for a question, in the order of the walk, and what is to be said there before anything else."""

from __future__ import annotations

from dataclasses import dataclass

from register.audit.report import read_at


@dataclass(frozen=True, slots=True)
class Station:
    """One of the parts of a round: where (`place`), what it needs (`needs`), and its words of safety.

    `lead` is the first of these, in bold; `walked` is False where nobody stands before a plate.
    """

    place: str
    needs: str
    lead: str
    safety: str
    walked: bool = True


CLOSED = Station("Lineup", "closed", "Panels stay closed.", "Read the display and the door. Do not change a setting.")
OPEN = Station(
    "Lineup", "open", "A panel has to be opened.",
    "Qualified people only, with a permit, by the local rules: isolate, lock out, prove dead. Never open a live panel"
    " for a reading. If it cannot be isolated, leave the question.",
)  # fmt: skip
MOTOR = Station(
    "Motor", "outside", "Keep clear of moving parts.",
    "It may start without warning. Read from outside the guards; reach for a plate, or wipe it, only when the machine"
    " is locked out.",
)  # fmt: skip
OPERATOR = Station("Operator", "ask", "", "Ask the person who runs the machine.", walked=False)
DESK = Station(
    "Desk", "papers", "", "From drawings, makers' papers, studies and records. Nothing here asks anyone to measure.",
    walked=False,
)  # fmt: skip
STATIONS = (CLOSED, OPEN, MOTOR, OPERATOR, DESK)

_AT = {
    "the device's own display": CLOSED,
    "the starter's cubicle": OPEN,
    "the device's nameplate": OPEN,
    "the motor's nameplate": MOTOR,
    "the process, with its operator": OPERATOR,
}
# fmt: off
_OWN = {
    **dict.fromkeys(("device_place", "ambient_c", "disconnect_in_sight", "disconnect_lockable", "hand_off_auto",
                     "controller_disconnect_in_sight"), CLOSED),
    **dict.fromkeys(("motor_place", "motor_ambient_c", "local_stop", "emergency_stop"), MOTOR),
    **dict.fromkeys(("automatic_control", "restarts_by_itself"), OPERATOR),
    # What takes a measurement, or a study, is on paper or it waits.
    **dict.fromkeys(("hazardous_area", "area_class", "drive_certificate", "input_cable_ampacity_a", "cable_size",
                     "cable_r_ohm_per_km", "cable_x_ohm_per_km", "running_current_a", "running_current_at",
                     "measured_start_on", "measured_start_s", "measured_start_peak_a", "measured_start_curve"), DESK),
}
# fmt: on


def on_paper(column: str) -> str:
    """Which paper has a value that is asked at the desk.

    >>> on_paper("cable_length_m"), on_paper("hazardous_area")
    ('the cable schedule', "the plant's drawings and records")
    """
    return "the plant's drawings and records" if column in _OWN else read_at(column)


def station(column: str) -> Station:
    """Where a column is read; the desk where nothing in the plant shows it.

    >>> station("ramp_s").needs, station("relay_set_a").needs, station("fla_a").place, station("cable_length_m").place
    ('closed', 'open', 'Motor', 'Desk')
    """
    return _OWN.get(column) or _AT.get(read_at(column), DESK)
