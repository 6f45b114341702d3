"""A place for each label of a picture: beside what it names, over no other label and over as few lines as can be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.transforms import Bbox

from register.reports.panels import Level, Line, Panel

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.text import Annotation

SHARES = (0.42, 0.55, 0.68, 0.8, 0.3, 0.92, 0.2, 0.08)  # of the width or height, the best first
AWAY = (3.0, 9.0, 16.0)  # points from what is named
SLACK = 1.5  # dots kept free round a label
EVERY = 3.0  # dots between the points of a line that a label is kept off
ON_LABEL, OUTSIDE, ON_LINE, FAR, FIRST = 1e6, 1e4, 1.0, 1.0, 1e-3


@dataclass(frozen=True)
class Spot:
    """A place for a label: a point of the data, and to which side of it, how many points away."""

    x: float
    y: float
    ha: str
    va: str
    dx: float = 0.0
    dy: float = 0.0


@dataclass(frozen=True)
class Label:
    """Words, and the spots where they may stand, the best first."""

    axes: Axes
    words: str
    color: str
    spots: tuple[Spot, ...]


def of_line(axes: Axes, line: Line, panel: Panel, color: str) -> Label:
    """The name of a line, above or below it at some share of the width."""
    at = panel.x_begin + np.array(SHARES) * (panel.x_end - panel.x_begin)
    at = at[(at >= line.x.min()) & (at <= line.x.max())]
    at = at if at.size else np.array([line.x.mean()])
    y = np.minimum(np.interp(at, line.x, line.y), panel.y_end)
    return Label(axes, line.label, color, tuple(_beside(at, y, ("left", "right", "center"))))


def of_level(axes: Axes, level: Level, panel: Panel, color: str) -> Label:
    """The name of a bound: above or below it, or on either side of an upright one, never turned."""
    wide, tall = panel.x_end - panel.x_begin, panel.y_end
    if not level.upright:
        at = panel.x_begin + np.array((0.99, *SHARES)) * wide
        return Label(axes, level.label, color, tuple(_beside(at, np.full(at.size, level.at), ("right", "left"))))
    heights = tall * np.array((0.9, 0.78, 0.66, 0.54, 0.42, 0.3, 0.18, 0.08))
    sides = (("right", -4.0), ("left", 4.0))
    spots = (Spot(level.at, y, ha, "center", dx) for y in heights for ha, dx in sides)
    return Label(axes, level.label, color, tuple(spots))


def _beside(x: np.ndarray, y: np.ndarray, sides: Sequence[str]) -> Iterator[Spot]:
    for away in AWAY:
        for across, up in zip(x, y, strict=True):
            for ha in sides:
                yield Spot(float(across), float(up), ha, "bottom", 0.0, away)
                yield Spot(float(across), float(up), ha, "top", 0.0, -away)


def place(figure: Figure, labels: Sequence[Label]) -> list[Annotation]:
    """The labels, written where each covers no other and as little of the lines as can be."""
    taken = [text.get_window_extent() for axes in figure.axes for text in axes.texts]
    ink = {axes: _ink(axes) for axes in figure.axes}
    written = []
    for label in sorted(labels, key=lambda each: len(each.spots)):
        text = label.axes.annotate(
            label.words, (0, 0), xytext=(0, 0), textcoords="offset points", color=label.color, fontsize=8, zorder=5
        )
        _move(text, _best(text, label, taken, ink[label.axes]))
        taken.append(text.get_window_extent())
        written.append(text)
    return written


def _best(text: Annotation, label: Label, taken: list[Bbox], ink: np.ndarray) -> Spot:
    """The spot that costs least, the first of equals; one that is dearer by its place alone is not measured."""
    best, least = label.spots[0], np.inf
    for turn in enumerate(label.spots):
        if _by_place(turn) < least and (cost := _cost(text, turn, taken, ink, label.axes)) < least:
            best, least = turn[1], cost
    return best


def _by_place(turn: tuple[int, Spot]) -> float:
    """What a spot costs that is free: how far it is from what it names, and how many are preferred to it."""
    return FAR * abs(turn[1].dy) + FIRST * turn[0]


def _move(text: Annotation, spot: Spot) -> None:
    text.xy = (spot.x, spot.y)
    text.set_position((spot.dx, spot.dy))
    text.set(ha=spot.ha, va=spot.va)


def _cost(text: Annotation, turn: tuple[int, Spot], taken: list[Bbox], ink: np.ndarray, axes: Axes) -> float:
    """What a spot costs: a label under it most, then what sticks out, then lines; the first of equals is best."""
    _move(text, turn[1])
    box = text.get_window_extent().padded(SLACK)
    inside = axes.get_window_extent()
    out = box.x0 < inside.x0 or box.x1 > inside.x1 or box.y0 < inside.y0 or box.y1 > inside.y1 + SLACK
    crossed = ((ink > box.min) & (ink < box.max)).all(axis=1).sum()
    covered = sum(box.overlaps(other) for other in taken)
    return ON_LABEL * covered + OUTSIDE * out + ON_LINE * crossed + _by_place(turn)


def _ink(axes: Axes) -> np.ndarray:
    """Points of all lines of these axes, in dots."""
    found = [np.empty((0, 2))]
    for line in axes.lines:
        dots = line.get_transform().transform(line.get_xydata())
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(dots, axis=0).T))])
        at = np.arange(0.0, along[-1], EVERY)
        found.append(np.column_stack([np.interp(at, along, dots[:, 0]), np.interp(at, along, dots[:, 1])]))
    return np.concatenate(found)
