"""Panels drawn with the dots of braille letters, or with plain ones where there are none."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from register.reports.panels import BOUND, MAIN, SECOND, SET, THIRD, Drawing, Panel, ticks
from register.text import number

AXIS = 6  # columns left of the plot
WIDE = 120  # columns, from which panels stand side by side
ROWS = 7
TALL = 11
SAMPLE_WIDE = 6  # columns, in which the longest pattern can be seen
# Dots drawn and left out, in turn; told apart without colour too.
PATTERN = {MAIN: (1, 0), SECOND: (3, 3), THIRD: (1, 2), BOUND: (1, 5), SET: (6, 3)}
STYLE = {MAIN: "bold cyan", SECOND: "yellow", THIRD: "magenta", BOUND: "dim", SET: "dim"}
LETTER = {MAIN: "*", SECOND: "o", THIRD: ".", BOUND: "-", SET: "="}
SAMPLE = Panel("", "", (), (), 1.0, 1.0)
BITS = np.array([[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]])


class Canvas:
    """A plot of so many letters, two dots wide and four high each."""

    def __init__(self, columns: int, rows: int, panel: Panel, *, fine: bool) -> None:
        self.columns, self.rows, self.panel, self.fine = columns, rows, panel, fine
        self.dots = np.zeros((rows, columns), int)
        self.looks = np.full((rows, columns), "", object)

    def line(self, x: np.ndarray, y: np.ndarray, look: str) -> None:
        """Join the points that lie on the plot, in the pattern of that look."""
        across, up = self.columns * 2 - 1, self.rows * 4 - 1
        wide = self.panel.x_end - self.panel.x_begin
        places = np.column_stack([(x - self.panel.x_begin) / wide * across, (1.0 - y / self.panel.y_end) * up])
        drawn, left_out = PATTERN[look]
        turn = 0
        for first, last in pairwise(places):
            count = max(int(np.abs(last - first).max().round()), 1)
            for share in np.arange(count) / count:
                if turn % (drawn + left_out) < drawn:
                    self._dot(*(first + share * (last - first)).round().astype(int), look)
                turn += 1

    def _dot(self, x: int, y: int, look: str) -> None:
        row, column = y // 4, x // 2
        if 0 <= row < self.rows and 0 <= column < self.columns and x >= 0 and y >= 0:
            self.dots[row, column] |= BITS[y % 4, x % 2]
            self.looks[row, column] = look

    def text(self, row: int) -> Text:
        """One row of letters."""
        made = Text()
        for bits, look in zip(self.dots[row].tolist(), self.looks[row], strict=True):
            letter = chr(0x2800 + bits) if self.fine else LETTER.get(look, " ")
            made.append(letter if bits else " ", STYLE.get(look, ""))
        return made


def drawing(made: Drawing, width: int, *, fine: bool) -> RenderableType:
    """All panels: beside one another on a wide terminal, one below the other on a narrow one."""
    if width < WIDE or not made.beside:
        return Group(
            *(_panel(p, width, ROWS, fine=fine) for p in made.below),
            *(_panel(p, width, TALL, fine=fine) for p in made.beside),
        )
    half = width // 2 - 1
    grid = Table.grid(padding=(0, 2, 0, 0))
    tall = len(made.below) * (ROWS + 3) - 3
    grid.add_row(
        Group(*(_panel(p, half, ROWS, fine=fine) for p in made.below)),
        Group(*(_panel(p, half, tall, fine=fine) for p in made.beside)),
    )
    return grid


def _panel(panel: Panel, width: int, rows: int, *, fine: bool) -> RenderableType:
    columns = width - AXIS - 2
    canvas = Canvas(columns, rows, panel, fine=fine)
    ends = np.array([panel.x_begin, panel.x_end])
    for level in panel.levels:
        if level.upright:
            canvas.line(np.full(2, level.at), np.array([0.0, panel.y_end]), level.look)
        else:
            canvas.line(ends, np.full(2, level.at), level.look)
    for line in reversed(panel.lines):
        canvas.line(line.x, line.y, line.look)
    parts = [Text(panel.title, style="bold"), *_key(panel, width, fine=fine)]
    labels = {}
    for tick in ticks(0.0, panel.y_end, min(rows // 2, 6)):
        labels[round((1.0 - tick / panel.y_end) * (rows - 1))] = number(tick)
    upright = "│" if fine else "|"
    for row in range(rows):
        parts.append(Text(f"{labels.get(row, ''):>{AXIS - 1}} {upright}") + canvas.text(row))
    return Group(*parts, *_x_axis(panel, columns, fine=fine))


def _key(panel: Panel, width: int, *, fine: bool) -> list[Text]:
    """What each line and bound is, with a sample of it; an entry is never broken."""
    entries = []
    for item in (i for i in (*panel.lines, *panel.levels) if i.label):
        sample = Canvas(SAMPLE_WIDE, 1, SAMPLE, fine=fine)
        ends, middle = np.array([0.0, 1.2]), np.full(2, 0.5)
        upright = getattr(item, "upright", False)
        sample.line(*((middle, ends) if upright else (ends, middle)), item.look)
        entries.append(sample.text(0).append(f" {item.label}"))
    if panel.marked and panel.marked_words:
        begin, end = panel.marked
        entries.append(Text(f"[ ] {panel.marked_words} {begin:.2f} to {end:.2f}"))
    lines: list[Text] = []
    for entry in entries:
        if lines and lines[-1].cell_len + entry.cell_len + 3 <= width:
            lines[-1].append("   ").append_text(entry)
        else:
            lines.append(entry)
    return lines


def _x_axis(panel: Panel, columns: int, *, fine: bool) -> list[Text]:
    across, tick_mark, corner = ("─", "┴", "└") if fine else ("-", "+", "+")
    wide = panel.x_end - panel.x_begin
    axis, below = [across] * columns, [" "] * (columns + 1)

    def place(at: float) -> int:
        return round((at - panel.x_begin) / wide * (columns - 1))

    for tick in ticks(panel.x_begin, panel.x_end, columns // 10):
        axis[place(tick)] = tick_mark
        words = number(round(tick, 6))
        first = min(max(place(tick) - len(words) // 2, 0), columns + 1 - len(words))
        below[first : first + len(words)] = words
    for end, mark in zip(panel.marked or (), "[]", strict=False):
        axis[place(end)] = mark
    left = " " * AXIS
    line = Text(left + corner + "".join(axis))
    if not panel.x_title:
        return [line]
    title = f"  {panel.x_title}"
    below[columns + 1 - len(title) :] = title
    return [line, Text(left + " " + "".join(below).rstrip())]
