"""A maker's curve, or a start that was recorded, taken out of a file of points and into the register."""

from __future__ import annotations

import csv
from math import isfinite
from pathlib import Path

import numpy as np
from sqlite_utils import Database

from register.calc.maker_curve import text_of, wrong_with
from register.calc.recorded_current import FIRST_CYCLES_S, UP_TO_SPEED, switched_on
from register.errors import Problem, StartrollError
from register.intake.correct import set_value
from register.resources import small_file
from register.store.queries import rows_at

CURVE = ("speed_pct", "torque_pct", "current_xfla", "power_factor")
START = ("time_s", "current_a")
MOST_POINTS = 200
BESIDE = 0.25  # of a start's time, before and after it, of which a recording is kept
# What makes another motor one of the same type.
SAME = ("motor_maker", "power_kw", "motor_voltage_v", "speed_rpm", "fla_a", "poles")


def curve(db: Database, tag: str, file: Path, *, alike: bool = False) -> list[str]:
    """Keep a maker's curve with the motor at a position; the tags that have it now.

    Parameters
    ----------
    db : a register inside `database.writing`.
    file : CSV of points: speed_pct, torque_pct, current_xfla and, if known, power_factor.
    alike : also with every motor of the same maker and the same plate.

    Raises StartrollError with all that is wrong with the file, or with the curve for this motor.
    """
    rows = _points(file, CURVE, optional=1)
    motor = rows_at(db, tag).get("motor")
    if motor is None:
        raise StartrollError(Problem(f"no motor stands at {tag}", "startroll move puts one there"))
    text = text_of(rows)
    known = {name: motor[name] for name in ("locked_rotor_ratio", "locked_rotor_torque_pct")}
    poles, hertz, speed = (motor[name] for name in ("poles", "motor_frequency_hz", "speed_rpm"))
    slip = 100.0 * (1.0 - speed * poles / (120.0 * hertz)) if None not in (poles, hertz, speed) else 2.0
    problems = [Problem(cause, remedy, str(file)) for cause, remedy in wrong_with(text, slip_pct=slip, **known)]
    if problems:
        raise StartrollError(problems)
    tags = [tag, *(_alike(db, tag, motor) if alike else ())]
    for each in tags:
        set_value(db, each, "maker_curve", text)
    return tags


def _alike(db: Database, tag: str, motor: dict) -> list[str]:
    if any(motor[name] is None for name in SAME):
        missing = ", ".join(name for name in SAME if motor[name] is None)
        raise StartrollError(Problem(f"motors of its type are unknown: {missing} missing", f"startroll correct {tag}"))
    where = " AND ".join(f"{name} = ?" for name in SAME)
    found = db.query(
        f"SELECT tag FROM motor WHERE {where} AND tag IS NOT NULL AND tag <> ? AND motor_status IS NOT 'scrapped'"
        " ORDER BY tag",
        [*(motor[name] for name in SAME), tag],
    )
    return [row["tag"] for row in found]


def start(db: Database, tag: str, file: Path, *, on: str) -> tuple[float, float]:
    """Keep a recorded start with its position: its time [s] and its highest current [A].

    Parameters
    ----------
    db : a register inside `database.writing`.
    file : CSV of points: time_s, current_a.
    on : day it was recorded.

    Raises StartrollError with all that is wrong with the file, or where it does not come up to speed.
    """
    rows = _points(file, START)
    motor = rows_at(db, tag).get("motor") or {}
    fla = motor.get("fla_a")
    if fla is None:
        raise StartrollError(Problem(f"the full-load current at {tag} is unknown", f"startroll correct {tag} fla_a"))
    seconds, amperes = rows.T
    high = np.flatnonzero(amperes >= UP_TO_SPEED * fla)
    problems = [
        Problem(f"time {seconds[i + 1]:g} s follows {seconds[i]:g} s", "points by ascending time, each once", str(file))
        for i in np.flatnonzero(np.diff(seconds) <= 0.0)
    ]
    if not high.size:
        what = f"the current never comes to {UP_TO_SPEED:g} × {fla:g} A"
        problems.append(Problem(what, "amperes of one line conductor, from the moment of switching on", str(file)))
    elif high[-1] == len(amperes) - 1:
        what = f"it ends at {amperes[-1]:g} A, above {UP_TO_SPEED:g} × {fla:g} A: not up to speed"
        problems.append(Problem(what, "record it until the current has come down", str(file)))
    ends = switched_on(seconds, amperes, fla)
    if problems or ends is None:
        raise StartrollError(problems)
    begun, ended = ends
    taken = ended - begun
    later = amperes[seconds >= begun + FIRST_CYCLES_S]
    peak = float(later.max())
    (near,) = np.nonzero((seconds >= begun - BESIDE * taken) & (seconds <= ended + BESIDE * taken))
    kept = rows[near[np.unique(np.linspace(0, len(near) - 1, min(len(near), MOST_POINTS)).astype(int))]]
    for name, value in (
        ("measured_start_on", on),
        ("measured_start_s", f"{taken:.3g} s"),
        ("measured_start_peak_a", f"{peak:.4g} A"),
        ("measured_start_curve", text_of(kept)),
    ):
        set_value(db, tag, name, value)
    return taken, peak


def _points(file: Path, names: tuple[str, ...], *, optional: int = 0) -> np.ndarray:
    """The numbers of a CSV file with these headings, the last ones optional; all that is wrong with it at once."""
    try:
        lines = list(csv.reader(small_file(file).decode("utf-8-sig").splitlines()))
    except (OSError, UnicodeDecodeError) as error:
        raise StartrollError(Problem(f"cannot be read: {error}", "a CSV file in UTF-8", str(file))) from None
    heads = [cell.strip().lower() for cell in lines[0]] if lines else []
    needed = names[: len(names) - optional]
    lacking = [name for name in needed if name not in heads]
    if lacking:
        wanted = ",".join(needed)
        raise StartrollError(
            Problem(f"no column {', '.join(lacking)}", f"the first line names them: {wanted}", str(file))
        )
    places = [heads.index(name) for name in names if name in heads]
    found, problems = [], []
    for number, line in enumerate(lines[1:], start=2):
        if not any(cell.strip() for cell in line):
            continue
        try:
            row = [float(line[place]) for place in places]
            if not all(map(isfinite, row)):
                raise ValueError
            found.append(row)
        except (IndexError, ValueError):
            remedy = "plain numbers, a point as decimal mark"
            problems.append(
                Problem("a point without its numbers", remedy, f"{file}:{number}", ",".join(line), line=number)
            )
    if not found and not problems:
        problems.append(Problem("it holds no points", "one line a point", str(file)))
    if problems:
        raise StartrollError(problems)
    return np.array(found)
