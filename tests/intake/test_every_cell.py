"""Every filled cell of a sheet ends in exactly one way, whatever the sheet: nothing vanishes, nothing crashes."""

import os
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from register.columns import COLUMNS, TABLES, languages
from register.errors import SheetError
from register.intake.account import ENDS, count
from register.intake.mapping import Mapping, SheetAnswers
from register.intake.sheet import Sheet
from register.intake.take_in import plan_intake
from register.store.database import create, opened

pytest_plugins = ["intake_plant"]

# The whole number is run by benchmarks/bench_lists.py; a share of it here.
SHEETS = int(os.environ.get("STARTROLL_RANDOM_SHEETS", "120"))

NAMES = [h for c in COLUMNS.values() if c.table in TABLES for h in (c.name, *c.headings)]
FOREIGN = [h for said in languages.headings().values() for h in said]
CONCEPTS = sorted(languages.concepts())
heading = st.one_of(
    st.sampled_from(["Tag", "HP", "FLA", "Serial", "Date", "Asset No", "Qty", "Remarks", "Starter", "OL Set", ""]),
    st.sampled_from(NAMES),
    st.sampled_from(FOREIGN),
    st.lists(st.sampled_from(CONCEPTS), min_size=1, max_size=3).map(" ".join),
    st.text(max_size=12),
)
CHOICES = sorted({w for c in COLUMNS.values() for w in c.choices})
cell = st.one_of(
    st.sampled_from(
        ["", None, "?", "n/a", "P-1", "P-2", "P1", "p-1", "M-7", "MCC-1", "Total", "TOTAL kW", '"', "ditto"]
    ),
    st.sampled_from(
        ["6/4/25", "2024-02-30", "13.4.2019", "3 mars 2021", "Feb 30 2020", "6/13/25", "#REF!", "1e999", "nan"]
    ),
    st.sampled_from(
        ["250A MCP", "CL20", "SS w/ int bypass", "460/230V", "12.4/24.8", "600:5", "1,5", "1.500", "7 1/2", "50 hp"]
    ),
    st.sampled_from(CHOICES),
    st.floats(allow_nan=False, allow_infinity=False, width=32),
    st.integers(-5, 5000).map(float),
    st.booleans(),
    st.dates(),
    st.text(max_size=8),
)


@st.composite
def sheets(draw):
    wide = draw(st.integers(1, 7))
    head = draw(st.lists(heading, min_size=wide, max_size=wide))
    if draw(st.booleans()):
        head[0] = "Tag"
    line = st.lists(cell, min_size=0, max_size=wide + 1)
    titles = draw(st.lists(st.lists(st.text(max_size=6), max_size=3), max_size=2))
    rows = [*titles, head, *draw(st.lists(line, min_size=1, max_size=8))]
    return Sheet("random.xlsx", draw(st.sampled_from(["list", "spares", "MCC-1"])), rows, "0", draw(st.booleans()))


@pytest.fixture(scope="module")
def registers():
    with tempfile.TemporaryDirectory() as folder:
        paths = []
        for practice in ("us", "iec"):
            path = Path(folder) / f"{practice}.db"
            create(path, {"site": "Oldmarrow Works", "practice": practice})
            paths.append(path)
        yield paths


@settings(max_examples=SHEETS, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True, database=None)
@given(st.lists(sheets(), min_size=1, max_size=2), st.booleans(), st.sampled_from(["", "note", "ignore"]))
def test_counts_add_up_over_random_sheets(registers, found, iec, others):
    mapping = Mapping({"*": SheetAnswers(others=others)})
    with opened(registers[iec]) as db:
        try:
            plan = plan_intake(db, found, mapping)
        except SheetError:
            return  # no list, and said so
    assert set().union(*plan.cells.values()) <= set(ENDS)
    assert sum(c.total() for c in plan.cells.values()) == sum(map(count, found))
    total = sum(plan.cells.values(), start=type(plan.skipped)())
    assert not total["refused"] or plan.refused
    assert not total["asked"] or plan.doubts
    assert all(sheet in plan.mapping_draft for sheet in {d.sheet for d in plan.doubts})


DATED = [["Tag", "HP", "Date Inst."], ["P-1", "50 hp", "6/4/25"], ["P-2", "5 hp", "7/3/25"]]


def test_an_ambiguous_date_is_asked_about(plant):
    (doubt,) = plant.plan(plant.csv("list.csv", DATED)).doubts
    assert doubt.candidates == ("day first", "month first") and "2 days" in doubt.question


def test_day_first_is_plain_in_iec_practice(iec_plant):
    iec_plant.take(iec_plant.csv("list.csv", DATED))
    assert iec_plant.value("motor", "unmarked motor at P-1", "motor_installed_on") == "2025-04-06"


def test_rows_that_belong_to_no_record_are_asked_about_with_their_cells_counted(plant):
    rows = [["Order", "Failure Date", "Downtime"], ["4711", "2024-03-01", "6"], ["4712", "2024-04-01", "2"]]
    plan = plant.plan(plant.csv("orders.csv", rows))
    assert any("tag" in d.candidates for d in plan.doubts)
    assert plan.cells["orders.csv"]["asked"] == 4 and plan.cells["orders.csv"]["refused"] == 2


@pytest.mark.parametrize(
    "text",
    [
        "import os\n\ndef motor(tag, hp):\n    return tag, hp\n",
        "The motor was checked, and the pump runs well.\nIt was a long day, but all is done now.\nWe go home, at last.\n",
    ],
)
def test_a_file_that_is_no_list_is_refused(plant, text):
    path = plant.folder / "notes.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SheetError, match="no row of headings"):
        plant.plan(path)


def test_no_position_is_made_of_a_stores_list_or_of_a_line_that_heads_a_group(plant):
    stores = [
        ["Item", "Description", "HP", "Qty", "Bin"],
        ["1", "Motor 50 hp", "50 hp", 2, "A3"],
        ["2", "Motor", "5 hp", 1, "B"],
    ]
    wide = [
        ["Tag", "Service", "HP", "FLA", "RPM", "Volts"],
        ["MCC-2", "480 V"],
        ["P-1", "Pump", "50 hp", "62", 1780, 460],
    ]
    plan = plant.take(plant.book("list.xlsx", motors=wide, spares=stores))
    assert [r["tag"] for r in plant.rows("SELECT tag FROM position")] == ["P-1"]
    assert plan.cells["list.xlsx spares"]["taken"] == 0


def test_like_tags_are_a_question_with_both_answers(plant):
    plan = plant.plan(plant.csv("list.csv", [["Tag", "HP"], ["P-101", "50 hp"], ["P-10-1", "5 hp"]]))
    (doubt,) = plan.doubts
    assert doubt.candidates == ("P-101", "P-10-1") and plan.refused == ()


def test_a_cell_of_which_only_the_place_is_taken_still_waits_for_an_answer(plant):
    """An overload setting in a soft starter is not taken without its day, though it says where the overload is."""
    rows = [["Tag", "HP", "FLA", "Starter", "O/L setting"], ["P-101", 50, 62, "soft starter", 60]]
    answers = Mapping({"motors": SheetAnswers(device_overload="device")})
    plan = plant.take(plant.csv("motors.csv", rows), mapping=answers)
    (ends,) = plan.cells.values()
    assert ends["asked"] == 1 and ends["taken"] == 4
    assert "on which day" in plan.doubts[0].question
