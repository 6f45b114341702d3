"""Curves in the terminal and as pictures: scales, dots where they belong, words that are there."""

import io
from itertools import combinations
from xml.etree import ElementTree

import numpy as np
import pytest
from by_path import study, window
from fan import CLOSED, DIRECT, RAMP, TAG, limit
from matplotlib import pyplot
from matplotlib.text import Text
from rich.console import Console

from register.errors import StartrollError
from register.reports import panels, picture, start_answers, window_panels
from register.reports.panels import MAIN, SECOND, Level, Line, Panel, ticks
from register.reports.terminal import braille
from register.rulebook.load.pack import load_pack
from register.starts import model
from register.starts.window import MARGIN

DAY = "2026-11-25"


def shown(drawing, width, *, fine=True):
    out = io.StringIO()
    Console(file=out, width=width, highlight=False).print(braille.drawing(drawing, width, fine=fine))
    return out.getvalue()


@pytest.fixture(scope="module")
def ramp(fan):
    return study(fan, TAG, changes=RAMP)


def test_ticks_are_round_and_within():
    assert ticks(0, 6.4, 4) == [0, 2, 4, 6]
    assert ticks(3.25, 5.8, 6) == pytest.approx([3.5, 4, 4.5, 5, 5.5])
    for begin, end in ((0, 0.37), (0, 1), (0, 99), (1.6, 6.2), (0, 200)):
        for most in (2, 5, 9):
            marks = ticks(begin, end, most)
            assert 1 <= len(marks) <= most + 1
            assert begin - 1e-9 <= marks[0] and marks[-1] <= end + 1e-9


def test_a_straight_line_goes_from_corner_to_corner():
    ends = np.array([0.0, 1.0])
    panel = Panel("", "x", (Line("a", ends, ends, MAIN),), (), 1.0, 1.0)
    canvas = braille.Canvas(10, 5, panel, fine=False)
    canvas.line(ends, ends, MAIN)
    rows = [canvas.text(row).plain for row in range(5)]
    assert rows[0].rstrip().endswith("*") and rows[0].startswith("        ")
    assert rows[4].startswith("*") and rows[4].strip() == rows[4].rstrip()
    assert [row.index("*") for row in rows] == sorted((row.index("*") for row in rows), reverse=True)


def test_what_lies_beyond_the_axes_is_not_drawn():
    panel = Panel("", "x", (), (), 1.0, 1.0)
    canvas = braille.Canvas(10, 5, panel, fine=True)
    canvas.line(np.array([0.0, 1.0]), np.array([1.5, 1.5]), MAIN)
    canvas.line(np.array([-1.0, -0.5]), np.array([0.5, 0.5]), MAIN)
    assert not canvas.dots.any()


def test_patterns_tell_lines_apart_without_colour():
    ends, middle = np.array([0.0, 1.0]), np.full(2, 0.5)
    drawn = set()
    for look in (MAIN, SECOND, panels.THIRD, panels.BOUND, panels.SET):
        canvas = braille.Canvas(12, 1, Panel("", "", (), (), 1.0, 1.0), fine=True)
        canvas.line(ends, middle, look)
        drawn.add(canvas.text(0).plain)
    assert len(drawn) == 5


@pytest.mark.parametrize("width", [80, 100, 140])
def test_a_drawing_fits_the_terminal_and_names_its_lines(ramp, width):
    text = shown(panels.of_study(ramp), width)
    assert max(map(len, text.splitlines())) <= width
    for words in (
        "line current",
        "lowest workable limit 4.2 × FLA",
        "lowest voltage allowed 90 %",
        "motor at full voltage",
        "motor as started",
        "load",
        "bus voltage",
        "Time, s",
        "Speed, % of synchronous",
    ):
        assert words in text, words


def test_a_console_without_braille_gets_plain_letters(ramp):
    text = shown(panels.of_study(ramp), 80, fine=False)
    assert text.replace("×", "x").isascii()
    assert "*" in text and "o" in text


def test_a_start_that_does_not_turn_is_drawn_to_its_trip(fan):
    made = study(fan, TAG)
    drawing = panels.of_study(made)
    current = drawing.below[0]
    # Four tenths of 342.92 s, the class being 4 to 10 s; the slowest trips past the 200 s followed.
    assert [level.label for level in current.levels if level.upright] == ["overload may trip 137 s"]
    assert current.x_end == pytest.approx(137.17 * panels.SHOWN_PAST_TRIP, rel=0.01)
    started = next(line for line in drawing.beside[0].lines if line.label == "motor as started")
    assert started.y[0] == pytest.approx((1.5 / 6.2) ** 2 * 90, rel=0.001)


def test_a_drive_has_no_dip_to_draw(demo):
    from by_path import starts

    drives = (study(demo.path, s.tag) for s in starts(demo.path) if s.dip_pct == 0.0)
    made = next(drives)
    assert made.how.startswith("drive")
    labels = [line.label for line in panels.of_study(made).below[2].lines]
    assert labels == ["speed, of synchronous"]


def test_pictures_are_whole_and_the_same_each_time(ramp):
    drawing = panels.of_study(ramp)
    svg = picture.drawn(drawing, "svg")
    assert svg == picture.drawn(drawing, "svg")
    text = svg.decode()
    assert text.rstrip().endswith("</svg>")
    for words in (
        "lowest workable limit 4.2",
        "motor at full voltage",
        f"{TAG} Kiln exhaust fan",
        "start: soft starter",
        "Halvard Kiln Works",
    ):
        assert words in text
    png = picture.drawn(drawing, "png")
    assert png.startswith(b"\x89PNG") and len(png) > 20_000
    assert png == picture.drawn(drawing, "png")


def test_a_window_is_drawn_with_its_workable_stretch(fan):
    able = {"hot_stall_s": "60", "device_trip_class": "40", "main_breaker_pickup_a": "2000", "dip_limit_pct": "8"}
    able |= {"duty_code": "AC-53b: 6-60 : 700"}
    drawing = window_panels.of_window(window(fan, TAG, changes=CLOSED | able | limit(3)))
    assert drawing.below[0].marked is not None
    assert "[ ] workable" in shown(drawing, 80)
    assert b"workable" in picture.drawn(drawing, "svg")
    none = window_panels.of_window(window(fan, TAG))
    assert none.below[0].marked is None and "[ ]" not in shown(none, 80)
    assert b">nothing workable</text>" in picture.drawn(none, "svg")


def _boxes(drawing):
    """Each text of the picture with the room that it takes, as matplotlib draws it."""
    figure = picture.figure_of(drawing)
    figure.draw_without_rendering()
    # A tick beyond the end of its axis has a text that is never drawn.
    ticks_ = [t for axes in figure.axes for axis in (axes.xaxis, axes.yaxis) for t in axis.get_major_ticks()]
    drawn = {id(t.label1) for axes in figure.axes for a in (axes.xaxis, axes.yaxis) for t in a._update_ticks()}
    undrawn = {id(t.label1) for t in ticks_} - drawn
    texts = [t for t in figure.findobj(Text) if t.get_text().strip() and t.get_visible() and id(t) not in undrawn]
    return figure, [(t.get_text(), t.get_window_extent()) for t in texts]


def _demo_drawings(demo):
    for tag in ("P-2117", "F-2135", "M-3121"):
        yield panels.of_study(study(demo.path, tag), DAY)
        yield window_panels.of_window(window(demo.path, tag), DAY)


def test_no_label_lies_over_another_or_beyond_the_picture(demo, fan, ramp):
    stalled = panels.of_study(study(fan, TAG), DAY)
    for drawing in (*_demo_drawings(demo), panels.of_study(ramp, DAY), stalled):
        figure, boxes = _boxes(drawing)
        assert len(boxes) > 20
        for (one, a), (other, b) in combinations(boxes, 2):
            assert not a.padded(-0.5).overlaps(b.padded(-0.5)), f"{drawing.title}: {one!r} over {other!r}"
        for words, box in boxes:
            assert box.x0 >= 0 and box.x1 <= figure.bbox.x1 and box.y1 <= figure.bbox.y1, words
        pyplot.close(figure)


def test_a_window_has_the_present_limit_the_one_to_set_and_every_bound(demo):
    # By hand from `window P-2117 --all`: 2.50 to 4.80 × FLA pass nothing; 1.1 × 2.32 is 2.55, and settings go by 0.1.
    made = window(demo.path, "P-2117")
    assert (made.set_xfla, made.recommended_xfla, made.workable) == (1.5, 2.6, (2.5, 4.8))
    drawing = window_panels.of_window(made, DAY)
    assert "recommended 2.6 × FLA. Set to 1.5 × FLA: below." in drawing.title
    assert made.site in drawing.subtitle and DAY in drawing.subtitle
    assert {level.at for level in drawing.below[0].levels} == {1.5, 2.6} and drawing.below[0].x_begin < 1.5
    assert {row.label for row in drawing.strips.rows} == set(start_answers.BOUNDS.values())
    for row in drawing.strips.rows:
        assert not any(low < 2.6 < high for low, high in row.spans), row.label
    assert load_pack().limits["limit_margin"].value == MARGIN


def test_where_nothing_is_workable_is_said_with_what_forbids(demo):
    made = window(demo.path, "F-2135")
    drawing = window_panels.of_window(made, DAY)
    assert made.recommended_xfla is None
    assert "nothing workable; overload and duty of the device forbid every limit" in drawing.title
    (overload,) = [row for row in drawing.strips.rows if row.label == "overload"]
    assert overload.spans[0][0] <= made.steps[0].limit_xfla and overload.spans[-1][1] >= made.steps[-1].limit_xfla
    assert "Overload (class 10 at 29.8 A, cold) forbids 1.55 to 6.00 × FLA." in drawing.described


def test_what_was_not_judged_is_hatched_and_read_somewhere(fan):
    made = window(fan, TAG, changes={"main_breaker_pickup_a": "unknown"} | limit(3))
    (row,) = [r for r in window_panels.of_window(made).strips.rows if r.label == "main breaker"]
    assert not row.judged and row.words == "not judged: read main_breaker_pickup_a"


def test_a_picture_tells_a_screen_reader_what_it_shows(ramp):
    drawing = panels.of_study(ramp, DAY)
    svg = ElementTree.fromstring(picture.drawn(drawing, "svg"))
    named = {of.get("id"): of.text for of in svg if of.tag.rpartition("}")[2] in ("title", "desc")}
    assert svg.get("role") == "img" and svg.get("aria-labelledby").split() == list(named)
    assert list(named.values()) == [drawing.title, drawing.described]
    assert "Lowest voltage allowed: 90 %." in drawing.described
    assert drawing.title.encode("latin-1", "replace")[:5] in picture.drawn(drawing, "png")


def test_the_band_is_drawn_and_holds_the_centre(fan):
    start = study(fan, TAG, changes=DIRECT | CLOSED).start
    band, course = start.band, start.course
    centre = np.interp(band.time_s, course.time_s, course.speed_pct)
    assert (band.speed_low_pct <= centre + 0.01).all() and (centre <= band.speed_high_pct + 0.01).all()
    assert (band.speed_high_pct - band.speed_low_pct).max() > 3.0


def test_another_kind_of_picture_is_refused(tmp_path):
    assert picture.kind_of(tmp_path / "a.SVG") == "svg"
    for name in ("a.pdf", "a", "a.jpeg"):
        with pytest.raises(StartrollError, match="no kind of picture"):
            picture.kind_of(tmp_path / name)


def test_labels_of_marks_carry_their_unit(fan):
    made = study(fan, TAG, way=model.FAILOVER)
    levels = [level.label for panel in panels.of_study(made).below for level in panel.levels]
    assert all(label.endswith(("× FLA", "%", " s")) for label in levels) and levels
    assert Level("x", 1.0).look == panels.BOUND
