"""Headings recognised by meaning, in the context of their sheet, and asked about when unsure."""

import pytest

from register import columns
from register.intake.headings import claims, recognise
from register.intake.mapping import SheetAnswers
from register.intake.sheet import Sheet


def header(*rows):
    return recognise(Sheet("f", "s", [list(r) for r in rows], "0"), SheetAnswers())


def taken(*rows):
    return {h.text: h.column.name for h in header(*rows).sure()}


@pytest.mark.parametrize(
    ("heading", "column", "unit"),
    [
        ("F.L.A.", "fla_a", ""),
        ("Full load amps (460V)", "fla_a", ""),
        ("In [A]", "fla_a", "A"),
        ("FULL-LOAD CURRENT, A", "fla_a", "A"),
        ("HP", "power_kw", "HP"),
        ("kW", "power_kw", "kW"),
        ("Motor\nHorsepower", "power_kw", "Horsepower"),
        ("cos φ", "power_factor", ""),
        ("Cable Length (ft)", "cable_length_m", "ft"),
        ("WK² [lb-ft²]", "load_inertia_kgm2", "lb-ft²"),
        ("Min Off Time", "min_rest_s", ""),
        ("n [1/min]", "speed_rpm", "1/min"),
        ("Service Description", "description", ""),
        ("MCC #", "bus", ""),
        ("S.F.", "service_factor", ""),
        ("Starts/Hr", "starts_per_hour", ""),
        # A quantity over its unit, as ISO 80000-1 heads the columns of a table.
        ("Pn/kW", "power_kw", "kW"),
        ("Un / V", "motor_voltage_v", "V"),
    ],
)
def test_one_heading_beside_a_tag(heading, column, unit):
    got = header(["Tag No.", heading, "RPM" if column != "speed_rpm" else "Volts"])
    by_text = {h.text: h for h in got.headings}
    found = by_text[" ".join(heading.split())]
    assert (found.column.name if found.column else found) == column
    assert found.unit == unit


def test_two_units_with_a_stroke_between_are_not_one_over_the_other():
    assert all(h.unit != "kW" for h in header(["Tag", "HP/kW", "RPM"]).headings)


def test_every_column_is_known_by_its_own_name_and_by_each_of_its_headings():
    for table in columns.TABLES.values():
        for column in table.columns:
            if column.origin == "internal":
                continue
            for words in (column.name, *column.headings):
                from register.intake.headings import key

                assert column.name in claims()[key(words)], (column.name, words)


def test_voltage_means_the_motors_in_a_motor_list_and_the_buses_in_a_lineup_list():
    assert taken(["Tag", "HP", "Voltage", "FLA"])["Voltage"] == "motor_voltage_v"
    assert taken(["MCC", "Voltage", "XFMR kVA", "%Z"])["Voltage"] == "bus_voltage_v"


def test_serial_means_the_motors_or_the_devices():
    assert taken(["Tag", "Serial No", "HP", "RPM", "FLA"])["Serial No"] == "motor"
    assert taken(["Serial No", "Mfg Date", "In store since", "Starter Status"])["Serial No"] == "device"


def test_words_merged_above_the_headings_tell_two_alike_apart():
    got = taken(["", "Motor", "", "", "Starter", ""], ["Tag", "HP", "Amps", "RPM", "Type", "Amps"])
    assert got["Amps @C"] == "fla_a"
    assert got["Amps @F"] == "rated_current_a"


def test_the_heading_row_is_found_below_titles():
    got = header(["OLDMARROW WORKS"], ["Motor list, revised"], [], ["Tag", "HP", "FLA"], ["P-1", 5, 7])
    assert got.row == 3


def test_what_is_only_alike_is_not_taken():
    got = header(["Tag", "HP", "Voltge", "FLA"])
    (unsure,) = [h for h in got.headings if h.state == "unsure"]
    assert unsure.text == "Voltge"
    assert "motor_voltage_v" in unsure.candidates


def test_what_is_not_known_is_not_taken():
    got = header(["Tag", "HP", "Wisdom"])
    assert [h.text for h in got.headings if h.state == "unknown"] == ["Wisdom"]


def test_two_headings_for_one_column_are_asked_about():
    got = header(["Tag", "HP", "FLA", "Nameplate Amps"])
    assert {h.text for h in got.headings if h.state == "unsure"} == {"FLA", "Nameplate Amps"}


def test_a_page_without_headings_has_none():
    assert header(["Drawing index"], ["E-101", "One-line"], ["E-102", "Layout"]) is None
