"""Words on the command line that mean nothing: refused with 2, and nothing changed."""

from pathlib import Path

import pytest
from refusals import refused

MISTYPED = [
    ("show P-9", "no position 'P-9'", "did you mean"),
    ("positions --area Attic", "no area 'Attic'", "known: Wet end"),
    ("history P-9", "no position 'P-9'", "check the tag"),
    ("candidates P-9", "no position 'P-9'", "did you mean"),
    ("candidates P-1", "no device in store, and no model", "startroll take-in"),
    ("candidates", "either one position or all that failed", "--failed"),
    ("candidates P-1 --failed", "either one position or all that failed", "candidates TAG"),
    ("candidates --failed --area Attic", "no area 'Attic'", "known: Wet end"),
    ("rules show bypass/none-such", "no rule 'bypass/none-such'", "startroll rules list"),
    ("audit --today soon", "'soon' is not a day", "2026-03-01"),
    ("audit --grade grave", "'grave' is not a grade", "one of major, minor, observation"),
    ("audit --site-rules gone", "there is no such folder", "name a folder of rules"),
    ("correct P-1 fla 6 --reason x", "no column 'fla'", "did you mean"),
    ("correct P-1 fla_a lots --reason x", "'lots'", "full-load current"),
    ("correct P-1 fla_a 99999 --reason x", "99999", "0.05 to 5000 A"),
    ("correct P-1 fla_a --reason x", "give either a value or the reason", "--blank takes one of"),
    ("correct P-1 fla_a --blank dunno --reason x", "no reason for a blank", "illegible"),
    ("correct P-1 ambient_c -20 --reason x", "a number without a unit; °F or °C?", "-40 to 80 °C"),
    ("correct P-1 description --blnk --reason x", "no such option", "correct --help"),
    ("correct P-1 motor --blank illegible --reason x", "cannot be unknown", "another value"),
    ("correct P-2 motor M1 --reason x", "there is a motor 'M1' already", "startroll move motor"),
    ("record P-9 bump-test passed", "no position or lineup 'P-9'", "did you mean"),
    ("record P-1 tasting passed", "'tasting'", "bump test"),
    ("record P-1 thermography great", "'great'", "passed"),
    ("record P-1 thermography passed --on soon", "'soon' is not a date", "2026-03-01"),
    ("move pump M1 --reason x", "'pump' does not move", "motor or device"),
    ("move motor M9 --reason x", "no motor 'M9'", "startroll show"),
    ("least-change", "no position is named", "--failed-majors alone"),
    ("least-change P-9", "no position 'P-9'", "did you mean"),
    ("swap P-9 --out failed --cause x --in S", "no position 'P-9'", "did you mean"),
    ("swap P-1 --out lost --cause x --in S", "cannot be left 'lost'", "failed or in-store"),
    ("swap P-1 --out failed --cause x --in S", "no device 'S'", "take it in first"),
    ("swap P-1 --out failed --cause x", "nothing is said to come in", "--model with --serial"),
    ("swap P-1 --out failed --cause x --in S --set ramp", "no column and value", "3.5"),
    ("new x.db --site Fenwick --practice mars", "not 'mars'", "one of us, iec"),
    ("new x.db --site Fenwick --practice us --frequency 600", "600 Hz is not to be believed", "40 to 70 Hz"),
    ("new x.db --site Fenwick --practice us --altitude nan", "is not to be believed", "5500 m"),
]


@pytest.mark.parametrize(("typed", "cause", "remedy"), MISTYPED, ids=[m[0] for m in MISTYPED])
def test_a_command_that_is_mistyped(startroll, untouched, typed, cause, remedy):
    refused(startroll(*typed.split()), 2, "", cause, remedy)
    assert not Path("x.db").exists()


def test_a_verdict_that_is_mistyped(startroll, plant):
    ran = startroll("explain", "P-1", "bypass/critical-has-way-aroun")
    refused(ran, 2, "", "there is no rule", "did you mean bypass/critical-has-bypass")
    ran = startroll("explain", "P-9", "bypass/critical-has-bypass")
    refused(ran, 2, "", "there is no position 'P-9'", "did you mean P-")


@pytest.mark.parametrize(
    "typed",
    [
        "nonsense",
        "audit --allow-unknown -1",
        "audit --allow-unknown most",
        "take-in",
        "correct P-1 fla_a 6",
        "new x.db --site Fenwick",
    ],
)
def test_usage_that_is_wrong_is_shown_as_usage(startroll, untouched, typed):
    ran = startroll(*typed.split())
    assert ran.code == 2
    assert "Usage: startroll" in ran.err and "Error: " in ran.err


def test_a_change_without_a_reason_is_none(startroll, untouched):
    ran = startroll("correct", "P-1", "starts_per_hour", "6", "--reason", " ")
    refused(ran, 2, "", "a change needs its reason", "say what was seen")


def test_half_a_character_is_no_text(startroll, untouched):
    ran = startroll("correct", "P-1", "description", "a\udcff", "--reason", "x")
    refused(ran, 2, "command line", "not whole text", "UTF-8")
