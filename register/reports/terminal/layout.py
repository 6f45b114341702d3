"""How every table and section in the terminal is laid out."""

from __future__ import annotations

from collections.abc import Iterable

from rich.cells import cell_len
from rich.console import Console, ConsoleOptions, Group, RenderableType, RenderResult
from rich.padding import Padding
from rich.segment import Segment
from rich.table import Table
from rich.text import Text

# Colour never stands alone: it goes on the word. Passes have none.
STYLES = {
    "major": "bold red",
    "minor": "yellow",
    "observation": "",
    "unknown": "bright_black",
    "failed": "bold red",
    "can't tell": "bright_black",
    "passed": "",
    "inapplicable": "bright_black",
}
DIM = "dim"

# Columns that hold a name: it is typed or searched for, so it is never broken.
NAMES = ("Tag", "Rule", "Field", "Field to read", "Column", "Value", "Started by")


def table(*headings: str, **options) -> Table:
    """A plain table; numbers go to the columns whose heading ends in a space."""
    made = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold", **options)
    for heading in headings:
        side = "right" if heading.endswith(" ") else "left"
        whole = heading in NAMES
        made.add_column(heading.strip(), justify=side, overflow="fold", no_wrap=whole)
    return made


class Listing:
    """A plain table of any number of rows of text, one line each.

    Into a pipe wide enough they go as they are; rich measures and wraps every cell, a third of a millisecond a row.
    """

    def __init__(self, *headings: str) -> None:
        self.headings = headings
        self.rows: list[tuple[str, ...]] = []

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        whole = [tuple(heading.strip() for heading in self.headings), *self.rows]
        widths = [max(map(cell_len, cells)) for cells in zip(*whole, strict=True)]
        fits = sum(widths) + 2 * (len(widths) - 1) <= options.max_width
        if console.is_terminal or not fits or not all(cell.isprintable() for row in whole for cell in row):
            made = table(*self.headings)
            for row in self.rows:
                made.add_row(*row)
            yield made
            return
        right = [heading.endswith(" ") for heading in self.headings]
        for row in whole:
            yield Segment("  ".join(map(_padded, row, widths, right)))
            yield Segment.line()


def _padded(cell: str, width: int, at_right: bool) -> str:
    if at_right:
        return " " * (width - cell_len(cell.rstrip())) + cell.rstrip()
    return cell + " " * (width - cell_len(cell))


def graded(grade: str, count: int) -> Text:
    """A count in the colour of its grade; a zero has none."""
    return Text(str(count), style=STYLES[grade] if count else "")


def coloured(word: str) -> Text:
    """A grade or an outcome in its colour."""
    return Text(word, style=STYLES.get(word, ""))


def titled(title: str, body: RenderableType) -> RenderableType:
    """A section: an empty line, its title, its body."""
    return Group(Text(), Text(title, style="bold underline"), body)


def indented(texts: Iterable[str]) -> RenderableType:
    """Lines of text, each set in by two."""
    return Group(*(Padding(Text(text), (0, 0, 0, 2), expand=False) for text in texts))


def few(tags: tuple[str, ...], most: int = 6) -> str:
    """The first few of them, and how many more there are."""
    more = f" and {len(tags) - most} more" if len(tags) > most else ""
    return ", ".join(tags[:most]) + more
