"""From cells to rows: the course of a start with its wait, its hand-over and its end in place."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from register.calc.first_stage import WAIT, FirstStage
from register.calc.speed_step import passed, steady
from register.calc.start_methods import Path

EXTRA = WAIT + 2  # rows besides one for each speed: standing, and both sides of the hand-over


@dataclass(frozen=True)
class Rows:
    """The course of each start, (R, n), and from each row to the next, (R − 1, n).

    `late` is after the hand-over; `mean`, between rows, is the mean over time of the share of the
    way to the next row. `cell`, (n,), is the place of the hand-over among the speeds.
    """

    time: np.ndarray
    speed: np.ndarray
    drawn: np.ndarray
    cosine: np.ndarray
    pull: np.ndarray
    load: np.ndarray
    volts: np.ndarray
    late: np.ndarray
    mean: np.ndarray
    cell: np.ndarray

    def net(self, index: tuple | slice = slice(None)) -> np.ndarray:
        """Torque that accelerates [pu]."""
        return self.volts[index] ** 2 * self.pull[index] - self.load[index]


class _Layout:
    """Which speed each row belongs to; two rows, at the hand-over, lie between speeds."""

    def __init__(self, stage: FirstStage, speeds: int):
        self._column = np.arange(stage.cell.size)
        place = np.arange(-WAIT, speeds + 2)[:, None]
        node = np.where(place <= stage.cell, place, np.maximum(place - 2, stage.cell))
        # Places in a flat array: half the time of one index for rows and one for columns.
        self._place = np.clip(node, 0, speeds - 1) * stage.cell.size + self._column
        self._corner = WAIT + stage.cell + 1
        self._ends = stage.cell, np.minimum(stage.cell + 1, speeds - 1)
        self._share = stage.share
        self.late = (place > stage.cell + 1) & stage.handed

    def between(self, values: np.ndarray) -> np.ndarray:
        """Value at the hand-over of what is known at the speeds."""
        first, last = (values[end, self._column] for end in self._ends)
        return first + self._share * (last - first)

    def spread(self, values: np.ndarray, corner: np.ndarray) -> np.ndarray:
        """A row for each of the speeds, and two for the hand-over."""
        rows = np.take(values, self._place)
        rows[self._corner, self._column] = rows[self._corner + 1, self._column] = corner
        return rows

    def set_before_corner(self, values: np.ndarray, corner: np.ndarray) -> None:
        """Overwrite what lies between the row before the hand-over and the hand-over."""
        values[self._corner - 1, self._column] = corner


def joined(*, path: Path, stage: FirstStage, final: np.ndarray, inertia_pu: np.ndarray) -> Rows:
    """Join the first stage, before the hand-over, and the cells after it.

    Parameters
    ----------
    path : motor, supply and load at the speeds of the cells
    stage : the first stage, what happens before the hand-over
    final : effective voltage after it, at each speed [pu]
    inertia_pu : time to synchronous speed at 1 pu of torque [s]
    """
    at = _Layout(stage, len(final))
    names = ("speed", "drawn", "cosine", "pull", "load")
    known = {n: at.spread(getattr(path, n), at.between(getattr(path, n))) for n in names}
    early = at.spread(stage.volts, stage.corner_volts)
    early[:WAIT] = stage.wait_volts
    volts = np.where(at.late, at.spread(final, at.between(final)), early)
    time = at.spread(stage.time, stage.ends)
    time[:WAIT] = stage.wait_time
    net = volts * volts * known["pull"] - known["load"]
    taken, mean = steady(first=net[:-1], last=net[1:], scale=inertia_pu * np.diff(known["speed"], axis=0))
    late = at.late[:-1]
    after = stage.ends + np.cumsum(np.where(late, taken, 0.0), axis=0)
    time[1:] = np.where(late, after, time[1:])
    if stage.by_torque is None:
        at.set_before_corner(mean, stage.corner_mean)
    else:
        # A ramp of torque makes the square of the current rise evenly, one of voltage the current.
        growing = 0.5 if stage.by_torque else _evenly_rising(volts * known["drawn"])
        mean = np.where(late, mean, growing)
    return Rows(time=time, **known, volts=volts, late=at.late, mean=mean, cell=stage.cell)


def _evenly_rising(current: np.ndarray) -> np.ndarray:
    """Mean share of the way between squares of a current that rises evenly."""
    return (current[1:] + 2.0 * current[:-1]) / (3.0 * (current[1:] + current[:-1]))


def clip(*, rows: Rows, inertia_pu: np.ndarray, t_max_s: float) -> None:
    """End each course at t_max_s, where it has got to by then; later rows repeat that one.

    The rows given are changed themselves.
    """
    beyond = ~(rows.time <= t_max_s)
    column = np.flatnonzero(beyond.any(axis=0))
    if not column.size:
        return
    upper = np.maximum(np.argmax(beyond[:, column], axis=0), 1)
    lower = upper - 1
    left = t_max_s - rows.time[lower, column]
    share, mean = passed(
        first=rows.net((lower, column)),
        last=rows.net((upper, column)),
        scale=inertia_pu[column] * (rows.speed[upper, column] - rows.speed[lower, column]),
        time=left,
    )
    evenly = left / (rows.time[upper, column] - rows.time[lower, column])
    by_clock = ~rows.late[lower, column]
    share = np.where(by_clock, evenly, share)
    mean = np.where(by_clock, 0.5, mean / share)
    after = np.arange(len(rows.time))[:, None] >= upper
    for f in fields(Rows)[:7]:
        values = getattr(rows, f.name)
        first, last = values[lower, column], values[upper, column]
        end = np.full(column.size, t_max_s) if f.name == "time" else first + share * (last - first)
        values[:, column] = np.where(after, end, values[:, column])
    rows.late[:, column] = np.where(after, ~by_clock, rows.late[:, column])
    rows.mean[lower, column] = np.where(share > 0.0, mean, 0.5)
