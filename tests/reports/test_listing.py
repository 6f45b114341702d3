"""A long listing is, to the byte, the table that rich lays out."""

import io
import random

import pytest
from rich.console import Console

from register.reports.terminal.layout import Listing, table
from register.reports.terminal.safe_console import Trimmed, harmless

HEADINGS = ("Tag", "Description", "Bus", "Power ", "FLA ", "Started by")
PLAIN = [
    "A-1",
    "Größe  x",
    " lead",
    "trail  ",
    "日本語ポンプ",
    "",
    "[bold]x[/bold]",
    "e\u0301",
    ":smile:",
    "wide word " * 3,
]
STEERING = ["a\tb", "two\nlines", "\x1b[31mred", "\u202eabc", "\r"]


def printed(made, width, **options):
    out = io.StringIO()
    console = Console(file=Trimmed(out), width=width, highlight=False, markup=False, emoji=False, **options)
    harmless(console).print(made, crop=False)
    return out.getvalue()


@pytest.mark.parametrize("width", [4000, 120, 40])
@pytest.mark.parametrize("words", [PLAIN, PLAIN + STEERING], ids=["plain", "steering"])
@pytest.mark.parametrize("terminal", [False, True])
def test_a_listing_is_laid_out_as_a_table(words, width, terminal):
    chance = random.Random(5)
    for count in range(12):
        listing, whole = Listing(*HEADINGS), table(*HEADINGS)
        for _ in range(count):
            row = tuple(chance.choice(words) for _ in HEADINGS)
            listing.rows.append(row)
            whole.add_row(*row)
        assert printed(listing, width, force_terminal=terminal) == printed(whole, width, force_terminal=terminal)
