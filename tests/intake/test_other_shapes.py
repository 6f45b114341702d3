"""Shapes of lists where a value could land in the wrong place: orders, units in a column, buckets, types of motors."""

from register.intake import concepts

pytest_plugins = ["intake_plant"]

ASSETS = [
    ["Equipment", "Functional Location", "Description", "Model number", "Rated power", "Unit"],
    ["10004501", "PL1-P1", "Motor 1", "N7", 15, "kW"],
    ["10004502", "PL1-P2", "Motor 2", "N8", 30, "kW"],
]
ORDERS = [
    ["Order", "Equipment", "Malfunct. start", "Description", "Breakdown dur."],
    ["4001", "10004501", "2024-03-01", "Motor tripped", 4],
    ["4002", "10004502", "2024-03-05", "PM inspection", 1],
]


def test_a_description_of_an_order_is_no_description_of_the_position(plant):
    plan = plant.take(plant.csv("assets.csv", ASSETS), plant.csv("orders.csv", ORDERS))
    assert plant.value("position", "PL1-P1", "description") == "Motor 1"
    (event,) = plant.rows("SELECT * FROM event")
    assert event["tag"] == "PL1-P1" and event["cause"].startswith("Motor tripped; Order: 4001")
    assert event["failure_mode"] is None, "proposed, and not entered until it is confirmed"
    asked = {d.answer.partition(":")[0] for d in plan.doubts}
    assert {"failure modes", "not failures", "Model number"} <= asked, (
        "routine work and a motor's type wait for an answer"
    )
    assert plant.rows("SELECT * FROM device") == []


def test_a_column_of_units_is_the_unit_of_the_number_beside_it(plant):
    plant.take(plant.csv("assets.csv", ASSETS))
    assert plant.value("motor", "unmarked motor at PL1-P1", "power_kw") == 15
    assert plant.value("position", "PL1-P1", "area") is None


def test_spare_buckets_and_incomers_are_no_positions(plant):
    rows = [
        ["Bucket", "Load", "Load Desc.", "HP", "FLA", "Starter", "Breaker"],
        ["1A", "P-701", "Feed pump", "25 hp", 34, "FVNR", "70A MCP"],
        ["1B", "SPARE", "", "", "", "FVNR", "15A MCP"],
        ["2A", "F-702", "ID fan", "100 hp", 124, "VFD", "200A TM"],
        ["", "MAIN BREAKER", "", "", "", "", "800A"],
    ]
    plant.take(plant.csv("mcc.csv", rows))
    assert [r["tag"] for r in plant.rows("SELECT tag FROM position ORDER BY tag")] == ["F-702", "P-701"]
    assert plant.value("protection", "P-701", "protection_kind") == "instantaneous breaker"


def test_ditto_marks_repeat_the_cell_above_and_say_so(plant):
    plant.take(
        plant.csv("list.csv", [["Tag", "HP", "FLA", "RPM"], ["P-1", "50 hp", 62, 1780], ["P-2", '"', "ditto", 1775]])
    )
    assert plant.value("motor", "unmarked motor at P-2", "fla_a") == 62
    (found,) = plant.rows("SELECT found_text FROM found WHERE column_name = 'fla_a'")
    assert found["found_text"] == "ditto (as above: 62)"


def test_a_heading_cut_short_is_read_where_all_that_begins_so_means_the_same():
    assert concepts.meant("Anlagenkennz.") == concepts.meant("Anlagenkennzeichen") == ("tag",)
    assert concepts.meant("Anl.") == ()


def test_a_column_of_tags_under_a_heading_that_nobody_knows_is_asked_about_and_nothing_is_invented(plant):
    rows = [["Machine place code", "Panel", "kW", "FLA"], ["R1-M01", "MCC 1", 132, 235]]
    rows += [["R1-M02", "MCC 1", 22, 41.5], ["R1-M04", "MCC 2", 90, 160]]
    plan = plant.take(plant.csv("motors.csv", rows))
    assert not any(plan.added.values())
    (question,) = plan.doubts
    assert question.heading == "Machine place code" and question.candidates[0] == "tag"
