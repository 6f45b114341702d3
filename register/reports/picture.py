"""Panels as a picture: SVG or PNG, readable in print and to those who see colours differently."""

from __future__ import annotations

from html import escape
from io import BytesIO
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING, Any

from register.errors import Problem, StartrollError
from register.reports.panels import BOUND, MAIN, SECOND, SET, THIRD, Drawing, Level, Panel, Strips

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from register.reports.label_places import Label

KINDS = ("svg", "png")
SIZE_IN = (11.0, 6.8)
NARROW_IN = (8.2, 8.6)
INK, PALE, FORBIDS = "#222222", "#6B6B6B", "#B34700"
# Blue, vermilion and green after Okabe and Ito, as dark as text asks; dashes and widths tell them apart without colour.
LOOKS: dict[str, Any] = {
    MAIN: {"color": "#0061A1", "linewidth": 2.2},
    SECOND: {"color": "#B34700", "linewidth": 1.8, "dashes": (6, 2)},
    THIRD: {"color": "#00734F", "linewidth": 1.8, "dashes": (2, 1.5)},
    BOUND: {"color": INK, "linewidth": 1.0, "dashes": (1, 2)},
    SET: {"color": INK, "linewidth": 1.3, "dashes": (8, 3)},
}
MARKED, NOTHING = "#DCE9F3", "#F6E3D9"
SMALL = 8
BOLD = 0.78  # as many bold letters in a line as there are of the others
LEAST = 0.1  # %, below which a share of a bound is none
LETTERS_AN_INCH = 13.5  # of a title, which is folded to the width of the picture
# fmt: off
STYLE: Any = {
    "font.size": 9, "axes.spines.top": False, "axes.spines.right": False, "axes.edgecolor": PALE,
    "axes.labelcolor": INK, "xtick.color": INK, "ytick.color": INK, "text.color": INK,
    "axes.titlesize": 9, "axes.titleweight": "bold", "axes.titlelocation": "left",
    "svg.fonttype": "none", "svg.hashsalt": "startroll", "axes.axisbelow": True, "hatch.linewidth": 0.6,
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
    """All panels in one picture, svg or png, with its words for who can't see it; the same panels, the same bytes."""
    import matplotlib

    matplotlib.use("agg")
    from matplotlib import pyplot

    with matplotlib.rc_context(STYLE):
        figure = figure_of(made)
        written = BytesIO()
        # Without a date one study gives one file.
        dateless = {"Date": None} if kind == "svg" else {"Software": None, "Description": made.described}
        figure.savefig(written, format=kind, dpi=150, metadata=dateless | {"Title": made.title})
        pyplot.close(figure)
    return _told(written.getvalue(), made) if kind == "svg" else written.getvalue()


def _told(svg: bytes, made: Drawing) -> bytes:
    """The picture with a title and a description that a screen reader finds."""
    text = svg.decode()
    head = text.index("<svg ") + len("<svg ")
    text = f'{text[:head]}role="img" aria-labelledby="picture-title picture-words" {text[head:]}'
    title = f"<title>{escape(made.title, quote=False)}</title>"
    named = title.replace("<title>", '<title id="picture-title">')
    words = f'<desc id="picture-words">{escape(made.described, quote=False)}</desc>'
    return text.replace(title, f"{named}\n {words}", 1).encode()


def figure_of(made: Drawing) -> Figure:
    """The figure with every label in its place."""
    from matplotlib import pyplot

    from register.reports.label_places import place

    size = SIZE_IN if made.beside else NARROW_IN
    figure = pyplot.figure(figsize=size, dpi=150, layout="constrained")
    letters = int(size[0] * LETTERS_AN_INCH)
    # One text of two weights is two: the title takes the room of both, the subtitle stands in its last lines.
    below = _folded(made.subtitle, letters)
    above = _folded(made.title, int(BOLD * letters))
    heading = figure.suptitle(above + "\n" * (below.count("\n") + 1), x=0.01, ha="left", fontsize=10, fontweight="bold")
    labels: list[Label] = []
    for panel, axes in _places(figure, made):
        labels += _draw(panel, axes) if isinstance(panel, Panel) else _draw_strips(panel, axes, made.below[-1])
    figure.draw_without_rendering()  # which fixes where the axes are
    figure.set_layout_engine("none")
    box = heading.get_window_extent().transformed(figure.transFigure.inverted())
    heading.set_text(above)
    figure.text(0.01, box.y0, below, ha="left", va="bottom", fontsize=9)
    place(figure, labels)
    return figure


def _folded(text: str, letters: int) -> str:
    """The text in lines of so many letters, a number never parted from its unit."""
    held = text.replace(" × FLA", "\xa0×\xa0FLA").replace(" : ", "\xa0:\xa0")
    return fill(held, letters).replace("\xa0", " ")


def _places(figure: Figure, made: Drawing) -> list[tuple[Panel | Strips, Axes]]:
    columns = 2 if made.beside else 1
    below: list[Panel | Strips] = [*made.below, *([made.strips] if made.strips else [])]
    grid = figure.add_gridspec(len(below), columns)
    places: list[tuple[Panel | Strips, Axes]] = []
    for row, panel in enumerate(below):
        shared = places[0][1] if places else None
        places.append((panel, figure.add_subplot(grid[row, 0], sharex=shared)))
    for panel in made.beside:
        places.append((panel, figure.add_subplot(grid[:, 1])))
    return places


def _draw(panel: Panel, axes: Axes) -> list[Label]:
    """Draw the lines and bounds of one panel; their names are handed back, to be placed."""
    from register.reports import label_places

    axes.set_title(panel.title)
    axes.set_xlim(panel.x_begin, panel.x_end)
    axes.set_ylim(0.0, panel.y_end)
    if panel.by_decades:
        _decades(panel, axes)
    axes.grid(axis="y", color="#E6E6E6", linewidth=0.6)
    axes.set_xlabel(panel.x_title) if panel.x_title else axes.tick_params(labelbottom=False)
    labels = []
    if panel.marked or panel.marked_words:
        labels += _mark(panel, axes)
    for between in panel.between:
        axes.fill_between(between.x, between.low, between.high, color=LOOKS[MAIN]["color"], alpha=0.18, linewidth=0)
    for level in panel.levels:
        _level(level, axes)
        labels += [label_places.of_level(axes, level, panel, INK)] if level.label else []
    for line in panel.lines:
        axes.plot(line.x, line.y, **LOOKS[line.look], solid_capstyle="round", zorder=3)
        labels += [label_places.of_line(axes, line, panel, LOOKS[line.look]["color"])] if line.label else []
    return labels


def _decades(panel: Panel, axes: Axes) -> None:
    """A scale by decades, on which what lies far below a bound is still told apart."""
    from matplotlib.ticker import FuncFormatter, LogLocator, NullLocator

    least = min([panel.y_end / 10.0, *(float(line.y.min()) for line in panel.lines)])
    axes.set_yscale("log")
    axes.set_ylim(max(least / 2.0, LEAST), panel.y_end)
    axes.yaxis.set_major_locator(LogLocator(subs=(1.0, 3.0)))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    axes.yaxis.set_minor_locator(NullLocator())


def _mark(panel: Panel, axes: Axes) -> list[Label]:
    """Shade the stretch that is marked, or all where nothing is; its words are handed back."""
    from register.reports.label_places import Label, Spot

    begin, end = panel.marked or (panel.x_begin, panel.x_end)
    axes.axvspan(begin, end, color=MARKED if panel.marked else NOTHING, zorder=0)
    if not panel.marked_words:
        return []
    heights = (0.97, 0.86, 0.75, 0.64, 0.53, 0.42)
    spots = (Spot((begin + end) / 2.0, share * panel.y_end, "center", "top") for share in heights)
    return [Label(axes, panel.marked_words, INK, tuple(spots))]


def _level(level: Level, axes: Axes) -> None:
    (axes.axvline if level.upright else axes.axhline)(level.at, **LOOKS[level.look])


def _draw_strips(strips: Strips, axes: Axes, above: Panel) -> list[Label]:
    """A bar for each bound where it forbids, a hatched one where it was not judged."""
    axes.set_title(f"{strips.title} (hatched: not judged)")
    count = len(strips.rows)
    for place, row in enumerate(strips.rows):
        if not row.judged:
            axes.barh(place, above.x_end - above.x_begin, left=above.x_begin, height=0.6, facecolor="white", **_HATCH)
        for begin, end in row.spans:
            axes.barh(place, end - begin, left=begin, height=0.6, color=FORBIDS)
    axes.set_ylim(count - 0.4, -0.6)
    axes.set_yticks(
        range(count),
        [_folded(f"{row.label}: {row.words}".removesuffix(": "), 34) for row in strips.rows],
        fontsize=SMALL,
    )
    axes.tick_params(axis="y", length=0)
    axes.set_xlabel(above.x_title)
    if above.marked:
        axes.axvspan(*above.marked, color=MARKED, zorder=0)
    for level in strips.levels:
        _level(level, axes)
    return []


_HATCH: dict[str, Any] = {"edgecolor": PALE, "hatch": "////", "linewidth": 0.6}
