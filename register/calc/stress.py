"""What a start does to motor, device, overload relay and breaker."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from register.calc.load_curve import Load
from register.calc.machine import Machine
from register.calc.speed_domain import speeds
from register.calc.standard_table import Table
from register.calc.start_course import STARTS, March
from register.calc.start_methods import path
from register.calc.supply import Supply

TRIPS_AT = 1.15  # of the setting, in the long run: between 1.05 and 1.2 of IEC 60947-4-1
IEC_MULTIPLE = 7.2  # of the setting, at which IEC 60947-4-1 states the classes
NEMA_MULTIPLE = 6.0  # of the setting, at which NEMA ICS 2 states them (a maker's marking at 600 %)
LONG_TIME_FROM = 1.1  # of the setting, from which a breaker's long-time element counts
LONG_TIME_MULTIPLE = 6.0  # of the setting, at which its delay is stated
BLOCK = 1000  # motors whose arrays stay in the processor's cache
SHORTEST_S = 1e-9  # in which nothing gets warm
BETWEEN = 17  # speeds between which the one that asks most is looked for
HAIR = 1e-6  # a current held at a limit is not above it for a rounding

HOLDS, MAY_TRIP, TRIPS, UNKNOWN = 0, 1, 2, -1


def motor_heat(*, march: March, locked_rotor_ratio: np.ndarray, hot_stall_s: np.ndarray) -> np.ndarray:
    """Heat of the start, of what the motor withstands at locked rotor while hot.

    Parameters
    ----------
    march : the starts
    locked_rotor_ratio : locked-rotor current of full-load current
    hot_stall_s : time that the motor may stand stalled while hot [s]

    Returns
    -------
    1 is all of it

    Notes
    -----
    ∫i²dt/(LRC²·t). No heat is given off, which is too hard on a start of more than a minute.
    Until the motor's maker says otherwise 12 s (NEMA MG 1, 12.49, from memory: 500 hp at most,
    below 1 kV); larger motors need the maker's figure.
    """
    return march.motor_di2.sum(axis=0) / (locked_rotor_ratio**2 * hot_stall_s)


def above_s(*, march: March, multiple: float) -> np.ndarray:
    """Time for which the line current is above that multiple of full load.

    Parameters
    ----------
    march : the starts
    multiple : of full-load current [×FLA]

    Returns
    -------
    until the last row; between rows the current is taken as straight [s]
    """
    blocks = [_above(march.take(at), multiple * (1.0 + HAIR)) for at in _blocks(len(march.status))]
    return np.concatenate(blocks)


def _blocks(size: int) -> list[slice]:
    return [slice(first, first + BLOCK) for first in range(0, max(size, 1), BLOCK)]


def _above(march: March, level: float) -> np.ndarray:
    over = march.current - level
    first, last = over[:-1], over[1:]
    with np.errstate(all="ignore"):
        share = np.maximum(first, last) / (np.abs(first) + np.abs(last))
        share = np.where(first * last < 0.0, share, (first + last > 0.0) * 1.0)
    return (np.diff(march.time, axis=0) * share).sum(axis=0) + 0.0 * march.reached


@dataclass(frozen=True)
class Overload:
    """What an overload relay does during a start, of two relays at the ends of its class's band.

    `state` is HOLDS, MAY_TRIP (the quickest of the class does, the slowest does not), TRIPS or
    UNKNOWN. `heat` is the most the slowest got to and `heat_quickest` the quickest, 1 being the
    trip; `trips_s` and `may_trip_s` when they got there, NaN if they did not [s].
    """

    state: np.ndarray
    heat: np.ndarray
    heat_quickest: np.ndarray
    trips_s: np.ndarray
    may_trip_s: np.ndarray


def overload(
    *,
    march: March,
    trip_class: np.ndarray,
    trip_classes_table: Table,
    set_xfla: np.ndarray | float = 1.0,
    warm: np.ndarray | float = 0.0,
    multiple: np.ndarray | float = IEC_MULTIPLE,
    in_motor: np.ndarray | bool = False,
    only: np.ndarray | None = None,
) -> Overload:
    """What the overload relay does during the start, by the band of its class.

    Parameters
    ----------
    march : the starts
    trip_class : class of the relay
    trip_classes_table : shortest and longest time of each class
    set_xfla : its setting, of full-load current [×FLA]
    warm : its heat before the start, the square of the load it carried, 0 for cold [pu]
    multiple : of the setting, at which the class's times are stated: 7.2 (IEC) or 6 (NEMA)
    in_motor : whether it sees the motor's current, not the line's, which a tap sets apart
    only : numbers of the starts to be followed; what is given, and the result, is then of these

    Returns
    -------
    Overload : UNKNOWN where the class or the start is. A motor that stalls is followed until it
        trips, even past the last row

    Notes
    -----
    τ·dθ/dt = i² − θ, trip at θ = 1.15², τ from the class's time at the multiple, from cold.

    References
    ----------
    IEC 60947-4-1 (from memory); NEMA states its classes at 6 times the setting (from memory).
    """
    rows = trip_classes_table.of("trip_class", trip_class)
    bands = (trip_classes_table.at(rows, end) for end in ("longest_s", "shortest_s"))
    constants = [time_constant_s(trip_s=trip_s, multiple=multiple) for trip_s in bands]
    followed = march.status if only is None else march.status[only]
    given = np.broadcast_arrays(*constants, set_xfla, warm, in_motor, followed)[:-1]
    blocks = [
        _overload(march, block if only is None else only[block], *(values[block] for values in given))
        for block in _blocks(len(followed))
    ]
    heat, heat_quickest, trips_s, may_trip_s = np.concatenate(blocks, axis=1)
    state = (heat >= 1.0).astype(int) + (heat_quickest >= 1.0)
    state = np.where(np.isnan(heat) | np.isnan(heat_quickest), UNKNOWN, state)
    return Overload(state, heat, heat_quickest, trips_s, may_trip_s)


def _overload(
    march: March,
    at: slice | np.ndarray,
    slowest: np.ndarray,
    quickest: np.ndarray,
    set_xfla: np.ndarray,
    warm: np.ndarray,
    in_motor: np.ndarray,
) -> tuple[np.ndarray, ...]:
    """Heat of the slowest and of the quickest relay in the starts `at`, and when each trips."""
    time, squares, last = march.time[:, at], march.di2[:, at], march.current[-1, at]
    if in_motor.any():
        squares = np.where(in_motor, march.motor_di2[:, at], squares)
        last = np.where(in_motor, march.motor_current[-1, at], last)
    with np.errstate(all="ignore"):
        seconds = np.maximum(np.diff(time, axis=0), SHORTEST_S)
        mean = squares[1:] / (seconds * np.square(set_xfla))
        # A motor that has not come up to speed stays where it is, until something trips.
        held = np.where(march.status[at] == STARTS, -np.inf, np.square(last / set_xfla))
        seen = {"time": time, "mean": mean, "held": held, "warm": warm}
        slow, quick = (_relay(**seen, constant=constant) for constant in (slowest, quickest))
    return slow[0], quick[0], slow[1], quick[1]


def time_constant_s(*, trip_s: np.ndarray, multiple: np.ndarray | float = IEC_MULTIPLE) -> np.ndarray:
    """Time constant of a relay that trips after trip_s at that multiple of its setting, from cold.

    Examples
    --------
    >>> round(float(time_constant_s(trip_s=10.0)), 2)
    386.96
    """
    return trip_s / np.log(multiple**2 / (multiple**2 - TRIPS_AT**2))


def _relay(
    *, time: np.ndarray, mean: np.ndarray, held: np.ndarray, warm: np.ndarray, constant: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Most heat of a relay, 1 the trip, and when it got there, NaN where it does not.

    `mean` is the mean square of what it sees until the next row, `held` that after the last one.
    """
    trip = TRIPS_AT**2
    # Without steps: θ·e^(t/τ) grows by i² times what e^(t/τ) does.
    swell = np.exp(time / constant)
    heat = np.diff(swell, axis=0)
    heat *= mean
    np.cumsum(heat, axis=0, out=heat)
    heat += warm
    heat /= swell[1:]
    column, row = np.arange(heat.shape[1]), np.argmax(heat >= trip, axis=0)
    in_time = heat[row, column] >= trip
    before = np.where(row > 0, heat[row - 1, column], warm)
    before = np.where(in_time, before, heat[-1])
    target = np.where(in_time, mean[row, column], held)
    left = constant * np.log((target - before) / (target - trip))
    trips = np.where(in_time, time[row, column], time[-1]) + left
    most = np.maximum(np.maximum(heat.max(axis=0), warm), held) + 0.0 * time[-1]
    trips = np.where(most >= trip, trips, np.nan)
    return most / trip, np.where(warm >= trip, 0.0 * most, trips)


def device_equivalent_s(*, march: March, multiple: np.ndarray, rated_xfla: np.ndarray) -> np.ndarray:
    """Time at that multiple of the device's rated current that heats it like the start.

    Parameters
    ----------
    march : the starts
    multiple : X of the device's duty, of its rated current
    rated_xfla : rated current of the device, of the motor's full-load current [×FLA]

    Returns
    -------
    to compare with Tx of a duty AC-53a X-Tx or AC-53b X-Tx; the peak must not be above X as well
    [s]

    Notes
    -----
    ∫i²dt/X². What a bypass contactor carries once closed is not in it: the course ends there.

    References
    ----------
    IEC 60947-4-2 (from memory).
    """
    return march.di2.sum(axis=0) / np.square(multiple * rated_xfla)


def long_time_share(
    *, march: March, set_xfla: np.ndarray, delay_s: np.ndarray, beside_xfla: np.ndarray | float = 0.0
) -> np.ndarray:
    """How far the long-time element of a breaker gets during the start, 1 being the trip.

    Parameters
    ----------
    march : the starts
    set_xfla : its setting, of full-load current [×FLA]
    delay_s : its delay at 6 times the setting [s]
    beside_xfla : what else flows through it all the while, added to the start's current [×FLA]

    Returns
    -------
    share of I²t

    Notes
    -----
    ∫(I/I_r)²dt over 36·delay, as long as I > 1.1·I_r (common practice). Currents are added as numbers, which
    is a little too much: a starting motor's lags further than a running one's.
    """
    from_ = LONG_TIME_FROM * set_xfla
    counted = np.maximum(march.current[1:], march.current[:-1]) + beside_xfla > from_
    seconds = np.diff(march.time, axis=0)
    whole = np.square(np.sqrt(march.di2[1:] * seconds) + beside_xfla * seconds)
    with np.errstate(invalid="ignore"):
        squares = np.where(seconds > 0.0, whole / np.where(seconds > 0.0, seconds, 1.0), 0.0)
    squares = np.where(counted, squares, 0.0).sum(axis=0) + 0.0 * march.reached
    return squares / np.square(set_xfla) / (LONG_TIME_MULTIPLE**2 * delay_s)


def peak_xfla(*, march: March) -> np.ndarray:
    """Highest line current of the start, without the offset of the first half cycle [×FLA]."""
    return march.peak


def dip_pct(*, march: March) -> np.ndarray:
    """Deepest dip of the bus voltage during the start, of what it was before [%]."""
    return 100.0 * (1.0 - march.least_bus)


def energy_kwh(*, march: March, machine: Machine) -> np.ndarray:
    """Energy taken until up to speed [kWh]."""
    return march.energy * machine.s_base_kva / 3600.0


def torque_margin_pct(*, march: March, machine: Machine) -> np.ndarray:
    """Least torque over the load's once ramps and transitions are over, of full-load torque [%]."""
    return 100.0 * march.spare / machine.t_fl


def lowest_limit_xfla(*, machine: Machine, load: Load, supply: Supply, stop_slip: np.ndarray) -> np.ndarray:
    """Lowest current limit that takes the motor up to speed, however long it takes.

    Parameters
    ----------
    machine, load, supply : what the start depends on
    stop_slip : slip at which the motor counts as up to speed

    Returns
    -------
    inf where full voltage does not take it there either; NaN where an input is unknown or the
    plate is no motor's [×FLA]

    Notes
    -----
    At each speed the voltage at which the torque equals the load's draws a current: the largest of
    these is the limit. Just above it a start takes for ever; heat and trips ask for more. It is looked for
    once more between the speeds beside the one that asks most. Its uncertainty is that of the torque between
    standstill and breakdown: work it out for the high and the low shape as well.
    """
    blocks = [np.zeros(0)]
    with np.errstate(all="ignore"):
        for at in (slice(first, first + BLOCK) for first in range(0, len(stop_slip), BLOCK)):
            case = {"machine": machine.take(at), "load": load.take(at), "supply": supply.take(at)}
            along = speeds(machine=case["machine"], load=case["load"], stop_slip=stop_slip[at])
            blocks.append(_lowest_limit(case, along))
    return np.where(machine.ok, np.concatenate(blocks), np.nan)


def _lowest_limit(case: dict, speed: np.ndarray) -> np.ndarray:
    """The largest current that any of these speeds asks, or any between those beside it."""
    needed, row = np.zeros(speed.shape[1]), np.zeros(speed.shape[1], int)
    for _ in range(2):
        at = path(**case, speed=speed)
        volts = np.sqrt(at.load / at.pull)
        asked = np.where(volts > at.full, np.inf, volts * at.drawn)
        row = asked.argmax(axis=0)
        needed = np.maximum(needed, asked.max(axis=0))
        ends = (speed[np.clip(row + step, 0, len(speed) - 1), np.arange(len(row))] for step in (-1, 1))
        speed = np.linspace(*ends, BETWEEN)
    return needed
