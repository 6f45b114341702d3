"""Lists as strangers keep them: all that is certain is taken, and every doubtful cell is named.

Each test says, cell by cell, what must land and what must be named; nothing else may land.
"""

from datetime import date

import pytest

pytest_plugins = ["intake_plant"]

# fmt: off
TOWN = [
    ["TOWN WATER WORKS - ELECTRICAL EQUIPMENT"],
    ["Updated 3/4/2019 by operations"],
    [],
    ["", "", "", "", "MOTOR", "", "", "", "", "STARTER"],
    ["#", "Eq. ID", "Service", "Where", "HP", "Volts", "Amps", "RPM", "Eff.", "Type", "Amps",
     "OL Set", "Bkr", "Remarks", "Date Inst.", "Crit"],
    [1, "PU-01", "Raw pump 1", "Intake", "75", "230/460", "180/90", 1785, 0.95, "Soft Start", 104,
     "92", "150A", "ok", date(2015, 3, 2), 1],
    [2, "PU-02", "Raw pump 2", "Intake", "75 hp", "460V", "90 A", 1785, "95%", "RVSS", 104, "?",
     "#DIV/0!", "", "4/13/2016", 1],
    [3, "PU-03", "Booster", "Intake", "37 kW", "460", "62,5", 1770, 93, "VFD", 65, "n/a", "100", "",
     "03/04/2017", 2],
    ["", "Building 2"],
    [4, "BL-01", "Blower", "Bldg 2", "1 1/2", "460", "2.6", 1725, 0.84, "FVNR", 9, "2.5", "15",
     "new?", "2018", 3],
    [5, "BL-01", "Blower", "Bldg 2", "2", "460", "3.1", 1725, 0.84, "FVNR", 9, "2.5", "15"],
    [6, "MX-07", "Mixer", "Bldg 2", "7½", "460", "11.5", 1760, 0.9, "magic box", 18, "illegible",
     "30", "", "unknown", 2],
    ["", "TOTAL", "", "", "210.5"],
]
# fmt: on


def test_the_towns_waterworks(plant):
    plan = plant.take(plant.book("town.xlsx", Water=TOWN))
    named = {p.place.removeprefix("town.xlsx ") for p in plan.problems()}
    assert named == {
        "Water!F6",  # which of two voltages, the bus not being known
        "Water!M7",  # a spreadsheet's error
        "Water row 11",  # the tag of row 10 again, with other values
        "Water!J12",  # no way of starting
        "Water!O10",  # a year is not a date
        "Water!P6",  # classes 1, 2, 3
        "Water!L6",  # set in the soft starter, or at a relay?
        "Water!A9",  # a line alone: bus or area?
    }
    assert {n.split(":")[0].split()[-1] for n in plan.notes} == {"Water!A5"}
    assert plant.value("position", "PU-01", "area") == "Intake"
    assert plant.rows("SELECT position_notes FROM position WHERE tag = 'PU-01'")[0]["position_notes"] == "ok"
    motor = {r["tag"]: r for r in plant.rows("SELECT * FROM motor")}
    assert [motor[t]["power_kw"] for t in ("PU-01", "PU-02", "PU-03", "BL-01", "MX-07")] == (
        pytest.approx([55.9275, 55.9275, 37, 1.11855, 5.59275])
    )
    assert [motor[t]["fla_a"] for t in ("PU-01", "PU-02", "PU-03", "BL-01")] == [None, 90, 62.5, 2.6]
    assert motor["PU-03"]["motor_installed_on"] == "2017-03-04"  # row 7 proves month first
    assert [motor[t]["efficiency_pct"] for t in ("PU-01", "PU-02", "PU-03")] == [95, 95, 93]
    kinds = {r["model"][-5:]: r["device_kind"] for r in plant.rows("SELECT * FROM model")}
    assert kinds == {
        "PU-01": "soft starter",
        "PU-02": "soft starter",
        "PU-03": "drive",
        "BL-01": "across-the-line",
        "MX-07": None,
    }
    assert {r["criticality"] for r in plant.rows("SELECT * FROM position")} == {None}
    reasons = {
        (r["row_key"], r["reason"]) for r in plant.rows("SELECT * FROM blank") if r["column_name"] == "relay_set_a"
    }
    assert reasons == {("PU-02", "not surveyed"), ("PU-03", "not applicable"), ("MX-07", "illegible")}


def test_a_continental_quarry_in_semicolons(iec_plant):
    path = iec_plant.folder / "brecher.csv"
    path.write_text(
        "Steinbruch;;;;;;\n"
        "Pos.;Tag No;Pn;Un;In [A];cos φ;n [1/min];WK2;Rating plate read\n"
        "1;M1;1,5 kW;400;3,4;0,81;1440;0,004;03.02.2021\n"
        "2;M2;22 kW;400 V;41,5;0,85;1470;0,13;14.02.2021\n"
        "3;M3;110;400;0,195 kA;0,87;1485;1,250;--\n"
        "4;;5,5;400;11;0,83;1450;;\n"
        "Summe;;139;;;;;;\n",
        encoding="utf-8",
    )
    plan = iec_plant.take(path)
    motor = {r["tag"]: r for r in iec_plant.rows("SELECT * FROM motor")}
    assert [motor[t]["power_kw"] for t in ("M1", "M2", "M3")] == [1.5, 22, 110]
    assert [motor[t]["fla_a"] for t in ("M1", "M2", "M3")] == [3.4, 41.5, 195]
    assert motor["M1"]["power_factor"] == 0.81
    assert iec_plant.value("position", "M3", "load_inertia_kgm2") == 1.25  # its column has commas
    assert {p.place for p in plan.problems()} >= {"brecher.csv row 6"}
    assert plan.skipped["total"] == 1, "Summe: a line of totals"


def test_a_lineup_sheet_with_units_in_its_cells(plant):
    plan = plant.take(
        plant.csv(
            "buses.csv",
            [
                ["MCC", "Sys Volts", "Avail. Fault Current (kA)", "Bracing", "XFMR kVA", "%Z", "Fed by"],
                ["MCC-A", "480 V", "22,500 A", "42", "1500", "5.75%", "SWGR-1"],
                ["MCC-B", "480", "18", "42kA", "1.5 MVA", "5.5", "SWGR-1"],
                ["MCC-A", "480", "18", "42", "1500", "5.5", ""],
                ["", "480", "", "", "", "", ""],
            ],
        )
    )
    assert {p.place for p in plan.problems()} == {"buses.csv row 4", "buses.csv row 5"}
    bus = {r["bus"]: r for r in plant.rows("SELECT * FROM bus")}
    assert set(bus) == {"MCC-A", "MCC-B", "SWGR-1"}
    assert bus["MCC-A"]["fault_current_ka"] == 22.5
    assert bus["MCC-B"]["transformer_kva"] == 1500


def test_a_store_room_list(plant):
    plan = plant.take(
        plant.csv(
            "stores.csv",
            [
                ["Spare motors", "", "", "", ""],
                ["Motor Serial", "Motor HP", "Volts", "RPM", "Location", "Condition"],
                ["A-100", "50", "460", "1780", "shelf 3", "spare"],
                ["A-101", "50", "460", "1780", "shelf 3", "burnt out"],
                ["A-101", "40", "460", "1780", "shelf 4", "spare"],
                ["", "25", "460", "1760", "shelf 4", "spare"],
            ],
        )
    )
    places = {p.place for p in plan.problems()}
    assert {"stores.csv row 5", "stores.csv row 6"} <= places
    assert any("E2" in p for p in places), "where it lies is no area of a position: asked about"
    states = {r["motor"]: r["motor_status"] for r in plant.rows("SELECT * FROM motor")}
    assert states == {"A-100": "in store", "A-101": "failed"}
