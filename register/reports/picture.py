"""Panels as a picture: SVG or PNG, readable in print and to those who see colours differently."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from register.errors import Problem, StartrollError
from register.reports.panels import BOUND, MAIN, SECOND, SET, THIRD, Drawing, Line, Panel

if TYPE_CHECKING:
    from matplotlib.axes import Axes

KINDS = ("svg", "png")
SIZE_IN = (11.0, 6.4)
NARROW_IN = (7.4, 6.0)
INK, PALE = "#222222", "#8a8a8a"
# Blue, vermilion and green of Okabe and Ito; dashes and widths tell them apart without colour.
LOOKS = {
    MAIN: {"color": "#0072B2", "linewidth": 2.2},
    SECOND: {"color": "#D55E00", "linewidth": 1.8, "dashes": (6, 2)},
    THIRD: {"color": "#009E73", "linewidth": 1.8, "dashes": (2, 1.5)},
    BOUND: {"color": INK, "linewidth": 1.0, "dashes": (1, 2)},
    SET: {"color": INK, "linewidth": 1.0, "dashes": (8, 3)},
}
MARKED = "#E8EEF4"
LABEL_WIDE = 0.2  # of the width
LABELS_AT = (0.4, 0.52, 0.68, 0.8)  # of the width, so that names of neighbours keep apart
# fmt: off
STYLE = {
    "font.size": 9, "axes.spines.top": False, "axes.spines.right": False, "axes.edgecolor": PALE,
    "axes.labelcolor": INK, "xtick.color": INK, "ytick.color": INK, "text.color": INK,
    "axes.titlesize": 9, "axes.titleweight": "bold", "axes.titlelocation": "left",
    "svg.fonttype": "none", "svg.hashsalt": "startroll", "axes.axisbelow": True,
}
# fmt: on


def kind_of(path: Path) -> str:
    """svg or png, by the ending; StartrollError for another one."""
    kind = path.suffix.lower().removeprefix(".")
    if kind not in KINDS:
        cause = f"{path.suffix or 'no ending'} is no kind of picture"
        raise StartrollError(Problem(cause, "end it in .svg or .png", str(path)))
    return kind


def drawn(made: Drawing, kind: str) -> bytes:
    """All panels in one picture, svg or png; the same panels give the same bytes."""
    import matplotlib

    matplotlib.use("agg")
    from matplotlib import pyplot

    with matplotlib.rc_context(STYLE):
        figure = pyplot.figure(figsize=SIZE_IN if made.beside else NARROW_IN, layout="constrained")
        figure.suptitle(made.title, x=0.01, ha="left", fontsize=11)
        for panel, axes in _places(figure, made):
            _draw(panel, axes)
        written = BytesIO()
        # Without a date one study gives one file.
        dateless = {"Date": None} if kind == "svg" else {"Software": None}
        figure.savefig(written, format=kind, dpi=150, metadata=dateless)
        pyplot.close(figure)
    return written.getvalue()


def _places(figure, made: Drawing) -> list[tuple[Panel, Axes]]:
    columns = 2 if made.beside else 1
    grid = figure.add_gridspec(len(made.below), columns)
    places: list[tuple[Panel, Axes]] = []
    for row, panel in enumerate(made.below):
        shared = places[0][1] if places else None
        places.append((panel, figure.add_subplot(grid[row, 0], sharex=shared)))
    for panel in made.beside:
        places.append((panel, figure.add_subplot(grid[:, 1])))
    return places


def _draw(panel: Panel, axes: Axes) -> None:
    axes.set_title(panel.title)
    axes.set_xlim(panel.x_begin, panel.x_end)
    axes.set_ylim(0.0, panel.y_end)
    axes.grid(axis="y", color="#E6E6E6", linewidth=0.6)
    if panel.x_title:
        axes.set_xlabel(panel.x_title)
    else:
        axes.tick_params(labelbottom=False)
    if panel.marked:
        axes.axvspan(*panel.marked, color=MARKED, zorder=0)
        axes.text(sum(panel.marked) / 2.0, 0.97 * panel.y_end, panel.marked_words, ha="center", va="top", fontsize=8)
    for level in panel.levels:
        if level.upright:
            axes.axvline(level.at, **LOOKS[level.look])
            _say(axes, level.at, 0.04 * panel.y_end, level.label, INK, rotation=90, ha="right")
        else:
            axes.axhline(level.at, **LOOKS[level.look])
            across = panel.x_end - 0.01 * (panel.x_end - panel.x_begin)
            _say(axes, across, level.at, level.label, INK, ha="right", below=level.named_below)
    for turn, line in enumerate(panel.lines):
        axes.plot(line.x, line.y, **LOOKS[line.look], solid_capstyle="round", zorder=3)
        x, y, side = _label_at(line, panel, turn)
        _say(axes, x, y, line.label, LOOKS[line.look]["color"], ha=side)


def _say(axes: Axes, x: float, y: float, words: str, color: str, *, below: bool = False, **how) -> None:
    """Words beside a line, on a ground of their own so that what they cross stays legible."""
    ground = {"facecolor": "white", "edgecolor": "none", "pad": 0.5, "alpha": 0.7}
    axes.annotate(
        words,
        (x, y),
        xytext=(0, -3 if below else 3),
        textcoords="offset points",
        color=color,
        fontsize=8,
        va="top" if below else "bottom",
        bbox=ground,
        zorder=2,
        **how,
    )


def _label_at(line: Line, panel: Panel, turn: int) -> tuple[float, float, str]:
    """A place for the name of a line, on the side where the line is not."""
    wide = panel.x_end - panel.x_begin
    at = panel.x_begin + LABELS_AT[turn] * wide
    y, after = (np.interp(x, line.x, line.y) for x in (at, at + 0.02 * wide))
    side = "right" if after > y else "left"
    along = np.linspace(at, at + (-1 if side == "right" else 1) * LABEL_WIDE * wide)
    return at, float(np.interp(along, line.x, line.y).max()), side
