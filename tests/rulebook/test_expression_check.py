"""What an expression may and may not say; SQLite's own manual is the reference for its traps."""

from __future__ import annotations

import sqlite3

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from register import columns
from register.columns.units import FACTORS, SYMBOLS
from register.rulebook.check import units
from register.rulebook.check.expression_check import check, of_nothing
from register.rulebook.tables import facts_table

LIMITS = {"oversize_ratio": "", "age_days": "d", "share_pct": "%"}
EMPTY = sqlite3.connect(":memory:")
EMPTY.execute(facts_table())


def checked(text, *, wants="truth", deliberate=False):
    return check(text, wants=wants, limits=LIMITS, deliberate=deliberate, connection=EMPTY)


@pytest.mark.parametrize(
    "text",
    [
        "fla_a <= overload_set_a",
        "fla_a > 1000 * interrupting_ka",
        "100 * fla_a / ct_primary_a <= :share_pct",
        "3600 / min_rest_s >= starts_per_hour",
        "1.732 * motor_voltage_v * fla_a / 1000 > 0.5 * transformer_kva",
        "60 * motor_frequency_hz / (poles / 2.0) >= speed_rpm",
        "fla_a * locked_rotor_ratio <= locked_rotor_a",
        "cable_length_m * cable_r_ohm_per_km / 1000 * fla_a <= 0.05 * motor_voltage_v",
        "ambient_c - ambient_max_c <= 0 AND ambient_c + temperature_rise_c < 155",
        "derate_pct_per_c * (ambient_c - 40) < 100",
        "julianday(:today) - julianday(bypass_test_on) <= :age_days",
        "bump_test_on >= motor_installed_on AND bump_test_on > '2020-01-01'",
        "date(bump_test_on, '+1 year') >= :today",
        "NOT (device_kind IN ('soft starter', 'drive') OR fla_a BETWEEN 1 AND 5)",
        "instr(duty_code, 'AC-53b') = 1 AND length(upper(model)) > 3",
        "abs(fla_a - fla_set_a) <= 0.05 * max(fla_a, fla_set_a)",
        "round(sqrt(fla_a * fla_set_a), 1) >= fla_a",
        "line_protection_kind_fits = inverter_duty",
        "fla_a > 1 -- a remark",
    ],
)
def test_sound(text):
    assert checked(text).faults == ()


REFUSED = [
    # names
    ("overlod_set_a < 1", "overlod_set_a", "unknown column", "overload_set_a"),
    ("FLA_A < 1", "FLA_A", "unknown column", ""),
    ("size_ratio <= :oversize", ":oversize", "no limit", ":oversize_ratio"),
    ("facts.fla_a < 1", "facts.fla_a", "written bare", "fla_a"),
    # SQLite takes a misspelt "column" for a text (its manual, "Double-quoted string literals")
    ('"flaa" = 1', '"flaa"', "written bare", "'flaa'"),
    # sqlglot takes these for aliases or stars
    ("fla_a > 1 b", "1 b", "a unit behind a number", "fla_a is in A already"),
    ("fla_a > 0.8 * * ramp_s", None, "side by side", ""),
    ("fla_a > 1; DROP TABLE facts", None, "side by side", ""),
    # grammar
    ("fla_a > 1 AND", "AND", "missing", "finish"),
    ("fla_a > (1", "1", "bracket", "close"),
    ("device_kind = 'drive", "'", "quote", "close"),
    ("fla_a > 1 )", ")", "not understood", "one expression"),
    ("fla_a > 1, ramp_s > 2", ",", "not understood", "one expression"),
    # types
    ("fla_a", "fla_a", "a truth is wanted", "comparison"),
    ("inverter_duty", "inverter_duty", "a truth is wanted", "= 'yes'"),
    ("NOT inverter_duty", "inverter_duty", "where a truth belongs", "= 'yes'"),
    ("poles = '4'", None, "number is compared with a text", "numbers go with numbers"),
    ("overload_trip_class = 10", None, "text is compared with a number", "single quotes"),
    ("overload_trip_class <= '10'", None, "no larger and smaller", "IN"),
    ("bypass_arrangement <> 'internl only'", "'internl only'", "none of the words", "internal only"),
    ("device_kind IN ('drive', 'softstarter')", "'softstarter'", "none of the words", "soft starter"),
    ("device_kind = coupling", None, "no word in common", ""),
    ("bump_test_on > '2026-1-1'", "'2026-1-1'", "not a day", "2026-03-01"),
    ("bump_test_on > 2026", None, "day is compared with a number", "days with days"),
    ("julianday('now') - julianday(bump_test_on) < 3", "'now'", "not a day", ":today"),
    ("julianday() > 3", None, "the clock", ":today"),
    ("date(bump_test_on, 'localtime') > :today", "'localtime'", "does not shift", "days"),
    ("bump_test_on - :today < 3", "bump_test_on", "where a number belongs", "julianday"),
    ("(fla_a > 1) + (ramp_s > 1) >= 1", None, "where a number belongs", ""),
    # 1/2 is 0 in SQL (SQLite manual, "Operators": integer division)
    ("fla_a > 1 / 2 * ramp_s", "1 / 2", "drops the remainder", "1.0 / 3"),
    ("poles / 2 > 1", "poles / 2", "drops the remainder", "decimal point"),
    # units
    ("fla_a > interrupting_ka", "fla_a > interrupting_ka", "(A) is compared with", "one unit"),
    ("fla_a > 100 * interrupting_ka", None, "(kA)", "one unit"),
    ("fla_a / ct_primary_a <= :share_pct", None, "(a plain number) is compared with", "one unit"),
    ("ramp_s > run_hours_per_year", None, "(s) is compared with", "one unit"),
    ("abs(fla_a - ramp_s) > 1", "fla_a - ramp_s", "(A) goes together with ramp_s (s)", "one unit"),
    ("min(fla_a, ramp_s) > 1", None, "goes together with", "one unit"),
    ("ambient_c > temperature_rise_c", None, "(°C) is compared with", "one unit"),
    ("power_kw > transformer_kva", None, "(kW) is compared with", "one unit"),
    # what hides the unknown
    ("fla_a IS NULL", None, "turns unknown into known", "unknown_is_deliberate"),
    ("fla_a IS NOT NULL", None, "turns unknown into known", "unknown_is_deliberate"),
    ("fla_a NOTNULL", None, "turns unknown into known", "unknown_is_deliberate"),
    ("coalesce(fla_a, 0) > 1", None, "turns unknown into known", "unknown_is_deliberate"),
    ("ifnull(fla_a, 0) > 1", None, "turns unknown into known", "unknown_is_deliberate"),
    ("nullif(fla_a, 0) > 1", None, "turns unknown into known", "unknown_is_deliberate"),
    ("iif(fla_a > 1, 1, 0) = 1", None, "turns unknown into known", "unknown_is_deliberate"),
    ("CASE WHEN fla_a > 1 THEN 1 END = 1", None, "turns unknown into known", ""),
    ("(fla_a > 1) IS TRUE", None, "turns unknown into known", ""),
    ("(fla_a > 1) IS NOT FALSE", None, "turns unknown into known", ""),
    ("fla_a IS overload_set_a", None, "turns unknown into known", ""),
    ("fla_a IS DISTINCT FROM overload_set_a", None, "turns unknown into known", ""),
    ("fla_a = NULL", None, "never true", "IS NULL"),
    ("total(fla_a) > 1", None, "total() is not among", "functions"),
    # what has no business in a rule
    ("fla_a IN (SELECT 1)", None, "list", ""),
    ("EXISTS (SELECT 1)", None, "not among", ""),
    ("(SELECT 1)", None, "not among", ""),
    ("max(fla_a) > 1", None, "over all rows", "two values or more"),
    ("count(*) > 1", None, "not among", ""),
    ("sum(fla_a) OVER () > 1", None, "not among", ""),
    ("random() > 1", None, "not among", ""),
    ("load_extension('x') = 1", None, "not among", ""),
    ("model LIKE '%x%'", None, "not among", "instr"),
    ("model GLOB 'x*'", None, "not among", "instr"),
    ("fla_a > CAST(model AS REAL)", None, "not among", ""),
    ("model || 'x' = 'ax'", None, "not among", ""),
    ("poles % 4 = 0", None, "not among", ""),
    ("poles & 1 = 0", None, "not among", ""),
    ("fla_a > ?", None, "", ""),
    ("fla_a > @x", None, "not among", ""),
    ("fla_a > $x", "$x", "unknown column", ""),
    ("model = 'x' COLLATE nocase", None, "not among", ""),
    ("date(current_date) > bump_test_on", None, "not among", ""),
    ("abs(fla_a, 1, 2) > 1", None, "", ""),
    ("true", None, "", ""),
    ("", None, "", ""),
]


@pytest.mark.parametrize(("text", "marked", "cause", "remedy"), REFUSED, ids=[r[0] for r in REFUSED])
def test_refused(text, marked, cause, remedy):
    faults = checked(text).faults
    assert faults
    first = faults[0]
    assert cause in first.cause
    assert remedy in first.remedy
    assert 0 <= first.start <= len(text)
    if marked:
        assert text[first.start : first.start + first.width] == marked


def test_the_unknown_may_count_where_it_is_meant():
    for text in (
        "fla_a IS NOT NULL AND NOT (ramp_s IS NULL)",
        "coalesce(fla_a, 0) > 1",
        "CASE WHEN fla_a > 1 THEN 1 ELSE 0 END = 1",
        "iif(fla_a > 1, 1, 0) = 1",
    ):
        result = checked(text, deliberate=True)
        assert result.faults == ()
        assert result.hides_unknown
    assert checked("(fla_a > 1) IS TRUE", deliberate=True).faults
    assert checked("coalesce(fla_a, ramp_s) > 1", deliberate=True).faults
    assert checked("coalesce(fla_a, 'x') = 1", deliberate=True).faults


def test_several_faults_at_once():
    assert len(checked("flaa > 1 AND ramps > 2 AND fla_a > ramp_s").faults) == 3


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("overload_set_max_a - overload_set_a", "A"),
        (":age_days - (julianday(:today) - julianday(bump_test_on))", "d"),
        ("min(fla_a - overload_range_min_a, overload_range_max_a - fla_a)", "A"),
        ("1.25 * current_limit_xfla - current_limit_min_xfla", "×FLA"),
        ("ambient_max_c - ambient_c", "K"),
        ("motor_voltage_v / fla_a", "ohm"),
        (":oversize_ratio - fla_a / fla_set_a", ""),
        ("power_kw * run_hours_per_year", "kWh"),
    ],
)
def test_a_margin_has_a_unit(text, unit):
    result = checked(text, wants="number")
    assert result.faults == ()
    assert result.unit == unit


# fmt: off
PINT = {"": "", "%": "percent", "ohm": "ohm", "A": "A", "kA": "kA", "V": "V", "kVA": "kV*A",
        "MVA": "MV*A", "W": "W", "kW": "kW", "hp": "hp", "s": "s", "h": "hour", "min": "minute",
        "d": "day", "a": "year", "Hz": "1/s", "m": "m", "km": "km", "kg": "kg", "m²": "m**2",
        "K": "K"}
# fmt: on


@pytest.mark.parametrize("one", PINT)
@pytest.mark.parametrize("other", PINT)
def test_units_go_together_as_pint_says(one, other):
    """Reference: the unit registry of Pint (dimension and factor); W and V·A are one there."""
    pint = pytest.importorskip("pint")
    if {"W", "kW", "hp"} & {one, other} and {"kVA", "MVA"} & {one, other}:
        assert units.together(units.unit(one), units.unit(other)) is None
        return
    registry = pint.get_application_registry()
    a, b = registry.Quantity(1, PINT[one]), registry.Quantity(1, PINT[other])
    left, right = units.unit(one), units.unit(other)
    if not a.is_compatible_with(b):
        assert units.together(left, right) is None
        return
    factor = a.to(b.units).magnitude
    same = abs(factor - 1) < 1e-9
    assert (units.together(left, right) is not None) == same
    converted = units.times(units.constant(factor), left)
    assert units.together(converted, right) is not None
    assert units.together(units.times(units.constant(factor * 1.5), left), right) is None or same


def test_every_unit_of_the_dictionary_is_understood():
    known = {base for powers, _ in SYMBOLS.values() for base in powers}
    for column in columns.FACTS.values():
        assert {base for base, _ in units.unit(column.unit).powers} <= known, column.name


def test_a_unit_in_a_sheet_is_as_large_as_in_a_rule():
    compared = 0
    for name, spellings in FACTORS.items():
        for symbol in SYMBOLS.keys() - {""}:
            one, other = units.unit(symbol), units.unit(name)
            if symbol.casefold() in spellings and one.powers == other.powers:
                assert spellings[symbol.casefold()] == pytest.approx(one.size / other.size), (name, symbol)
                compared += 1
    assert compared > 15


WORDS = (
    "fla_a ramp_s poles device_kind inverter_duty bump_test_on :today :oversize_ratio :nowhere nosuch"
    " 'drive' 'yes' '2026-01-01' 1 0.5 1e3 NULL TRUE AND OR NOT = <> < <= IN BETWEEN IS LIKE ( ) , +"
    " - * / % || ; -- /* */ abs( min( max( date( julianday( coalesce( round( CASE WHEN THEN ELSE END"
    ' SELECT FROM "x" \' " [ ] ` ? @ $ . :: -> ~ & COLLATE ESCAPE CAST( AS OVER * ö'
)
TOKENS = st.sampled_from(WORDS.split())


@settings(max_examples=600, deadline=None)
@given(st.lists(TOKENS, max_size=9).map(" ".join))
def test_whatever_is_written_is_taken_or_refused_with_a_place(text):
    result = checked(text)
    for fault in result.faults:
        assert fault.cause
        assert fault.remedy
        assert 0 <= fault.start <= len(text)
        assert fault.width >= 1
    if not result.faults:
        names = dict.fromkeys(("today", *LIMITS), 1)
        EMPTY.execute(f"SELECT ({text}\n) FROM facts", names).fetchall()


def test_depth_and_length_end_in_a_fault_and_not_in_a_crash():
    assert checked("((((fla_a > 1))))").faults == ()
    assert checked("(" * 2000 + "fla_a > 1" + ")" * 2000).faults[0].cause.startswith("too much")
    assert checked("(" * 5000 + "fla_a > 1" + ")" * 5000).faults[0].cause == "10009 letters; up to 5000 are read"
    assert checked(" AND ".join(["fla_a > 1"] * 100)).faults == ()
    faults = checked(" AND ".join(["fla_a > 1"] * 5000)).faults
    assert faults == () or faults[0].cause


@pytest.mark.parametrize(
    ("text", "cause"),
    [
        ("fla_a <= 100 OR :today >= '2026-06-01'", "met where every field is blank"),
        ("fla_a <= 100 OR :today < '0100-01-01'", "met where every field is blank"),
        ("fla_a <= 100 OR :share > 3", "met where every field is blank"),
        ("fla_a > abs(-9223372036854775808)", "integer overflow"),
    ],
)
def test_what_a_blank_position_would_pass_is_refused(text, cause):
    (fault,) = of_nothing(text, EMPTY, "facts")
    assert cause in fault.cause and fault.remedy


@pytest.mark.parametrize("text", ["fla_a <= 100 AND :today >= '2026-06-01'", "fla_a <= :share OR fla_a > 1000"])
def test_what_says_something_of_a_position_is_not(text):
    assert of_nothing(text, EMPTY, "facts") == []
