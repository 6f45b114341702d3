"""The study of one start: what becomes of it, what it strains, and how sure that is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
from sqlite_utils import Database

from register.calc import stress
from register.calc.start_course import STARTS as UP
from register.calc.start_methods import DRIVE
from register.calc.study import MAY_STALL
from register.starts import beside_measured, model
from register.starts import load_case as cases
from register.starts.load_case import Case
from register.starts.model import NO_LIMIT, STARTS, Figure
from register.starts.one_start import T_MAX_S, Run, at_rows, finite, known
from register.starts.sayings import sayings
from register.starts.words import CERTAINTY, how, idle, inputs, outcome_words, why_not

MAY_HOLD = "may hold"
FAR = 1.6  # times the highest current, beyond which a bound is not drawn: it would flatten what is


def study(
    db: Database,
    tag: str,
    *,
    changes: Mapping[str, str] | None = None,
    way: str = model.OWN,
    measured_only: bool = False,
) -> model.Study:
    """The start at one position of an open register, which is only read.

    Parameters
    ----------
    changes : columns and the values they are tried with, as a person writes them.
    way : on its own device or on the bypass.
    measured_only : use no assumed value.
    """
    return of_case(cases.one(db, tag, changes, measured_only=measured_only), way)


def of_case(case: Case, way: str = model.OWN) -> model.Study:
    """The study of a position that is ready for it."""
    run = Run(case, case.start(way))
    reason, fields = why_not(case, way, run)
    letter = "X" if reason else case.values["study_certainty"] or "X"
    return model.Study(
        tag=case.values["tag"],
        description=case.values["description"] or "",
        way=way,
        how=how(case, way),
        certainty=letter,
        certainty_words=CERTAINTY[letter],
        inputs=inputs(case, way),
        start=None if reason else _start(run, way),
        why_not=reason,
        to_read=fields,
        idle=idle(case, way),
        site=case.values["site"] or "",
    )


def courses_of(found: Sequence[Case]) -> Iterator[tuple[Case, model.Course, str]]:
    """Of each start that can be studied its course and what becomes of it, nothing else worked out."""
    for run in Run.together(found):
        if not why_not(run.case, model.OWN, run)[0]:
            yield run.case, _course(run), _word(run, own=True)


def _word(run: Run, *, own: bool) -> str:
    """What becomes of a start."""
    return outcome_words(run.outcome, trips=own and run.trips_first(), hot=run.heat()[1] > 1.0)


def _start(run: Run, way: str) -> model.Start:
    own = way == model.OWN
    figures = [*_outcome(run, own=own), *_supply(run), *_motor(run)]
    if own:
        figures += [*_overload(run), *_duty(run)]
    figures += [_breaker(run), *_torque(run)]
    if own:
        figures += beside_measured.figures(run)
    return model.Start(
        figures=tuple(figures),
        sayings=sayings(run, own=own),
        course=_course(run),
        curves=_curves(run),
        marks=_marks(run, own=own),
        record=beside_measured.record(run) if own else None,
        band=_band(run),
    )


def _outcome(run: Run, *, own: bool) -> list[Figure]:
    word = _word(run, own=own)
    works = {STARTS: True, MAY_STALL: None}.get(word, False)
    made = [Figure("outcome", "what becomes of the start", word, within=works)]
    if run.starts:
        times = [float(m.start_s[0]) for m in run.marches]
        high = MAY_STALL if np.isnan(times).any() else max(times)
        made.append(Figure("time_s", "time to full speed", times[0], "s", float(np.nanmin(times)), high))
    elif run.outcome != model.DOES_NOT_TURN:
        speed = 100.0 * float(run.march.reached[0])
        made.append(Figure("stall_speed_pct", "speed at which it stays, of synchronous speed", speed, "%"))
    peak, low, high = run.banded(lambda march: march.peak)
    fla = run.case.values["fla_a"]
    made.append(Figure("peak_xfla", "highest line current", peak, "×FLA", low, high))
    made.append(Figure("peak_a", "the same in amperes", peak * fla, "A", low * fla, high * fla))
    if run.starts:
        made += [
            Figure(
                f"above_{m}_xfla_s", f"time above {m} × FLA", float(stress.above_s(march=run.march, multiple=m)[0]), "s"
            )
            for m in (2, 3, 4)
        ]
    return made


def _judged(name: str, sentence: str, banded: tuple[float, float, float], unit: str, bound: float | None) -> Figure:
    """A figure with its band, held against a bound: within it, over it, or too near to tell."""
    value, low, high = banded
    within = None
    if bound is not None:
        within = True if high <= bound else False if low > bound else None
    to_read = ("measured_start_s",) if bound is not None and within is None else ()
    return Figure(name, sentence, value, unit, low, high, bound, within, to_read)


def _supply(run: Run) -> list[Figure]:
    if run.method == DRIVE:
        return []  # a drive takes little more than its output power, and sets the voltage itself
    bound = run.case.values["dip_limit_pct"]
    dips = run.banded(lambda march: stress.dip_pct(march=march))
    dip = _judged("dip_pct", "deepest dip of the bus", dips, "%", bound)
    value, low, high = run.banded(lambda march: 100.0 * march.v_term.min(axis=0))
    sentence = "lowest voltage at the motor, of its rating"
    return [
        dip if bound is not None else replace(dip, to_read=("dip_limit_pct",)),
        Figure("terminal_pct", sentence, value, "%", low, high),
    ]


def _motor(run: Run) -> list[Figure]:
    sentence = "heat in the motor, of what it withstands at locked rotor"
    heat = tuple(100.0 * value for value in run.heat())
    if np.isnan(heat[0]):
        return [Figure("motor_heat_pct", sentence, None, "%", to_read=("hot_stall_s",))]
    if run.outcome == STARTS:
        return [_judged("motor_heat_pct", sentence, heat, "%", 100.0)]
    if run.starts:
        return [
            Figure("motor_heat_pct", sentence, heat[0], "%", bound=100.0, within=False if heat[0] > 100.0 else None)
        ]
    return [
        Figure(
            "motor_heated_s",
            "time until it has had all the heat it withstands at locked rotor",
            finite(run.heated_s(), "") or f"over {T_MAX_S:.0f} s",
            "s",
        )
    ]


def _overload(run: Run) -> list[Figure]:
    asked = (
        "overload_trip_class",
        "overload_set_a",
        "overload_current_a",
        "device_connection",
        "relay_leg",
        "relay_side",
    )
    relay, values, state = run.relay(), run.case.values, run.relay_state()
    sentence = "what the overload does during it, from cold"
    if state is None:
        return [Figure("overload", sentence, None, to_read=run.case.trial.to_read(asked))]
    against = f"class {values['overload_trip_class']} at {values['overload_set_a']:g} A"
    made = [Figure("overload", sentence, state, bound=against, within=state == "holds")]
    if state != "holds":
        quick, late = (known(float(t[0])) for t in (relay.may_trip_s, relay.trips_s))
        late = MAY_HOLD if late is None else late
        made.append(
            Figure(
                "overload_trips_s",
                "trip from cold, by its class's slowest curve and its quickest",
                late,
                "s",
                quick if quick is not None else MAY_HOLD,
                late,
            )
        )
    return made


def _duty(run: Run) -> list[Figure]:
    values = run.case.values
    if values["device_kind"] != "soft starter" or not run.starts:
        return []
    asked = ("rated_current_a", "duty_code_multiple", "duty_code_time_s", "device_connection")
    to_read = run.case.trial.to_read(asked)
    sentence = "heat in the device, as time at the current of its duty code"
    if to_read or None in (values[name] for name in asked):
        return [Figure("duty_s", sentence, None, "s", to_read=to_read)]
    multiple, most = values["duty_code_multiple"], values["duty_code_time_s"]
    seconds, current = run.duty()
    peak = current * values["fla_a"] / values["rated_current_a"]
    return [
        _judged("duty_s", sentence, seconds, "s", most),
        Figure(
            "duty_peak",
            "highest current, of the device's rated current",
            peak,
            "×rated",
            bound=multiple,
            within=peak <= multiple,
        ),
    ]


def _breaker(run: Run) -> Figure:
    sentence = "share of its long-time trip that the main breaker reaches"
    if to_read := run.case.trial.to_read(("main_breaker_pickup_a", "main_breaker_delay_s", "bus_load_a")):
        return Figure("main_breaker_pct", sentence, None, "%", to_read=to_read)
    shares = tuple(100.0 * value for value in run.breaker())
    return _judged("main_breaker_pct", sentence, shares, "%", 100.0)


def _torque(run: Run) -> list[Figure]:
    margins = [
        float(stress.torque_margin_pct(march=march, machine=machine)[0])
        for march, machine in zip(run.marches, run.machines, strict=True)
    ]
    within = True if min(margins) > 0.0 else False if max(margins) <= 0.0 else None
    sentence = "least torque over the load's, of full load"
    ends = min(margins), max(margins)
    made = [Figure("torque_margin_pct", sentence, margins[0], "%", *ends, within=within)]
    if run.method != DRIVE:
        value, low, high = (finite(limit, NO_LIMIT) for limit in run.lowest)
        made.append(
            Figure("lowest_limit_xfla", "lowest current limit that takes it to speed", value, "×FLA", low, high)
        )
    if run.starts:
        energy = stress.energy_kwh(march=run.march, machine=run.machine)
        made.append(Figure("energy_kwh", "energy of the start", float(energy[0]), "kWh"))
    return made


def _course(run: Run) -> model.Course:
    rows = at_rows(run.march)
    share = 100.0 / run.machine.t_fl[0]
    return model.Course(
        time_s=rows.time[:, 0],
        speed_pct=100.0 * rows.speed[:, 0],
        current_xfla=rows.current[:, 0],
        bus_pct=100.0 * rows.v_bus[:, 0],
        terminal_pct=100.0 * rows.v_term[:, 0],
        torque_pct=share * rows.torque[:, 0],
        load_pct=share * rows.load[:, 0],
    )


def _band(run: Run) -> model.Band:
    """Current and speed of the three shapes at the moments of all of them."""
    each = [at_rows(march) for march in run.marches]
    moments = np.unique(np.concatenate([rows.time[:, 0] for rows in each]))
    current, speed = (
        np.array([np.interp(moments, rows.time[:, 0], getattr(rows, name)[:, 0]) for rows in each])
        for name in ("current", "speed")
    )
    return model.Band(
        moments, current.min(axis=0), current.max(axis=0), 100.0 * speed.min(axis=0), 100.0 * speed.max(axis=0)
    )


def _curves(run: Run) -> model.Curves:
    speed, as_set, full, load = run.torques()
    if run.march.status[0] == UP:
        rows = at_rows(run.march)
        started = 100.0 * rows.speed[:, 0], 100.0 * rows.torque[:, 0] / run.machine.t_fl[0]
    else:
        # As far as it would go if the load let it: where it crosses the load it stays.
        started = speed, as_set
    return model.Curves(speed, full, load, *started)


def _marks(run: Run, *, own: bool) -> tuple[model.Mark, ...]:
    marks = []
    lowest = run.lowest[0]
    if run.method != DRIVE and np.isfinite(lowest):
        marks.append(model.Mark("current", lowest, "lowest workable limit"))
    if np.isfinite(run.limit_xfla):
        marks.append(model.Mark("current", run.limit_xfla, "limit set", is_set=True))
    bound = run.case.values["dip_limit_pct"]
    if bound is not None and run.method != DRIVE:
        marks.append(model.Mark("bus", 100.0 - bound, "lowest voltage allowed"))
    heated = run.heated_s()
    if np.isfinite(heated):
        marks.append(model.Mark("time", heated, "motor has had its heat"))
    if own:
        marks += _device_mark(run)
        relay = run.relay()
        for at, words in ((relay.may_trip_s, "overload may trip"), (relay.trips_s, "overload trips")):
            if np.isfinite(at[0]) and at[0] <= run.march.time[-1, 0]:
                marks.append(model.Mark("time", float(at[0]), words))
    return tuple(marks)


def _device_mark(run: Run) -> list[model.Mark]:
    """The line current at which the device carries the most that its duty code allows."""
    v = run.case.values
    multiple, rated, fla = v["duty_code_multiple"], v["rated_current_a"], v["fla_a"]
    if v["device_kind"] != "soft starter" or None in (multiple, rated):
        return []
    inside, line = run.duty()[1], run.banded(lambda march: march.peak)[2]
    at = multiple * rated / fla * line / inside
    return [model.Mark("current", at, "most of its duty code")] if at <= FAR * line else []
