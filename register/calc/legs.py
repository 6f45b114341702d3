"""The first leg of a start: what happens before a ramp is at its end or a tap is changed over."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from register.calc.cells import growing, passed, steady
from register.calc.control import TORQUE, Control, Path, Ramp

WAIT = 4  # rows that a motor may spend standing while its ramp opens


@dataclass(frozen=True)
class Leg:
    """Times and voltages until the hand-over, at each speed up to it.

    The hand-over lies in cell `cell` after a `share` of it, at time `ends`; where the motor is at
    full speed before, `handed` is False. `wait_time` and `wait_volts` are of the motor standing,
    `corner_volts` just before the hand-over. `corner_mean` is the mean over time of the share of
    the way to it from the speed before. `by_torque` says which ramps are of torque, None that the
    voltage depends on speed alone.
    """

    time: np.ndarray
    volts: np.ndarray
    cell: np.ndarray
    share: np.ndarray
    ends: np.ndarray
    handed: np.ndarray
    wait_time: np.ndarray
    wait_volts: np.ndarray
    corner_volts: np.ndarray
    corner_mean: np.ndarray
    by_torque: np.ndarray | None = None


def none_leg(*, final: np.ndarray) -> Leg:
    """A hand-over at the very beginning: full voltage, or a limit alone."""
    size = final.shape[1]
    nothing = np.zeros(size)
    return Leg(
        time=np.zeros_like(final),
        volts=final,
        cell=np.zeros(size, int),
        share=nothing,
        ends=nothing,
        handed=np.ones(size, bool),
        wait_time=np.zeros((WAIT, size)),
        wait_volts=np.tile(final[:1], (WAIT, 1)),
        corner_volts=final[0],
        corner_mean=nothing,
    )


def tap_leg(*, path: Path, control: Control, inertia_pu: np.ndarray) -> Leg:
    """At the tap until the transition."""
    volts = path.behind_tap(control.tap)
    net = path.net(volts)
    scale = inertia_pu * np.diff(path.speed, axis=0)
    taken, _ = steady(first=net[:-1], last=net[1:], scale=scale)
    time = np.vstack([np.zeros(net.shape[1]), np.cumsum(taken, axis=0)])
    ends = control.transition_s
    handed = ~(time[-1] <= ends)
    cell = np.where(handed, np.argmax(~(time[1:] <= ends), axis=0), len(scale))
    column = np.arange(net.shape[1])
    within = np.minimum(cell, len(scale) - 1)
    share, mean = passed(
        first=net[within, column],
        last=net[within + 1, column],
        scale=scale[within, column],
        time=ends - time[within, column],
    )
    mean = np.where(share > 0.0, mean / share, 0.5)
    share = np.where(handed, share, 0.0)
    corner = volts[within, column] + share * (volts[within + 1, column] - volts[within, column])
    return Leg(
        time=time,
        volts=volts,
        cell=cell,
        share=share,
        ends=np.where(handed, ends, time[-1]),
        handed=handed,
        wait_time=np.zeros((WAIT, net.shape[1])),
        wait_volts=np.tile(volts[:1], (WAIT, 1)),
        corner_volts=np.where(handed, corner, volts[-1]),
        corner_mean=mean,
    )


def ramp_leg(
    *, path: Path, control: Control, final: np.ndarray, t_fl: np.ndarray, inertia_pu: np.ndarray
) -> Leg:
    """While the ramp opens: first standing, then from cell to cell."""
    ramp = Ramp(path=path, control=control, final=final, t_fl=t_fl)
    everyone = slice(None)
    standing = ramp.at(0, everyone)
    breakaway = ramp.reaches(0, everyone, path.load[0] / path.pull[0])
    flat = np.minimum(ramp.capped(0, everyone), breakaway)
    wait = np.linspace(0.0, 1.0, WAIT)[:, None] * flat
    time = np.full(path.speed.shape, np.inf)
    squared = final * final
    time[0], squared[0] = breakaway, standing(breakaway)
    cell, share = _climb(ramp, path, inertia_pu, time, squared)
    handed = cell < len(time) - 1
    column, after = np.arange(len(cell)), np.minimum(cell + 1, len(time) - 1)
    corner = final[cell, column] + share * (final[after, column] - final[cell, column])
    volts = np.sqrt(squared)
    return Leg(
        time=time,
        volts=volts,
        cell=cell,
        share=share,
        ends=np.where(handed, control.ramp_s, time[-1]),
        handed=handed,
        corner_volts=np.where(handed, corner, volts[-1]),
        corner_mean=np.full(len(cell), 0.5),
        by_torque=control.method == TORQUE,
        wait_time=wait,
        wait_volts=np.sqrt([standing(moment) for moment in wait]),
    )


def _climb(
    ramp: Ramp, path: Path, inertia_pu: np.ndarray, time: np.ndarray, squared: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Fill in time and voltage, squared, at each speed; give cell and share where the ramp ends."""
    size = time.shape[1]
    cell, share = np.full(size, len(time) - 1), np.zeros(size)
    scale = inertia_pu * np.diff(path.speed, axis=0)
    going = np.arange(size)
    for j in range(len(scale)):
        volts, entered = ramp.at(j + 1, going), time[j, going]
        taken, part = _ramp_cell(
            first=squared[j, going] * path.pull[j, going] - path.load[j, going],
            torque=lambda t, v=volts, g=going, j=j: (
                v(t) * path.pull[j + 1, g] - path.load[j + 1, g]
            ),
            scale=scale[j, going],
            entered=entered,
            capped=ramp.capped(j + 1, going),
            ends=ramp.seconds[going],
        )
        over = part < 1.0
        cell[going[over]], share[going[over]] = j, part[over]
        time[j + 1, going] = entered + taken
        squared[j + 1, going] = np.where(over, squared[j + 1, going], volts(entered + taken))
        going = going[~over]
        if not going.size:
            break
    return cell, share


def _ramp_cell(
    *,
    first: np.ndarray,
    torque: Callable[[np.ndarray], np.ndarray],
    scale: np.ndarray,
    entered: np.ndarray,
    capped: np.ndarray,
    ends: np.ndarray,
) -> tuple[np.ndarray, np.ndarray]:
    """Time through a cell while a ramp opens, and the share of it passed before the ramp ends.

    Parameters
    ----------
    first : net torque where the cell is entered, and when [pu]
    torque : net torque at its far end, by the clock [pu]
    scale : inertia times difference of speeds [s]
    entered, capped, ends : moments at which it is entered, at which the voltage at its far end
        grows no more, and of the ramp's end [s]
    """
    last = torque(entered)
    most = np.maximum(np.minimum(capped, ends) - entered, 0.0)
    taken, part = growing(
        first=first, last=last, later=lambda after: torque(entered + after), scale=scale, most=most
    )
    # What is left once the voltage has reached its limit: the torque there depends on speed alone.
    top = torque(entered + most)
    here = first + (top - last) + part * (last - first)
    left = {"first": here, "last": top, "scale": scale * (1.0 - part)}
    rest, _ = steady(**left)
    spare = np.maximum(ends - entered - taken, 0.0)
    passed_then, _ = passed(**left, time=spare)
    over = (part < 1.0) & (rest > spare)
    share = np.where(over, part + (1.0 - part) * passed_then, 1.0)
    # Rounding must not turn a hand-over into a cell passed.
    share = np.where(over, np.minimum(share, 1.0 - 1e-12), share)
    return taken + np.where(part < 1.0, rest, 0.0), share
