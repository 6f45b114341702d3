"""Where a person stands for a question, in the order of the walk, and what is to be said there before anything else."""

from __future__ import annotations

from dataclasses import dataclass

from register.audit.stands import CUBICLE, EYES, MOTOR, OPERATOR, OUTAGE, PANEL_OPEN, PLACE, stand


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
OUTSIDE = Station(
    "Motor", "outside", "Keep clear of moving parts.",
    "It may start without warning. Read from outside the guards; reach for a plate, or wipe it, only when the machine"
    " is locked out.",
)  # fmt: skip
ASKED = Station("Operator", "ask", "", "Ask the person who runs the machine.", walked=False)
DESK = Station(
    "Desk", "papers", "", "From drawings, makers' papers, studies and records. Nothing here asks anyone to measure.",
    walked=False,
)  # fmt: skip
STATIONS = (CLOSED, OPEN, OUTSIDE, ASKED, DESK)

# A crew's day goes by what is off: first what needs the machine running, last what needs the lineup dead.
RUNNING = Station(
    "Running", "nothing off", "Nothing is switched off.",
    "Panels stay closed, unless qualified people open one under the site's electrical permit, in the clothing and at"
    " the distance that its arc-flash label asks. Keep clear of moving parts: a machine may start without warning."
    " Before a test that starts or stops one, warn those nearby and agree it with the operator.",
)  # fmt: skip
STOPPED = Station(
    "Stopped", "motor off", "The motor is stopped and cannot be started.",
    "Agree it with the operator, isolate, lock out, try to start. For a setting alone, follow the maker's instructions;"
    " nobody stands near panel or machine at the next start: it may be harder or longer than before.",
)  # fmt: skip
OPENED = Station(
    "Panel", "isolated", "A panel is opened.",
    "Qualified people only, with a permit, by the local rules: isolate, lock out, prove dead at the place of work with"
    " a tester that is proved before and after. Control and heater supplies from elsewhere stay live; capacitors hold"
    " their charge. What cannot be isolated is left, and said so.",
)  # fmt: skip
LINEUP_OFF = Station(
    "Lineup", "dead", "The whole lineup is dead.",
    "Qualified people only, with a permit: every incomer isolated and locked out, a second feed and generators too;"
    " prove dead, and earth where local rules ask. Arc-flash clothing until that is done.",
)  # fmt: skip
OF_A_CREW = (RUNNING, STOPPED, OPENED, LINEUP_OFF)

_BY_STAND = {(CUBICLE, EYES): CLOSED, (CUBICLE, PANEL_OPEN): OPEN, (CUBICLE, OUTAGE): OPEN, (OPERATOR, EYES): ASKED}
_BY_PLACE = {MOTOR: OUTSIDE, PLACE: OUTSIDE}
# A round asks nobody to measure: what takes a measurement is on paper, or it waits.
_MEASURED = {"running_current_a", "running_current_at"}
_PAPERS = "the plant's drawings and records"


def on_paper(column: str) -> str:
    """Which paper has a value that is asked at the desk.

    >>> on_paper("cable_length_m"), on_paper("hazardous_area")
    ('the cable schedule', "the plant's drawings and records")
    """
    return _PAPERS if column in _MEASURED else stand(column).at


def station(column: str) -> Station:
    """Where a column is read; the desk where nothing in the plant shows it.

    >>> station("ramp_s").needs, station("relay_set_a").needs, station("fla_a").place, station("cable_length_m").place
    ('closed', 'open', 'Motor', 'Desk')
    """
    if column in _MEASURED:
        return DESK
    found = stand(column)
    return _BY_STAND.get((found.where, found.needs)) or _BY_PLACE.get(found.where, DESK)
