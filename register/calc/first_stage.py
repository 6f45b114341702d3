"""The first stage of a start: what happens before a ramp is at its end or a tap is changed over."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from register.calc.speed_step import growing, passed, steady
from register.calc.start_methods import ByTorque, ByVoltage, Control, Path, Ramp

WAIT = 4  # rows that a motor may spend standing while its ramp opens


@dataclass(frozen=True)
class FirstStage:
    """Times and effective voltages until the hand-over, at each speed up to it.

    The hand-over lies in cell `cell` after a `share` of it, at time `ends`; where the motor is at
    full speed before, `handed` is False. `wait_time` and `wait_volts` are of the motor standing,
    `corner_volts` just before the hand-over. `corner_mean` is the mean over time of the share of
    the way to it from the speed before. `by_torque` says whether a ramp is of torque, None that the
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
    by_torque: bool | None = None


def no_stage(*, final: np.ndarray) -> FirstStage:
    """A hand-over at the very beginning: full voltage, or a limit alone."""
    size = final.shape[1]
    nothing = np.zeros(size)
    return FirstStage(
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


def tap_stage(*, path: Path, control: Control, inertia_pu: np.ndarray) -> FirstStage:
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
    return FirstStage(
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


def ramp_stage(
    *, path: Path, control: Control, final: np.ndarray, t_fl: np.ndarray, inertia_pu: np.ndarray
) -> FirstStage:
    """While the ramp opens: first standing, then from cell to cell."""
    ramp = Ramp(path=path, control=control, final=final, t_fl=t_fl)
    standing = ramp.since(0.0, 0)
    breakaway = ramp.reaches(path.load[0], 0)
    capped = ramp.capped()
    quiet = np.maximum.accumulate(capped[::-1])[::-1]
    wait = np.linspace(0.0, 1.0, WAIT)[:, None] * np.minimum(capped[0], breakaway)
    time, net = np.full(final.shape, np.inf), np.full(final.shape, np.inf)
    time[0], net[0] = breakaway, standing.at(breakaway)
    scale = inertia_pu * np.diff(path.speed, axis=0)
    cell, share = _climb(ramp=ramp, scale=scale, capped=capped, quiet=quiet, time=time, net=net)
    handed = cell < len(scale)
    column, after = np.arange(len(cell)), np.minimum(cell + 1, len(scale))
    corner = final[cell, column] + share * (final[after, column] - final[cell, column])
    if ramp.by_torque:
        # Full voltage after the ramp is more than what it ends with.
        pull = path.pull[cell, column] + share * (path.pull[after, column] - path.pull[cell, column])
        corner = np.minimum(corner, np.sqrt(control.torque_to * t_fl / pull))
    volts = np.minimum(np.sqrt((net + path.load) / path.pull), final)
    ends = np.maximum(quiet[cell, column], time[cell, column])
    return FirstStage(
        time=time,
        volts=volts,
        cell=cell,
        share=share,
        ends=np.where(handed, ends, time[-1]),
        handed=handed,
        corner_volts=np.where(handed, corner, volts[-1]),
        corner_mean=np.full(len(cell), 0.5),
        by_torque=ramp.by_torque,
        wait_time=wait,
        wait_volts=np.sqrt((standing.at(wait) + path.load[0]) / path.pull[0]),
    )


def _climb(
    *, ramp: Ramp, scale: np.ndarray, capped: np.ndarray, quiet: np.ndarray, time: np.ndarray, net: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Fill in time and net torque at each speed; give cell and share where the ramp has no more.

    `quiet` are the moments from which it gives no more at a speed nor at any above.
    """
    size = time.shape[1]
    cell, share = np.full(size, len(scale)), np.zeros(size)
    members, going = np.arange(size), slice(None)
    for j in range(len(scale)):
        entered = time[j][going]
        taken, part, net[j + 1][going] = _ramp_cell(
            first=net[j][going],
            torque=ramp.since(entered, j + 1, going),
            scale=scale[j][going],
            most=np.maximum(capped[j + 1][going] - entered, 0.0),
            ends=quiet[j][going] - entered,
        )
        time[j + 1][going] = entered + taken
        over = part < 1.0
        if over.any():
            cell[members[over]], share[members[over]] = j, part[over]
            members = going = members[~over]
            if not members.size:
                break
    return cell, share


def _ramp_cell(
    *, first: np.ndarray, torque: ByVoltage | ByTorque, scale: np.ndarray, most: np.ndarray, ends: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Time through a cell while a ramp opens, share passed before it ends, torque at the far end.

    Parameters
    ----------
    first : net torque where the cell is entered, and when [pu]
    torque : net torque at its far end, by the clock [pu]
    scale : inertia times difference of speeds [s]
    most, ends : time until the torque at its far end grows no more, and until it grows nowhere [s]
    """
    taken, part = growing(first=first, later=torque, scale=scale, most=most)
    top = torque.at(taken)
    (short,) = np.nonzero(part < 1.0)
    if short.size:
        # What is left once the torque grows no more depends on speed alone.
        begun, last, end = first[short], torque.at(0.0)[short], top[short]
        way = part[short]
        here = begun + (end - last) + way * (last - begun)
        left = {"first": here, "last": end, "scale": scale[short] * (1.0 - way)}
        rest, _ = steady(**left)
        spare = np.maximum((ends - taken)[short], 0.0)
        passed_then, _ = passed(**left, time=spare)
        # Rounding must not turn a hand-over into a cell passed.
        share = np.minimum(way + (1.0 - way) * passed_then, 1.0 - 1e-12)
        part[short] = np.where(rest > spare, share, 1.0)
        taken[short] += rest
    return taken, part, top
