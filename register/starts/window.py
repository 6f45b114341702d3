"""The start window: which current limits turn the load, and which of them pass no bound."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from math import ceil, inf

import numpy as np
from sqlite_utils import Database

from register.calc import start_strain as strain
from register.calc import stress
from register.calc.start_course import STARTS, March
from register.calc.start_methods import SOFT, Control
from register.calc.start_shapes import BAND
from register.calc.study import MAY_STALL, STATES, Start, outcome, state
from register.starts import load_case as cases
from register.starts import model
from register.starts.load_case import Case
from register.starts.one_start import Run, known
from register.starts.words import CERTAINTY, inputs, lacking
from register.starts.words import settings as settings_of
from register.text import shown

OVER = (STATES[stress.MAY_TRIP], STATES[stress.TRIPS])
STEP = 0.05  # ×FLA from one limit to the next
SET_BY = 0.1  # ×FLA from one recommended limit to the next
MARGIN = 1.1  # over the lowest limit that starts the load: limit_margin of rules/limits.yml
PASSED = {
    "start": "it may not come up to speed",
    "dip": "the bus dips deeper than allowed",
    "heat": "the motor takes more heat than it withstands",
    "overload": "the overload may trip",
    "duty": "the device's duty code is exceeded",
    "breaker": "the main breaker's long-time element trips",
    "device": "the device can't be set so",
}
HELP = {
    "start": "unload the start (damper or valve shut, belt empty), or a motor with more torque",
    "dip": "a stiffer supply, or no other start at the same time",
    "heat": "unload the start; ask the motor's maker for its hot stall time",
    "overload": "a slower trip class, if the motor's hot stall time withstands it",
    "duty": "a device of a larger rated current, or of a heavier duty code",
    "breaker": "the main breaker's setting, by who answers for the protection",
    "device": "a device that can be set so",
}


def window(
    db: Database, tag: str, *, changes: Mapping[str, str] | None = None, measured_only: bool = False
) -> model.Window:
    """The start window of one position of an open register, which is only read."""
    return of_case(cases.one(db, tag, changes, measured_only=measured_only))


def of_case(case: Case) -> model.Window:
    """The window of a position; without steps where it has none."""
    run = Run(case, _as_soft(case))
    reason, fields = lacking(case, run)
    letter = "X" if reason else case.values["study_certainty"] or "X"
    settings = ("device_kind", "start_mode", "current_limit_xfla")
    empty = model.Window(
        tag=case.values["tag"],
        description=case.values["description"] or "",
        how=_how(case),
        certainty=letter,
        certainty_words=CERTAINTY[letter],
        why_not=reason,
        to_read=fields,
        site=case.values["site"] or "",
        set_xfla=_set(case),
        inputs=tuple(i for i in inputs(case, model.OWN) if i.column not in settings or i.column in case.trial.tried),
    )
    if reason:
        return empty
    lowest, most = run.lowest[1], float(stress.peak_xfla(march=run.direct.march)[0])
    if lowest == inf:
        why = "full voltage does not take it to speed, so no current limit does"
        return replace(empty, why_not=why, sayings=(f"What would help: {HELP['start']}.",))
    first = ceil(lowest / STEP + 1e-6)
    limits = STEP * np.arange(first, max(ceil(most / STEP), first) + 1)
    steps = _steps(run, limits.round(2))
    workable, below, above = _workable(steps)
    return replace(
        empty,
        steps=steps,
        bounds=tuple(_bounds(case)),
        held_against=_held_against(case),
        unjudged=tuple(_unjudged(case)),
        workable=workable,
        below=below,
        above=above,
        sayings=tuple(_sayings(steps, workable)),
        recommended_xfla=_recommended(run, workable),
    )


def _set(case: Case) -> float | None:
    """The current limit that its soft starter is set to, where it limits the current."""
    limits = _is_soft(case) and "current_limit_xfla" in settings_of(case.values, model.OWN)
    return case.values["current_limit_xfla"] if limits else None


def _recommended(run: Run, workable: tuple[float, float] | None) -> float | None:
    """The least limit with a margin over what the load needs and over what forbids; the middle of a short stretch."""
    if workable is None:
        return None
    low, high = workable
    lowest, _, surely = run.lowest
    least = max(low + SET_BY, MARGIN * lowest, surely)
    asked = SET_BY * ceil(least / SET_BY - 1e-6)
    return round(asked, 2) if asked <= high + 1e-9 else round((low + high) / 2.0, 2)


def _is_soft(case: Case) -> bool:
    return case.values["device_kind"] == "soft starter"


def _how(case: Case) -> str:
    kind = case.values["device_kind"]
    if _is_soft(case):
        return "current limits of its soft starter"
    return f"a soft starter's current limits; its device is {kind or 'unknown'}"


def _as_soft(case: Case) -> Start:
    """The position on a soft starter, with its own ramp where limit and ramp go together."""
    values = case.values
    given = {}
    if values["start_mode"] == "limited ramp" and None not in (values["initial_voltage_pct"], values["ramp_s"]):
        given = {"initial": values["initial_voltage_pct"] / 100.0, "ramp_s": values["ramp_s"]}
    return Start(case.facts, Control.of(method=np.full(1, SOFT), **given))


def _steps(run: Run, limits: np.ndarray) -> tuple[model.Step, ...]:
    start = run.with_limits(limits)
    marches = [start.march(start.machine(end)) for end in BAND]
    course = marches[0]
    times, words = np.array([m.start_s for m in marches]), outcome(np.array([m.status for m in marches]))
    heat, dips, duty = strain.motor_heat(start, course), stress.dip_pct(march=course), _duty_s(run, start, course)
    held = state(np.array([strain.overload(start, march).state for march in marches]))
    passed = _passed(run, start, marches, limits, held)
    made = []
    for i, limit in enumerate(limits.tolist()):
        up = bool(course.status[i] == STARTS)
        may_stall = bool(np.isnan(times[:, i]).any())
        made.append(
            model.Step(
                limit_xfla=limit,
                outcome=words[i],
                time_s=known(course.start_s[i]),
                time_high_s=MAY_STALL if may_stall else float(times[:, i].max()),
                dip_pct=float(dips[i]),
                motor_heat_pct=known(100.0 * heat[i]) if up else None,
                overload=held[i],
                duty_s=known(duty[i]) if up else None,
                crossed=tuple(name for name, over in passed.items() if over[i]),
            )
        )
    return tuple(made)


def _duty_s(run: Run, start: Start, course: March) -> np.ndarray:
    return strain.device_duty(start, course)[0] if _is_soft(run.case) else np.full(len(course.status), np.nan)


def _passed(
    run: Run, start: Start, marches: list[March], limits: np.ndarray, held: np.ndarray
) -> dict[str, np.ndarray]:
    """For each bound, which limits pass it in any of the shapes; what is unknown passes none."""
    f, soft = start.facts, _is_soft(run.case)
    fla = f["fla_a"]

    def over(of: Callable[[March], np.ndarray]) -> np.ndarray:
        return np.any([of(march) for march in marches], axis=0)

    def too_long(march: March) -> np.ndarray:
        seconds, peak = strain.device_duty(start, march)
        return (seconds > f["duty_code_time_s"]) | (peak * fla > f["duty_code_multiple"] * f["rated_current_a"])

    return {
        "start": over(lambda march: march.status != STARTS),
        "dip": over(lambda march: stress.dip_pct(march=march) > f["dip_limit_pct"]),
        "heat": over(lambda march: strain.motor_heat(start, march) > 1.0),
        "overload": np.array([word in OVER for word in held]),
        "duty": soft & over(too_long),
        "breaker": over(lambda march: strain.breaker_share(start, march) >= 1.0),
        "device": soft & ((limits < f["current_limit_min_xfla"]) | (limits > f["current_limit_max_xfla"])),
    }


def _workable(steps: tuple[model.Step, ...]) -> tuple[tuple[float, float] | None, tuple[str, ...], tuple[str, ...]]:
    """The longest run of steps that exceed no bound, and what is exceeded on either side of it."""
    runs: list[list[int]] = []
    for i, step in enumerate(steps):
        if step.crossed:
            continue
        if runs and runs[-1][-1] == i - 1:
            runs[-1].append(i)
        else:
            runs.append([i])
    if not runs:
        return None, (), ()
    longest = max(runs, key=len)
    first, last = longest[0], longest[-1]
    below = steps[first - 1].crossed if first else ("start",)
    above = steps[last + 1].crossed if last + 1 < len(steps) else ()
    return (steps[first].limit_xfla, steps[last].limit_xfla), below, above


def _bounds(case: Case) -> Iterator[tuple[str, str]]:
    """What the steps are held against, bound by bound."""
    v = case.values
    if v["dip_limit_pct"] is not None:
        yield "dip", shown(v["dip_limit_pct"], "%")
    if v["hot_stall_s"] is not None:
        yield "heat", f"100 %, {v['hot_stall_s']:g} s of locked rotor"
    if None not in (v["overload_trip_class"], v["overload_set_a"]):
        yield "overload", f"class {v['overload_trip_class']} at {v['overload_set_a']:g} A, cold"
    if _is_soft(case) and None not in (v["duty_code"], v["rated_current_a"]):
        yield "duty", f"{v['duty_code']} of {v['rated_current_a']:g} A"
    if None not in (v["main_breaker_pickup_a"], v["main_breaker_delay_s"]):
        yield "breaker", f"{v['main_breaker_pickup_a']:g} A, {v['main_breaker_delay_s']:g} s"
    if _is_soft(case) and None not in (v["current_limit_min_xfla"], v["current_limit_max_xfla"]):
        low, high = v["current_limit_min_xfla"], v["current_limit_max_xfla"]
        yield "device", f"{low:g} to {high:g} × FLA"


def _held_against(case: Case) -> dict[str, float]:
    """The bounds that are one number, in the unit of what is held against them."""
    v = case.values
    found = {
        "dip": v["dip_limit_pct"],
        "heat": 100.0 if v["hot_stall_s"] else None,
        "duty": v["duty_code_time_s"] if _is_soft(case) else None,
    }
    return {name: value for name, value in found.items() if value is not None}


def _unjudged(case: Case) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What no step could be held against, with the fields to read."""
    asked = {
        "dip": ("dip_limit_pct",),
        "heat": ("hot_stall_s",),
        "overload": ("overload_trip_class", "overload_set_a", "overload_current_a"),
        "breaker": ("main_breaker_pickup_a", "main_breaker_delay_s"),
    }
    if _is_soft(case):
        asked["duty"] = ("rated_current_a", "duty_code_multiple", "duty_code_time_s")
    there = dict(_bounds(case))
    for name, columns in asked.items():
        if name not in there:
            yield name, case.trial.to_read(columns)


def _sayings(steps: tuple[model.Step, ...], workable: tuple[float, float] | None) -> Iterator[str]:
    if workable is not None:
        return
    yield "No current limit is within all bounds."
    every = [name for step in steps for name in step.crossed]
    for name in sorted(dict.fromkeys(every), key=every.count, reverse=True):
        over = [step.limit_xfla for step in steps if name in step.crossed]
        where = "at every limit" if len(over) == len(steps) else (f"from {over[0]:.2f} to {over[-1]:.2f} × FLA")
        yield f"{PASSED[name][0].upper()}{PASSED[name][1:]} {where}. What would help: {HELP[name]}."
