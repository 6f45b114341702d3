"""The start of many motors at once, simulated from speed to speed instead of from moment to moment.

Speed only ever rises during a start: a ramp only opens, a transition only adds. So each cell
between two speeds is solved for its time in closed form (`cells`), a motor that cannot pass one has
stalled there, and no step needs to be small.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields

import numpy as np

from register.calc.course_rows import EXTRA, Rows, clip, joined
from register.calc.drive import drive_start
from register.calc.first_stage import WAIT, FirstStage, no_stage, ramp_stage, tap_stage
from register.calc.line_side import most_current, network
from register.calc.load_curve import Load
from register.calc.machine import Machine
from register.calc.reduced_voltage import bent_of
from register.calc.start_course import DOES_NOT_TURN, STALLS, STARTS, March
from register.calc.start_methods import DRIVE, SOFT, TAP, TORQUE, Control, Path, final_volts, path
from register.calc.supply import Supply

EVEN, LOGARITHMIC, GRADED = 33, 31, 9  # speeds of a simulation: evenly, by slip, and below breakaway
SPEEDS = EVEN + LOGARITHMIC + GRADED
PATIENCE = 4  # times longer while a ramp of voltage opens: what follows a ramp keeps its time
CLOSER = 48  # more speeds, where a first simulation spent its time
REPEATS = 3
TOO_LONG = 0.05  # of the whole time in one cell: the curve between its ends matters
RAMPS = ("soft", "torque")
CHUNK = 250  # motors whose arrays stay in the processor's cache
RAMP_CHUNK = 2000  # the same where it is one speed at a time


@dataclass(frozen=True)
class Case:
    """What a start depends on, for n motors."""

    machine: Machine
    load: Load
    supply: Supply
    control: Control
    inertia_pu: np.ndarray
    stop_slip: np.ndarray

    def take(self, index: np.ndarray | slice) -> Case:
        """The motors at that index, mask or slice."""
        parts = (getattr(self, f.name) for f in fields(self))
        return Case(*(p[index] if isinstance(p, np.ndarray) else p.take(index) for p in parts))

    def limit_xfla(self) -> np.ndarray:
        """The current limits, inf where the way of starting has none."""
        limited = np.isin(self.control.method, (SOFT, TORQUE))
        return np.where(limited, self.control.limit_xfla, np.inf)

    def speeds(self) -> np.ndarray:
        """Ends of the cells to simulate."""
        return speeds(machine=self.machine, load=self.load, stop_slip=self.stop_slip)

    def path(self, speed: np.ndarray) -> Path:
        """Motor, cable, supply and load at those speeds."""
        return path(machine=self.machine, load=self.load, supply=self.supply, speed=speed)


def inertia_pu(*, inertia_kgm2: np.ndarray, machine: Machine) -> np.ndarray:
    """Inertia of motor and load at the motor's speed [kg·m²] as time to synchronous speed at a torque of 1 pu [s]."""
    return inertia_kgm2 * machine.omega_s**2 / (1000.0 * machine.s_base_kva)


def march(
    *,
    machine: Machine,
    load: Load,
    supply: Supply,
    control: Control,
    inertia_pu: np.ndarray,
    stop_slip: np.ndarray,
    t_max_s: float = 200.0,
) -> March:
    """Start n motors from standstill.

    Parameters
    ----------
    machine, load, supply, control : what each start depends on, (n,) each
    inertia_pu : of motor and load, as time to synchronous speed at 1 pu of torque, as `inertia_pu` gives it, (n,) [s]
    stop_slip : slip at which the motor counts as up to speed; twice that of full load is past
        breakdown, with the current down to about twice full load
    t_max_s : time after which a start counts as a stall [s]

    Returns
    -------
    March : as many rows for each motor, of n; UNKNOWN, and NaN throughout, where an input is

    Notes
    -----
    Fundamental frequency, quasi-steady: electrical transients are left out, which costs a few parts
    in a thousand of the time. Where one cell takes long, the motor is simulated again with more
    speeds there. What a tap loses in an open transition is left out.
    """
    size = len(np.atleast_1d(inertia_pu))
    case = Case(machine, load, supply, control, *np.broadcast_arrays(inertia_pu, stop_slip))
    known = machine.ok & np.isfinite(_sum_of(case))
    out = March.empty(SPEEDS + EXTRA, size)
    with np.errstate(all="ignore"):
        for kind, members in _kinds(control, known):
            chunk = RAMP_CHUNK if kind in RAMPS else CHUNK
            again = [_first(kind, case, i, out, t_max_s) for i in _chunks(members, chunk)]
            for index in _chunks(np.concatenate(again), chunk):
                _closer(kind, case, index, out, t_max_s)
    return out


def _sum_of(case: Case) -> np.ndarray:
    """NaN where anything that a start depends on is unknown."""
    load, supply, control = case.load, case.supply, case.control
    needed = [load.a, load.b, load.c1, load.c2, supply.z_s, supply.z_c, supply.v_oc]
    if load.tables is not None:
        needed[:4] = [np.where(np.equal(load.tables, None), part, 0.0) for part in needed[:4]]
    needed += [np.minimum(getattr(control, f.name), 1e9) for f in fields(Control)]
    return np.abs(sum(needed)) + case.inertia_pu + case.stop_slip


def _kinds(control: Control, known: np.ndarray) -> Iterator[tuple[str, np.ndarray]]:
    """Motors that are simulated alike."""
    kinds = {
        "drive": control.method == DRIVE,
        "tap": (control.method == TAP) & (control.transition_s > 0.0),
        "soft": (control.method == SOFT) & (control.ramp_s > 0.0),
        "torque": (control.method == TORQUE) & (control.ramp_s > 0.0),
    }
    kinds["none"] = ~np.any(list(kinds.values()), axis=0)
    for kind, chosen in kinds.items():
        if (chosen & known).any():
            yield kind, np.flatnonzero(chosen & known)


def _chunks(members: np.ndarray, size: int) -> Iterator[np.ndarray]:
    for first in range(0, len(members), size):
        yield members[first : first + size]


def speeds(*, machine: Machine, load: Load, stop_slip: np.ndarray) -> np.ndarray:
    """From standstill to the stop: evenly, evenly by logarithm of slip, and close at breakaway."""
    end = 1.0 - stop_slip
    kink = np.minimum(load.y_b * (1.0 - machine.s_fl), 0.99 * end)
    even = np.linspace(0.0, 1.0, EVEN)[:, None] * end
    by_slip = 1.0 - stop_slip ** np.linspace(0.0, 1.0, LOGARITHMIC + 2)[1:-1, None]
    graded = (np.arange(1, GRADED + 1)[:, None] / GRADED) ** 3 * kink
    return np.sort(np.concatenate([even, by_slip, graded]), axis=0)


def _first(kind: str, case: Case, index: np.ndarray, out: March, t_max_s: float) -> np.ndarray:
    """Simulate these motors and write them down; give those that need closer speeds."""
    case = case.take(index)
    if kind == "drive":
        begun = {"control": case.control, "inertia_pu": case.inertia_pu, "t_max_s": t_max_s}
        along = case.path(case.speeds())
        out.put(index, drive_start(path=along, machine=case.machine, **begun))
        return index[:0]
    part, cell = _solved(kind, case, case.speeds(), t_max_s)
    out.put(index, part)
    return index[_is_coarse(kind, part, cell)]


def _closer(kind: str, case: Case, index: np.ndarray, out: March, t_max_s: float) -> None:
    """Simulate these motors again, with more speeds where the time goes."""
    case, part = case.take(index), out.take(index)
    base = case.speeds()
    for _ in range(REPEATS):
        more = np.concatenate([base, _where_time_goes(part)])
        order = np.argsort(more, axis=0, kind="stable")
        part, cell = _solved(kind, case, np.take_along_axis(more, order, axis=0), t_max_s)
        place = np.argsort(order, axis=0)[:SPEEDS]
        out.put(index, _thinned(part, cell, place))
        coarse = _is_coarse(kind, part, cell)
        if not coarse.any():
            break
        index, case, part, base = (index[coarse], case.take(coarse), part.take(coarse), base[:, coarse])


def _solved(kind: str, case: Case, speed: np.ndarray, t_max_s: float) -> tuple[March, np.ndarray]:
    """The simulation along those speeds, and the cell of its hand-over."""
    rows, spare = _laid(kind, case, speed)
    stall_speed = _gives_out(rows)
    clip(rows=rows, inertia_pu=case.inertia_pu, t_max_s=t_max_s)
    return _course(case, rows, stall_speed, spare), rows.cell


def _laid(kind: str, case: Case, speed: np.ndarray) -> tuple[Rows, np.ndarray]:
    """The rows of the simulation along those speeds, and the least torque margin at the end of it."""
    along = case.path(speed)
    final = final_volts(path=along, control=case.control, t_fl=case.machine.t_fl)
    stage = _stage(kind, case, along, final)
    rows = joined(path=along, stage=stage, final=final, inertia_pu=case.inertia_pu)
    return rows, along.net(final).min(axis=0)


def _is_coarse(kind: str, part: March, cell: np.ndarray) -> np.ndarray:
    """Which of them spent long in one cell."""
    taken = np.diff(part.time[WAIT:], axis=0)
    if kind == "tap":
        taken[cell, np.arange(len(cell))] = 0.0  # may wait there for the transition
    if kind == "soft":
        early = np.arange(len(taken))[:, None] <= cell
        taken = np.where(early, taken / PATIENCE, taken)
    return taken.max(axis=0) > TOO_LONG * (part.start_s - part.time[WAIT])


def _where_time_goes(part: March) -> np.ndarray:
    """Speeds at which even shares of the time have gone by since the motor began to turn."""
    even = np.linspace(0.0, 1.0, CLOSER + 2)[1:-1]
    time, speed = part.time[WAIT:], part.speed[WAIT:]
    moments = time[0] + even[:, None] * (time[-1] - time[0])
    found = [np.interp(moments[:, i], time[:, i], speed[:, i]) for i in range(time.shape[1])]
    return np.transpose(found)


def _stage(kind: str, case: Case, along: Path, final: np.ndarray) -> FirstStage:
    """What happens before the hand-over."""
    if kind == "tap":
        return tap_stage(path=along, control=case.control, inertia_pu=case.inertia_pu)
    if kind in RAMPS:
        return ramp_stage(
            path=along, control=case.control, final=final, t_fl=case.machine.t_fl, inertia_pu=case.inertia_pu
        )
    return no_stage(final=final)


def _gives_out(rows: Rows) -> np.ndarray:
    """Speed at which load takes all of the torque after the hand-over, NaN where it never does."""
    net = rows.net()
    short = (net <= 0.0) & rows.late
    gives_out = np.full(short.shape[1], np.nan)
    column = np.flatnonzero(short.any(axis=0))
    upper = np.argmax(short[:, column], axis=0)
    lower = upper - 1
    first, last = net[lower, column], net[upper, column]
    share = np.where(rows.late[lower, column], first / (first - last), 1.0)
    begun, end = rows.speed[lower, column], rows.speed[upper, column]
    gives_out[column] = begun + share * (end - begun)
    return gives_out


def _course(case: Case, rows: Rows, stall_speed: np.ndarray, spare: np.ndarray) -> March:
    """What rows mean for line, bus and motor."""
    tapped = ~rows.late & (case.control.method == TAP)
    ratio = np.where(tapped, case.control.tap, 1.0)
    # Between speeds the product of two interpolated values misses a limit by a hair.
    motor = np.minimum(rows.volts * rows.drawn, case.limit_xfla())
    bent = bent_of(case.machine)
    terminal = bent.terminal(rows.volts, rows.drawn, bent.exponent(rows.drawn))
    along, before, bus = network(rows, terminal, motor, ratio, case.supply)
    most = most_current(case.control, case.supply, case.limit_xfla(), rows, motor, before / bus)
    *_, least = network(rows, most / rows.drawn, most, ratio, case.supply)
    up = (rows.time[-1] < np.inf) & (rows.speed[-1] >= 1.0 - case.stop_slip)
    turned = np.where(stall_speed == 0.0, DOES_NOT_TURN, STALLS)
    motor_di2 = _integral(rows, motor * motor)
    return March(
        time=rows.time,
        speed=rows.speed,
        current=ratio * motor,
        motor_current=motor,
        v_bus=bus / case.supply.v_oc,
        v_term=terminal,
        torque=rows.volts**2 * rows.pull,
        load=rows.load,
        di2=ratio**2 * motor_di2,
        motor_di2=motor_di2,
        status=np.where(up, STARTS, turned),
        start_s=np.where(up, rows.time[-1], np.nan),
        stall_speed=np.where(up, np.nan, stall_speed),
        reached=rows.speed[-1],
        energy=_integral(rows, along * motor).sum(axis=0),
        spare=spare,
        peak=(ratio * most).max(axis=0),
        least_bus=np.minimum(least, bus).min(axis=0) / case.supply.v_oc,
    )


def _integral(rows: Rows, values: np.ndarray) -> np.ndarray:
    """Integral over time since the row before, 0 in the first."""
    taken = np.diff(rows.time, axis=0)
    mean = values[:-1] + rows.mean * np.diff(values, axis=0)
    return np.vstack([np.zeros(values.shape[1]), np.where(taken > 0.0, taken * mean, 0.0)])


def _thinned(fine: March, cell: np.ndarray, place: np.ndarray) -> March:
    """The rows that a simulation along the usual speeds has, with the integrals of those between.

    `place` is that of the usual speeds among the finer ones, `cell` that of the hand-over.
    """
    coarse = np.sum(place <= cell, axis=0) - 1
    column = np.arange(len(cell))
    at = np.arange(SPEEDS + 2)[:, None]
    node = np.minimum(np.where(at <= coarse, at, np.maximum(at - 2, 0)), SPEEDS - 1)
    row = place[node, column] + np.where(at <= coarse, 0, 2)
    row = np.where(at == coarse + 1, cell + 1, np.where(at == coarse + 2, cell + 2, row)) + WAIT
    row = np.minimum(row, len(fine.time) - 1)
    row = np.vstack([np.arange(WAIT)[:, None] + 0 * cell, row])
    picked = {f.name: getattr(fine, f.name) for f in fields(March)}
    for name, values in picked.items():
        if name.endswith("di2"):
            total = np.take_along_axis(np.cumsum(values, axis=0), row, axis=0)
            picked[name] = np.diff(total, axis=0, prepend=0.0)
        elif values.ndim == 2:
            picked[name] = np.take_along_axis(values, row, axis=0)
    return March(**picked)
