"""A console that the register's text cannot steer."""

import io

import pytest
from report_cases import HOSTILE, finding
from rich.console import Console
from rich.table import Table
from rich.text import Text

from register.reports.terminal import report
from register.reports.terminal.safe_console import harmless
from register.text import visible

# ECMA-48: C0 and C1 are what a terminal obeys; UAX #9: what turns a line round.
OBEYED = {
    *map(chr, range(32)),
    "\x7f",
    *map(chr, range(0x80, 0xA0)),
    *"\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069",
} - {"\n"}


@pytest.mark.parametrize("kind", HOSTILE)
def test_no_report_in_a_terminal_obeys_the_registers_text(kind):
    out = io.StringIO()
    console = harmless(Console(file=out, width=100, highlight=False))
    console.print(report.explained(finding("P-1", HOSTILE[kind])))
    table = Table("tag")
    table.add_row(HOSTILE[kind])
    console.print(table, HOSTILE[kind], Text(HOSTILE[kind]), markup=False)
    assert not OBEYED & set(out.getvalue())


def test_colour_still_comes_through_on_a_terminal():
    out = io.StringIO()
    harmless(Console(file=out, force_terminal=True, color_system="standard")).print(Text("bold \x1b[2J", style="bold"))
    assert "\x1b[1m" in out.getvalue() and "\x1b[2J" not in out.getvalue()


@pytest.mark.parametrize("kind", HOSTILE)
def test_what_is_seen_has_nothing_to_obey_and_keeps_the_rest(kind):
    seen = visible(HOSTILE[kind])
    assert not OBEYED & set(seen)
    assert [c for c in HOSTILE[kind] if c.isalnum()] == [c for c in seen if c.isalnum()] or "\\u" in seen
