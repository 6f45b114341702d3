"""Cells as people type them: units against pint, fractions, decimal marks, days, words, blanks."""

import string

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from register import columns
from register.columns.units import FACTORS
from register.intake import dates, numbers
from register.intake.cells import Manner, read_column
from register.intake.mapping import Answer
from register.intake.units import conversion, converted


def read(name, *cells, **manner):
    return read_column(list(cells), Manner(columns.column(name), **manner))


# Reference: pint's default registry (its horsepower is the mechanical one, 550 ft·lbf/s).
@pytest.mark.parametrize(
    ("name", "unit", "in_pint"),
    [
        ("power_kw", "hp", "horsepower"),
        ("power_kw", "PS", "metric_horsepower"),
        ("cable_length_m", "ft", "foot"),
        ("cable_length_m", "yd", "yard"),
        ("load_inertia_kgm2", "lb-ft²", "pound * foot ** 2"),
        ("load_inertia_kgm2", "lb·in²", "pound * inch ** 2"),
        ("cable_r_ohm_per_km", "ohm/1000ft", "ohm / kilofoot"),
        ("cable_r_ohm_per_km", "ohm/mile", "ohm / mile"),
        ("fault_current_ka", "A", "ampere"),
        ("upstream_fault_mva", "kVA", "kilovolt_ampere"),
        ("temperature_rise_c", "°F", "delta_degree_Fahrenheit"),
        ("speed_rpm", "rps", "turn/second"),
        ("lead_time_days", "weeks", "week"),
        ("min_rest_s", "min", "minute"),
    ],
)
def test_factors_agree_with_pint(name, unit, in_pint):
    column = columns.column(name)
    ours = {
        "K": "kelvin",
        "r/min": "revolutions_per_minute",
        "kg·m²": "kg * m ** 2",
        "ohm/km": "ohm / km",
        "d": "day",
    }.get(column.unit, column.unit)
    registry = pint.UnitRegistry()
    known = registry.Quantity(1, in_pint).to(ours).magnitude
    assert conversion(column, unit)[0] == pytest.approx(known, rel=1e-9)


def test_fahrenheit_has_its_offset():
    # 104 °F is 40 °C, 32 °F is 0 °C: by the definition of the scale.
    how = conversion(columns.column("ambient_c"), "°F")
    assert converted(104, how) == 40
    assert converted(32, how) == 0


def test_every_canonical_unit_is_its_own_unit():
    for column in columns.COLUMNS.values():
        if column.unit and column.origin != "derived":
            assert conversion(column, column.unit) == (1.0, 0.0), column.name
            assert column.unit in FACTORS, column.name


@pytest.mark.parametrize(
    ("cell", "kw"),
    [
        ("37 kW", 37),
        ("50 HP", 37.285),
        ("1 1/2 hp", 1.11855),
        ("1-1/2HP", 1.11855),
        ("7½ hp", 5.59275),
        ("0,75 kW", 0.75),
        ("1/2 hp", 0.37285),
        ("75hp", 55.9275),
    ],
)
def test_power_as_typed(cell, kw):
    # 1 hp = 0.745700 kW: NIST SP 811 (2008), appendix B.8.
    assert read("power_kw", cell).values[0] == pytest.approx(kw, rel=1e-5)


def test_two_speeds_are_not_a_fraction():
    for cell in ("15/7.5 kW", "1770/885"):
        got = read("power_kw" if "kW" in cell else "speed_rpm", cell)
        assert got.values == [None]
        assert got.special[0].cause


def test_a_unit_of_another_quantity_is_refused():
    got = read("fla_a", "12 kW")
    assert got.values == [None]
    assert "not a unit of fla_a" in got.special[0].cause


def test_a_decimal_mark_is_proved_by_the_column():
    assert read("speed_rpm", "1,770", "1,780.5").values == [1770, 1780.5]
    assert read("fla_a", "1,770", "12,5").values == [1.77, 12.5]


def test_what_only_the_range_can_tell():
    # 1.77 r/min is out of belief for a motor, so 1,770 is a thousand and more.
    assert read("speed_rpm", "1,770").values == [1770]


def test_an_ambiguous_mark_is_asked_about_and_answered():
    got = read("fla_a", "1,770")
    assert got.values == [None]
    assert got.special[0].question == "decimal"
    assert read("fla_a", "1,770", answer=Answer(decimal="comma")).values == [1.77]
    assert read("fla_a", "1,770", answer=Answer(decimal="point")).values == [1770]


@given(st.floats(0.06, 4999), st.sampled_from([".", ","]))
def test_a_number_typed_with_its_mark_proved_comes_back(value, mark):
    text = f"{value:.4f}".replace(".", mark)
    assert read("fla_a", text).values == [float(f"{value:.4f}")]


@given(st.integers(0, 40), st.sampled_from([2, 4, 8, 16]), st.data())
def test_fractions_are_exact(whole, below, data):
    top = data.draw(st.integers(1, below - 1))
    text = f"{whole} {top}/{below}" if whole else f"{top}/{below}"
    assert numbers.typed(text).value == whole + top / below


@given(st.text(string.printable, max_size=14))
def test_no_text_makes_the_reader_fall(text):
    for name in ("fla_a", "power_kw", "motor_installed_on", "device_kind", "poles", "description"):
        read(name, text)


def test_share_and_percent():
    assert read("efficiency_pct", 0.93, 93, "93%", "0,93").values == [93, 93, 93, 93]
    assert read("power_factor", 0.85, 85, "85%", "85").values == [0.85] * 4


def test_power_without_a_unit_is_asked_about_in_a_us_plant():
    assert read("power_kw", 50).special[0].question == "unit"
    assert read("power_kw", 50, practice="iec").values == [50]
    assert read("power_kw", 50, "60 hp", unit="hp").values == pytest.approx([37.285, 44.742])


def test_out_of_belief_is_refused_with_the_range():
    got = read("motor_voltage_v", 46000)
    assert got.values == [None]
    assert "100 to 15000 V" in got.special[0].remedy


@pytest.mark.parametrize(
    ("cell", "reason"),
    [
        ("N/A", "not applicable"),
        ("?", "not surveyed"),
        ("-", "not surveyed"),
        ("TBD", "not surveyed"),
        ("illegible", "illegible"),
        ("not published", "not published"),
    ],
)
def test_a_blank_keeps_its_reason(cell, reason):
    for name in ("fla_a", "device_kind", "motor_installed_on", "motor_maker"):
        got = read(name, cell)
        assert got.values == [None]
        assert got.special[0].blank == reason


def test_a_spreadsheets_error_is_refused():
    assert "error" in read("fla_a", "#REF!").special[0].cause


@pytest.mark.parametrize(
    ("name", "cell", "word"),
    [
        ("device_kind", "DOL", "across-the-line"),
        ("device_kind", "FVNR", "across-the-line"),
        ("device_kind", "Across the Line", "across-the-line"),
        ("device_kind", "Y-D", "star-delta"),
        ("device_kind", "wye/delta", "star-delta"),
        ("device_kind", "RVSS", "soft starter"),
        ("device_kind", "Soft-Start", "soft starter"),
        ("device_kind", "V.F.D.", "drive"),
        ("fragile_load", "x", "yes"),
        ("fragile_load", "N", "no"),
        ("fragile_load", True, "yes"),
        ("fragile_load", "ja", "yes"),
        ("overload_reset", "AUTO", "automatic"),
        ("protection_kind", "MCP", "instantaneous breaker"),
        ("relay_trip_class", 10.0, "10"),
        ("coordination_type", 2.0, "type 2"),
        ("result", "Pass", "passed"),
    ],
)
def test_closed_lists_by_the_trades_words(name, cell, word):
    # Abbreviations: common practice on US and IEC motor lists.
    assert read(name, cell).values == [word]


def test_a_class_means_what_the_plant_says():
    assert read("criticality", "A", 1.0, "high").special[1].question == "words"
    answer = Answer(words={"A": "critical", "1": "critical"})
    assert read("criticality", "A", 1.0, answer=answer).values == ["critical"] * 2


def test_days():
    assert read("done_on", "2024-03-05", "5-Mar-2024", "March 5, 2024").values == ["2024-03-05"] * 3
    # Excel day 45356 is 2024-03-05: ECMA-376 Part 1, 18.17.4.1, 1900 date system.
    assert read("done_on", 45356.0).values == ["2024-03-05"]
    assert dates.day("31/02/2024", None) is None


def test_day_and_month_are_told_apart_by_the_column_or_asked_about():
    assert read("done_on", "03/04/2024", "25/04/2024").values == ["2024-04-03", "2024-04-25"]
    assert read("done_on", "03/04/2024", "04/25/2024").values == ["2024-03-04", "2024-04-25"]
    assert read("done_on", "03/04/2024").special[0].question == "dates"
    assert read("done_on", "05/05/2024").values == ["2024-05-05"]


def test_a_year_is_no_day():
    assert read("motor_installed_on", 2015.0, "2015").special[1].cause


def test_a_tag_that_the_spreadsheet_made_a_date_is_refused():
    from datetime import date

    assert "date" in read("tag", date(2026, 1, 2)).special[0].cause


def test_whole_numbers():
    assert read("poles", "4P", "4-pole", 4.0, "4").values == [4, 4, 4, 4]
    assert read("poles", 4.5).special[0].cause
    assert read("ct_primary_a", "200:5", "200/5", "200/5A").values == [200, 200, 200]
