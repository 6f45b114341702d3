"""Ways in which other plants write their lists; each is invented, and in none may a value land in the wrong place."""

import pytest
import xlsxwriter

from register.intake.mapping import understood

pytest_plugins = ["intake_plant"]

CEMENT = """Zementwerk Steinbruchtal;;;;;;;;;
Motoren- und Abgangsliste;;;;;;;;;
Anlagen-;Benennung;Leistung;Nenn-;Nenn-;Dreh-;cos;Anlauf-;Überlast-;Vor-
kennz.;;;strom;spannung;zahl;phi;art;relais;sicherung
;;[kW];[A];[V];[1/min];;;[A];[A]
341-BC01.M1;Gurtförderer;37,0;66,5;400;1480;0,86;Direkt;67;125 gG
341-EL01.M1;Becherwerk;75;134;400;1485;0,85;FU;im FU;200 gG
421-FN03.M1;Ventilator;1.250,0;132;6000;992;0,84;Direkt;;
511-AG01.M1;Rührwerk;18,5;35,5;400;1470;0,84;Wendeschütz;35,5;63 gG
"""


def test_headings_broken_with_a_hyphen_are_joined(iec_plant):
    path = iec_plant.folder / "zement.csv"
    path.write_bytes(CEMENT.encode("cp1252"))
    plan = iec_plant.take(path)
    assert plan.doubts == () and plan.refused == ()
    (fan,) = iec_plant.rows("SELECT * FROM motor WHERE tag = '421-FN03.M1'")
    assert (fan["power_kw"], fan["motor_voltage_v"], fan["speed_rpm"], fan["fla_a"]) == (1250, 6000, 992, 132)
    assert iec_plant.value("protection", "341-EL01.M1", "overload_place") == "device"
    assert iec_plant.value("protection", "341-BC01.M1", "overload_place") == "relay"
    assert iec_plant.value("protection", "341-BC01.M1", "fuse_class") == "gG"
    assert iec_plant.value("position", "511-AG01.M1", "reversing") == "yes"


@pytest.mark.parametrize("heading", ["Plant Ref", "Objectcode", "Kenning"])
def test_a_column_of_tags_is_found_whatever_its_heading(plant, heading):
    rows = [
        [heading, "Omschrijving", "Vermogen (kW)", "Nominaalstroom (A)", "Kast"],
        ["INF-P01", "Influentvijzel 1", 45, 84, "MCC-01"],
        ["INF-P02", "Influentvijzel 2", 45, 84, "MCC-01"],
    ]
    plan = plant.take(plant.csv("list.csv", rows))
    assert plan.refused == () and plan.doubts == ()
    assert [r["tag"] for r in plant.rows("SELECT tag FROM position ORDER BY tag")] == ["INF-P01", "INF-P02"]


def test_an_export_with_run_together_headings_and_its_orders(plant):
    assets = [
        ["ASSETNUM", "LOCATION", "DESCRIPTION", "STATUS", "INSTALLDATE", "HORSEPOWER", "FULLLOADAMPS", "SERIALNUM"],
        ["000231", "CRU-P-110A", "CHARGE PUMP MOTOR", "OPERATING", "4/12/2009", 150, 172, "DX88213"],
        ["000240", "CRU-K-201", "AIR COMPRESSOR MOTOR", "DECOMMISSIONED", "11/30/2015", 200, 226, ""],
    ]
    orders = [
        ["WONUM", "ASSETNUM", "WORKTYPE", "DESCRIPTION", "REPORTDATE", "STATUS", "DOWNTIMEHRS"],
        ["W10022", "000231", "CM", "Pump motor tripped on overload", "3/4/2023 06:40", "CLOSE", 5],
        ["W10101", "000240", "CM", "Drive end bearing noisy", "6/18/2023 14:20", "CLOSE", 50],
    ]
    plan = plant.take(plant.csv("assets.csv", assets), plant.csv("orders.csv", orders))
    assert plan.refused == ()
    assert plant.value("motor", "DX88213", "motor_installed_on") == "2009-04-12"
    assert plant.value("motor", "DX88213", "fla_a") == 172
    assert plant.value("position", "CRU-P-110A", "description") == "CHARGE PUMP MOTOR"
    events = plant.rows("SELECT * FROM event ORDER BY happened_on")
    assert [(e["tag"], e["happened_on"], e["downtime_h"]) for e in events] == [
        ("CRU-P-110A", "2023-03-04", 5),
        ("CRU-K-201", "2023-06-18", 50),
    ]
    asked = [d.answer.partition(":")[0] for d in plan.doubts]
    assert asked == ["STATUS", "failure modes"], "a motor out of commission is not thereby scrapped"


def test_a_schedule_of_buckets_beside_a_list_of_drawings(plant):
    drawings = [["DWG NO", "TITLE", "REV"], ["E-4101", "MCC-4A one-line", "C"], ["E-4102", "MCC-4A buckets", "D"]]
    heads = [
        "UNIT LOC.",
        "EQUIPMENT NO.",
        "SERVED",
        "UNIT TYPE",
        "NEMA SIZE",
        "HP",
        "FLA",
        "BREAKER TYPE",
        "TRIP/FRAME",
    ]
    buckets = [
        ["MCC-4A UNIT SCHEDULE"],
        [*heads, "CONDUIT"],
        ["1B", "4A-P-01", "CONDENSATE PUMP", "FVNR", "1", 10, 14, "MCP", "15A", '3/4"'],
        ["2D", "4A-P-20", "FEEDWATER PUMP", "RVSS", "-", 100, 124, "TM", "200A/250AF", '2"'],
        ["3D", "4A-V-07", "ISOLATION VALVE", "FVR", "1", 2, 3.4, "MCP", "7A", '3/4"'],
        ["4B", "SPACE", "", "", "", "", "", "", "", ""],
    ]
    plan = plant.take(plant.book("mcc.xlsx", Drawings=drawings, Units=buckets))
    assert plan.doubts == () and plan.refused == ()
    assert any("Drawings" in note for note in plan.notes)
    assert plant.value("protection", "4A-P-20", "protection_rating_a") == 200
    assert plant.value("position", "4A-V-07", "reversing") == "yes"
    assert plant.value("position", "4A-P-01", "reversing") is None
    assert plant.value("position", "4A-P-20", "cubicle") == "2D"


@pytest.mark.parametrize(("heading", "letters"), [("Fuse (A)", None), ("Fuse (A gG)", "gG"), ("Fuse A, aM", "aM")])
def test_a_class_in_the_heading_is_the_class_of_the_fuses(plant, heading, letters):
    plant.take(plant.csv("list.csv", [["Tag", "kW", "FLA", heading], ["P-1", 15, 28.5, 50], ["P-2", 15, 28.5, 63]]))
    assert plant.value("protection", "P-1", "protection_kind") == ("fuse" if letters else None)
    assert plant.value("protection", "P-1", "fuse_class") == letters
    assert plant.value("protection", "P-1", "protection_rating_a") == 50


def test_a_rating_of_a_fuse_or_a_breaker_is_not_called_a_fuse(plant):
    plant.take(
        plant.csv("list.csv", [["Tag", "kW", "FLA", "Breaker/Fuse"], ["P-1", 15, 28.5, 50], ["P-2", 15, 28.5, 63]])
    )
    assert plant.value("protection", "P-1", "protection_kind") is None


@pytest.mark.parametrize(
    ("words", "reversing"),
    [("FVR", "yes"), ("DOL rev", "yes"), ("FVNR", None), ("FVNR non-reversing", None), ("DOL", None)],
)
def test_a_reversing_starter_is_read_as_such_and_no_other(plant, words, reversing):
    plant.take(plant.csv("list.csv", [["Tag", "HP", "FLA", "Starter"], ["P-1", "10 hp", 14, words]]))
    assert plant.value("position", "P-1", "reversing") == reversing


def test_blocks_of_several_lines_are_refused_with_the_reason(plant):
    rows = [
        ["Tag", "Description", "HP", "FLA"],
        ["P-1", "Feed pump", 50, 62],
        ["", "460 V", "1780 rpm", ""],
        ["P-2", "Drain pump", 10, 14],
        ["", "460 V", "1750 rpm", ""],
    ]
    plan = plant.take(plant.csv("blocks.csv", rows))
    assert [r.cause for r in plan.refused] == [
        "line 2 of a block of 2 lines for one tag; only the first line is read"
    ] * 2
    assert [r["tag"] for r in plant.rows("SELECT tag FROM position ORDER BY tag")] == ["P-1", "P-2"]


def test_a_cell_of_which_a_part_is_struck_out_is_asked_about(plant):
    path = plant.folder / "struck.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        page, old = book.add_worksheet("List"), book.add_format({"font_strikeout": True})
        for i, row in enumerate(
            [["Tag", "Description", "HP", "FLA"], ["P-1", "", 50, 62], ["P-2", "Drain pump", 10, 14]]
        ):
            page.write_row(i, 0, row)
        page.write_rich_string(1, 1, old, "Slurry", " feed pump")
    plan = plant.take(path)
    assert [d.answer for d in plan.doubts] == ["struck out: ignore"]
    assert plant.value("position", "P-1", "description") is None
    assert plant.value("position", "P-2", "description") == "Drain pump"


def test_a_list_in_which_no_row_has_its_key_says_so_row_by_row(plant):
    rows = [["Tag", "Serial", "HP", "FLA"], ["", "", 50, 62], ["", "", 10, 14]]
    assert len(plant.plan(plant.csv("list.csv", rows)).refused) == 2


def test_of_two_headings_for_the_tag_the_one_above_tags_is_it(plant):
    rows = [
        ["Drive No", "Driven Unit", "Rated Output kW", "Amps FL", "Synch. Speed"],
        ["C101M", "Primary crusher", 160, 275, 1500],
        ["C102M", "Feeder", 15, 28, 1500],
    ]
    plan = plant.take(plant.csv("list.csv", rows))
    assert plan.doubts == () and plan.refused == ()
    assert plant.value("position", "C101M", "description") == "Primary crusher"
    assert plant.rows("SELECT speed_rpm FROM motor")[0]["speed_rpm"] is None, "no motor is rated at synchronous speed"


def test_where_only_names_tell_the_rows_apart_they_are_suggested_as_tags(plant):
    rows = [
        ["No.", "Machine", "Motor HP", "Volt", "FLA"],
        *([n, name, 25, 208, 68] for n, name in enumerate(["Supply fan", "Return fan", "Chilled water pump"], 1)),
    ]
    plan = plant.plan(plant.csv("list.csv", rows))
    assert plan.doubts[-1].answer == "Machine: tag"
    plant.take(plant.csv("list.csv", rows), mapping=understood(plan.mapping_draft.replace("#? ", ""), "answers"))
    tags = {r["tag"] for r in plant.rows("SELECT tag FROM position")}
    assert tags == {"Supply fan", "Return fan", "Chilled water pump"}
