"""What a person accepts of a photographed plate, value by value; all else of it is never written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from register.columns import COLUMNS
from register.errors import Problem, StartrollError
from register.intake.correct import believed, set_value
from register.intake.match import is_unmarked
from register.intake.nameplate.check import proposals
from register.intake.nameplate.model import AGREES, DOUBTED, SEVERAL, Photograph, PlateRead, Proposal, Reading
from register.intake.nameplate.text import readings
from register.store.queries import rows_at
from register.text import shown

if TYPE_CHECKING:
    from sqlite_utils import Database

# What a motor's plate can say.
COLUMNS_OF_A_PLATE = (
    "motor", "power_kw", "motor_voltage_v", "phases", "motor_frequency_hz", "poles", "speed_rpm", "fla_a",
    "service_factor", "design_letter", "code_letter", "efficiency_pct", "power_factor", "insulation_class",
    "duty_type", "motor_enclosure", "motor_maker", "frame", "locked_rotor_ratio", "voltage_delta_v",
)  # fmt: skip
ANOTHER_MOTOR = "on file is motor {}: another motor may stand there now; startroll move puts it on file"


def proposed(photograph: Photograph, db: Database | None = None, tag: str | None = None) -> PlateRead:
    """Return what a photograph proposes, beside what is on file at a position; nothing is written.

    Raises StartrollError where the register has no such position.
    """
    made = proposals(readings(photograph.lines))
    if db is None or tag is None:
        return PlateRead(photograph, made, None, {})
    motor = rows_at(db, tag).get("motor", {})
    on_file = {p.column: motor[p.column] for p in made if motor.get(p.column) is not None}
    if is_unmarked("motor", tag, on_file.get("motor") or ""):
        del on_file["motor"]
    serial = next((p.value for p in made if p.column == "motor"), None)
    differs = serial is not None and on_file.get("motor", serial) != serial
    return PlateRead(photograph, made, tag, on_file, note=ANOTHER_MOTOR.format(on_file["motor"]) if differs else "")


def accept(db: Database, plate: PlateRead, asked: Sequence[str], *, sure: bool = False) -> PlateRead:
    """Write what is accepted at the position of a plate, all or nothing; it is said back. Belongs inside `writing`.

    Parameters
    ----------
    asked : `fla_a`, a proposal that the plate confirms; or `fla_a=28.5`, as a person read it on the plate.
    sure : also what looks like a slip, or contradicts the plate's other values.

    Raises StartrollError with every value that cannot be taken, and why.
    """
    tag = plate.tag or ""
    typed, problems = _understood(plate, asked)
    problems += _contradicted(plate, typed) if not sure else []
    serial, held = typed.get("motor"), plate.on_file.get("motor")
    if serial is not None and held not in (None, serial) and not sure:
        problems.append(Problem("motor: " + ANOTHER_MOTOR.format(held), "if the serial on file is wrong, add --sure"))
    written = []
    for name, text in typed.items():
        try:
            written.append((name, *set_value(db, tag, name, text, sure=sure)))
        except StartrollError as error:
            problems += error.problems
    if problems:
        raise StartrollError(problems, summary="Nothing has been written.")
    return replace(plate, accepted=tuple(written))


def _understood(plate: PlateRead, asked: Sequence[str]) -> tuple[dict[str, str], list[Problem]]:
    """Columns and values as text, and what cannot be accepted so."""
    known = {p.column: p for p in plate.proposals}
    typed: dict[str, str] = {}
    problems = []
    for each in asked:
        name, mark, value = (part.strip() for part in each.partition("="))
        why = _refused(name, known.get(name), typed=bool(mark), value=value)
        if name in typed:
            why = f"{name} is accepted twice"
        if why:
            problems.append(Problem(why, f"--accept {name or 'fla_a'}=… as you read it on the plate", "--accept"))
        else:
            typed[name] = value if mark else _as_text(known[name])
    return typed, problems


def _refused(name: str, proposal: Proposal | None, *, typed: bool, value: str) -> str:
    """Why a value cannot be accepted so; nothing where it can."""
    if name not in COLUMNS_OF_A_PLATE:
        return f"{name!r} is no column that a motor's plate fills; one of: {', '.join(COLUMNS_OF_A_PLATE)}"
    if typed:
        return "" if value else f"{name}: no value"
    if proposal is None:
        return f"{name} was not read on this photograph"
    if proposal.state == DOUBTED:
        return f"{name} is doubted: {proposal.why}"
    if proposal.state == SEVERAL:
        return f"{name} has several values: {', '.join(shown(r.value, '') for r in proposal.readings)}"
    return "" if proposal.state == AGREES else f"nothing else on the plate confirms {name}"


def _as_text(proposal: Proposal) -> str:
    unit = COLUMNS[proposal.column].unit
    return f"{proposal.value:g} {unit}".strip() if COLUMNS[proposal.column].is_number else str(proposal.value)


def _contradicted(plate: PlateRead, typed: Mapping[str, str]) -> list[Problem]:
    """The accepted values that contradict one another, or the rest of the plate."""
    given: dict[str, Any] = {}
    for name, text in typed.items():
        try:
            given[name] = believed(name, text)
        except StartrollError:  # writing it says so
            continue
    kept = [
        r for p in plate.proposals if p.state not in (SEVERAL, DOUBTED) for r in p.readings if r.column not in given
    ]
    judged = proposals([*kept, *(Reading(name, value, "") for name, value in given.items() if value is not None)])
    return [
        Problem(f"{p.column}: {p.why}", "look again; if it is right, add --sure", "--accept")
        for p in judged
        if p.state == DOUBTED and p.column in given
    ]
