"""Curves in the terminal and as pictures: scales, dots where they belong, words that are there."""

import io

import numpy as np
import pytest
from by_path import study, window
from fan import CLOSED, RAMP, TAG, limit
from rich.console import Console

from register.errors import StartrollError
from register.reports import panels, picture
from register.reports.panels import MAIN, SECOND, Level, Line, Panel, ticks
from register.reports.terminal import braille
from register.starts import model


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
        "deepest dip allowed 90 %",
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
    assert [level.label for level in current.levels if level.upright] == ["overload may trip 137.2 s"]
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
    for words in ("lowest workable limit 4.2", "motor at full voltage", f"{TAG}: start"):
        assert words in text
    png = picture.drawn(drawing, "png")
    assert png.startswith(b"\x89PNG") and len(png) > 20_000
    assert png == picture.drawn(drawing, "png")


def test_a_window_is_drawn_with_its_workable_stretch(fan):
    able = {"hot_stall_s": "60", "device_trip_class": "40", "main_breaker_pickup_a": "2000", "dip_limit_pct": "8"}
    able |= {"duty_code": "AC-53b: 6-60 : 700"}
    drawing = panels.of_window(window(fan, TAG, changes=CLOSED | able | limit(3)))
    assert drawing.below[0].marked is not None
    assert "[ ] workable" in shown(drawing, 80)
    assert b"workable" in picture.drawn(drawing, "svg")
    none = panels.of_window(window(fan, TAG))
    assert none.below[0].marked is None and "[ ]" not in shown(none, 80)


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
