"""Device types in a sheet of their own, and how many of each lie in store; every list is invented."""

import pytest

from register.facts.context import JOINS, SQL
from register.intake.mapping import understood

pytest_plugins = ["intake_plant"]

STORES = [
    ["Starter spares - main stores"],
    ["Catalog No", "Manufacturer", "Starter Type", "Rated A", "Qty", "Bin"],
    ["SX-100", "Dorn", "soft starter", 100, 3, "A3"],
    ["VK-45", "Hallam", "VFD", 45, 1, "A4"],
    ["VK-90", "Hallam", "VFD", 90, 0, "A4"],
]
MOTORS = [
    ["Tag", "HP", "FLA", "Starter Model", "Starter Serial"],
    ["P-1", "75 hp", 92, "SX-100", "S123"],
    ["P-2", "30 hp", 40, "VK-45", "S124"],
    ["P-3", "60 hp", 77, "VK-90", "S125"],
]


def stored(plant, model):
    return [
        r["device"]
        for r in plant.rows("SELECT device FROM device WHERE device_status = 'in store' AND model = ?", model)
    ]


def test_a_count_in_a_stores_list_becomes_devices_in_store(plant):
    plan = plant.take(plant.csv("starters.csv", STORES), plant.csv("motors.csv", MOTORS))
    assert stored(plant, "SX-100") == [f"unmarked device {n} in store, SX-100" for n in (1, 2, 3)]
    assert len(stored(plant, "VK-45")) == 1 and stored(plant, "VK-90") == []
    assert plan.refused == () and [d.heading for d in plan.doubts] == ["Bin"]
    assert any("4 devices in store" in note for note in plan.notes)
    assert len(plant.rows("SELECT * FROM position")) == 3


def test_what_was_counted_are_spares_at_each_position(plant):
    plant.take(plant.csv("starters.csv", STORES), plant.csv("motors.csv", MOTORS))
    rows = plant.rows(
        f"SELECT position.tag, {SQL['spares_in_store']} AS spares FROM position JOIN device ON device.tag = position.tag"
        f" LEFT JOIN model ON model.model = device.model {JOINS}"
    )
    assert {r["tag"]: r["spares"] for r in rows} == {"P-1": 3, "P-2": 1, "P-3": None}


def test_the_list_taken_again_makes_no_more_and_says_what_is_fewer(plant):
    plant.take(plant.csv("starters.csv", STORES))
    fewer = [row if row[0] != "SX-100" else [*row[:4], 2, row[5]] for row in STORES]
    plan = plant.take(plant.csv("later.csv", fewer))
    assert len(stored(plant, "SX-100")) == 3
    assert any("2 of SX-100 counted, and the register has 3 in store" in note for note in plan.notes)


def test_a_device_in_store_whose_serial_is_known_is_not_made_again(plant):
    plant.take(
        plant.csv("serials.csv", [["Starter serial", "Starter model", "Device status"], ["N1", "SX-100", "in store"]])
    )
    plant.take(plant.csv("starters.csv", STORES))
    assert len(stored(plant, "SX-100")) == 3 and "N1" in stored(plant, "SX-100")


def test_a_type_in_two_places_of_the_store_is_counted_in_both(plant):
    plant.take(plant.csv("starters.csv", [*STORES, ["SX-100", "Dorn", "soft starter", 100, 2, "C1"]]))
    assert len(stored(plant, "SX-100")) == 5


@pytest.mark.parametrize("cell", ["some", -2, 2.5, 70000])
def test_what_is_no_number_of_devices_is_refused(plant, cell):
    plan = plant.take(
        plant.csv("starters.csv", [*STORES[:2], ["SX-100", "Dorn", "soft starter", 100, cell, "A3"], *STORES[3:]])
    )
    assert stored(plant, "SX-100") == []
    assert [r.place for r in plan.refused] == ["starters.csv E3"]


def test_a_quantity_without_a_word_of_stores_is_asked_about(plant):
    rows = [
        ["Model", "Maker", "Type", "Rated A", "Qty"],
        ["SX-100", "Dorn", "soft starter", 100, 3],
        ["VK-45", "Hallam", "VFD", 45, 1],
    ]
    path = plant.csv("types.csv", rows)
    (doubt,) = plant.take(path).doubts
    assert doubt.answer == "Qty: stock" and stored(plant, "SX-100") == []
    plant.take(path, mapping=understood("sheets: {types: {headings: {Qty: stock}}}", "answers"))
    assert len(stored(plant, "SX-100")) == 3


def test_types_may_come_from_a_sheet_of_their_own(plant):
    types = [
        ["Model", "Maker", "Type", "Rated A", "Overload class", "Max starts per hour"],
        ["SX-100", "Dorn", "soft starter", 100, 10, 6],
        ["VK-45", "Hallam", "VFD", 45, 10, ""],
    ]
    plan = plant.take(plant.book("plant.xlsx", Motors=MOTORS, Types=types))
    assert plan.doubts == () and plan.refused == ()
    (row,) = plant.rows("SELECT * FROM model WHERE model = 'SX-100'")
    assert (row["device_kind"], row["rated_current_a"], row["trip_classes"]) == ("soft starter", 100, "10")
    assert (row["model_maker"], row["starts_per_hour_max"]) == ("Dorn", 6)
    assert plant.value("device", "S123", "model") == "SX-100"


def test_types_may_come_from_the_rows_of_the_devices(plant):
    rows = [
        ["Tag", "HP", "FLA", "Starter", "Starter model", "Starter amps", "Starter serial"],
        ["P-1", "75 hp", 92, "soft starter", "SX-100", 100, "S1"],
        ["P-2", "75 hp", 92, "soft starter", "SX-100", 100, "S2"],
        ["P-3", "30 hp", 40, "VFD", "VK-45", 45, "S3"],
    ]
    plan = plant.take(plant.csv("motors.csv", rows))
    assert plan.refused == () and plan.doubts == ()
    got = {r["model"]: (r["device_kind"], r["rated_current_a"]) for r in plant.rows("SELECT * FROM model")}
    assert got == {"SX-100": ("soft starter", 100), "VK-45": ("drive", 45)}


def test_motors_relays_and_fuses_of_a_stores_list_are_no_starting_devices(plant):
    sheet = [
        ["Stock #", "Description", "Mfr", "Cat #", "Qty"],
        ["77120", "SOFT STARTER 480V 180A", "Dorn", "SX-180", 1],
        ["77121", "MOTOR 25HP 284T 1775", "Oakmoor", "OM284", 2],
        ["77140", "OL RELAY 32A CL20", "Dorn", "DR-32", 4],
    ]
    plan = plant.take(plant.csv("stores.csv", sheet))
    assert [r["model"] for r in plant.rows("SELECT model FROM model")] == ["SX-180"]
    assert len(stored(plant, "SX-180")) == 1
    assert [r.cause for r in plan.refused] == [
        "'MOTOR 25HP 284T 1775' is no starting device",
        "'OL RELAY 32A CL20' is no starting device",
    ]
