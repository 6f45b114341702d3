"""What the figures of a start mean, in sentences, and what a limit that cannot work may be."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf, isfinite, isnan

from register.calc import stress
from register.calc.start_course import DOES_NOT_TURN, STARTS
from register.calc.start_methods import DRIVE, SOFT, TAP, TORQUE
from register.calc.study import MAY_STALL
from register.starts import beside_measured
from register.starts.one_start import T_MAX_S, Run
from register.text import shown

HARDLY_LESS = 0.9  # of the current across the line, from which a soft start spares the line nothing
LOW_MULTIPLE = 2.0  # of an overload's setting, up to which the standards allow more than its class's curve
NOTICE = 0.02  # of the motor's heat, below which a difference is not worth a sentence
SAME_LIMIT = 0.005  # ×FLA, below which the ends of the band are one
FANS = ("centrifugal fan", "axial fan", "blower")


def sayings(run: Run, *, own: bool) -> tuple[str, ...]:
    """What someone who answers for this start should be told, most pressing first."""
    parts = _fails(run, own=own) if not run.starts else _comes_up(run, own=own)
    seen = beside_measured.sayings(run) if own else ()
    return (*seen, *parts, *_bounds_of_the_model(run))


def _fails(run: Run, *, own: bool) -> Iterator[str]:
    limited = isfinite(run.limit_xfla) and run.method in (SOFT, TORQUE)
    yield _verdict(run, limited=limited)
    if run.march.status[0] == DOES_NOT_TURN:
        yield (
            f"At standstill the motor so gives {_pct(run.standstill_pct())} of its full-load "
            f"torque; the load asks {_pct(_breakaway_pct(run))} to break away."
        )
    yield from _quick_end(run)
    if own:
        yield from _until_noticed(run)
    yield from _until_hot(run)
    if limited and own:
        yield from _what_it_may_mean(run)
    if run.lowest[2] == inf and run.method != DRIVE:
        yield (
            "What would help: start it unloaded (damper or valve shut, belt empty), free what "
            "binds, a motor with more torque, a stiffer supply, or a drive. Check the load's "
            "torque and breakaway first: they are what this is based on."
        )


def _verdict(run: Run, *, limited: bool) -> str:
    """Whether it turns, with the lowest limit that would."""
    if run.march.status[0] == DOES_NOT_TURN:
        what = "does not turn"
    elif isnan(run.march.stall_speed[0]):
        what = f"is not up to speed after {T_MAX_S:.0f} s"
    else:
        what = f"stalls at {_pct(100.0 * float(run.march.reached[0]))} of synchronous speed"
    if run.outcome == MAY_STALL:
        what = f"may stall: by the centre of its band it {what}"
    if run.method == DRIVE:
        return f"It {what}: the load asks more than the drive may give."
    lowest, low, high = run.lowest
    if low == inf:
        return f"It {what}; no current limit would do: full voltage does not take it to speed."
    if lowest == inf:
        return f"It {what}; lowest workable limit {low:.2f} × FLA at best, or none at all."
    if high - low < SAME_LIMIT:
        band = "(what its breakaway asks)"
    else:
        band = f"({low:.2f} to {high:.2f})" if isfinite(high) else f"({low:.2f}, or none at all)"
    at = f"At {run.limit_xfla:.2f} × FLA it" if limited else "It"
    return f"{at} {what}; lowest workable limit {lowest:.2f} × FLA {band}."


def _quick_end(run: Run) -> Iterator[str]:
    times = [float(m.start_s[0]) for m in run.marches if m.status[0] == STARTS]
    if times:
        yield (
            f"If the motor has more torque on the way than most, it does come up, in {min(times):.0f} s: it may stall. "
            "One recorded start would tell."
        )


def _until_noticed(run: Run) -> Iterator[str]:
    """How long a stalled motor stands before its overload trips."""
    cold, warm = run.relay(), run.relay(warm=1.0)
    if cold.state[0] == stress.UNKNOWN:
        fields = run.case.trial.to_read(("overload_trip_class", "overload_set_a"))
        read = f": read {', '.join(fields)}" if fields else ""
        yield f"How long until an overload would notice is unknown{read}."
        return
    trip = f"A class {run.case.values['overload_trip_class']} overload"
    if isnan(cold.trips_s[0]):
        yield f"{trip} may never notice: the current stays too near its setting."
        return
    early, late, hot = (float(t[0]) for t in (cold.may_trip_s, cold.trips_s, warm.trips_s))
    yield (
        f"{trip} notices after {early:.0f} to {late:.0f} s from cold, and after {hot:.0f} s from full load, by the "
        f"class's slowest curve.{_slower(run)} Until then nothing tells that the motor stands."
    )


def _until_hot(run: Run) -> Iterator[str]:
    seconds = run.heated_s()
    if not isnan(seconds):
        yield (
            f"After {seconds:.0f} s it has had all the heat that it withstands with its rotor locked; "
            "without its own air sooner."
        )


def _what_it_may_mean(run: Run) -> Iterator[str]:
    """What else a limit can be that is said to work, though it cannot."""
    values, limit = run.case.values, run.limit_xfla
    yield "If such a setting is said to work, find out what it really is:"
    rated, fla, set_a = (values[n] for n in ("rated_current_a", "fla_a", "fla_set_a"))
    if rated is None:
        yield "- a percentage of the device's rated current: read rated_current_a;"
    else:
        yield (
            f"- a percentage of the device's rated current: {limit:g} × {rated:g} A is "
            f"{limit * rated / fla:.2f} × this motor's {fla:g} A{_would(run, limit * rated / fla)};"
        )
    if set_a is None:
        yield "- a wrong full-load current in the device, or wrong transformers: read fla_set_a;"
    elif abs(set_a - fla) > NOTICE * fla:
        yield (
            f"- a share of the {set_a:g} A entered as full-load current: {limit * set_a / fla:.2f} "
            f"× this motor's{_would(run, limit * set_a / fla)};"
        )
    else:
        yield "- current transformers of another ratio than the device believes;"
    yield "- a limit that is lifted when its ramp time is over, or preceded by a kick;"
    if values["load_kind"] in FANS:
        yield "- a fan that other fans, or the wind, turned already;"
    yield "- something else that was changed on the same day."


def _would(run: Run, limit_xfla: float) -> str:
    turns = limit_xfla > run.lowest[0]
    return ", which would take it to speed" if turns else ", which would not do either"


def _slower(run: Run) -> str:
    """What the standards allow beyond that curve at a low multiple of the setting."""
    f = run.start.facts
    multiple = run.march.motor_current[-1, 0] * float(f["overload_current_a"][0]) / float(f["overload_set_a"][0])
    if multiple > LOW_MULTIPLE:
        return ""
    if run.case.values["practice"] == "us":
        return " At 200 % of its setting NEMA allows a relay up to 8 min."
    limits = {"10A": "2 min", "10": "4 min", "20": "8 min", "30": "12 min"}
    allowed = limits.get(str(run.case.values["overload_trip_class"]))
    return f" At 1.5 times its setting, warm, IEC 60947-4-1 allows it {allowed}." if allowed else ""


def _comes_up(run: Run, *, own: bool) -> Iterator[str]:
    if run.outcome == MAY_STALL:
        yield (
            "If the motor has less torque on the way than most it does not come up: it may stall. "
            "Record one start, its current and its time, before relying on it."
        )
    if own and run.trips_first():
        trips = float(run.relay().trips_s[0])
        when = "" if isnan(trips) else f" after {trips:.0f} s"
        yield f"The overload trips{when}, by its class's slowest curve, before the motor is up to speed."
    heat = [100.0 * value for value in run.heat()]
    if heat[0] > 100.0:
        yield (
            f"It comes up with {_pct(heat[0])} of the heat that the motor withstands at locked rotor: shorten the "
            "start or ask the maker for the hot stall time."
        )
    if run.method in (SOFT, TORQUE):
        yield from _beside_direct(run)


def _bounds_of_the_model(run: Run) -> Iterator[str]:
    """What the study leaves out of this way of starting, or takes for granted."""
    control = run.start.control
    if run.method == TORQUE:
        after = "full voltage follows" if control.then_full[0] else "the last torque is held"
        yield f"After the end of the torque ramp {after}: set after_torque_ramp as the device's papers say."
    if run.method == TAP:
        if run.starts and run.march.start_s[0] < control.transition_s[0]:
            yield "It changes over after it is up to speed: the change-over is not in peak and dip."
        most = 2.0 * float(run.start.facts["locked_rotor_ratio"][0])
        yield (
            "With an open transition the motor's own field may be against the line at that moment: a surge of up to "
            f"twice the locked-rotor current, {most:.0f} × FLA, for a few cycles (common practice); the peak is "
            "without it."
        )
    if not run.machine.floor_met[0]:
        yield "No circuit of this plate keeps the least torque that its design promises on the way: check its torques."


def _beside_direct(run: Run) -> Iterator[str]:
    """Where a soft start spares less than is hoped for."""
    direct = run.direct
    peak, most = (float(stress.peak_xfla(march=r.march)[0]) for r in (run, direct))
    if peak >= HARDLY_LESS * most:
        yield (f"This soft start hardly draws less than a start across the line: {peak:.2f} against {most:.2f} × FLA.")
    elif run.limit_xfla == inf and peak > 3.0:
        yield (
            f"A ramp of voltage is no limit of current: it comes to {peak:.2f} × FLA, "
            f"{_when(run):.0f} s after the start, with the motor at {_speed_then(run):.0f} % of "
            "its speed. A current limit holds it."
        )
    heat, across = 100.0 * run.heat()[0], 100.0 * direct.heat()[0]
    if direct.starts and heat > across + 100.0 * NOTICE:
        yield (
            f"It heats the motor more than a start across the line: {_pct(heat)} against "
            f"{_pct(across)} of what it withstands, over {_seconds(run)} instead of {_seconds(direct)}."
        )
    if not direct.starts:
        yield "Across the line it would not come up either."


def _when(run: Run) -> float:
    """When the current is highest [s]."""
    return float(run.march.time[run.march.current[:, 0].argmax(), 0])


def _speed_then(run: Run) -> float:
    """Speed where the current is highest, of synchronous speed [%]."""
    return 100.0 * float(run.march.speed[run.march.current[:, 0].argmax(), 0])


def _seconds(run: Run) -> str:
    return shown(round(float(run.march.start_s[0]), 1), "s")


def _breakaway_pct(run: Run) -> float:
    return float(run.torques()[3][0])


def _pct(value: float) -> str:
    """Two or three figures, with its unit."""
    return f"{value:.1f} %" if value < 10.0 else f"{value:.0f} %"
