"""Headings and cells of many thousand letters: what is too long to be one is told at once, and not taken apart."""

import pytest
import yaml

from register.columns import COLUMNS
from register.intake import cells
from register.intake.sheet import read
from register.intake.take_in import plan_intake
from register.store.database import create, opened

LONG = {
    "letters": "A" * 30_000,
    "words in one": "tag" * 10_000,
    "abbreviations": "a." * 15_000,
    "values": "1 kW " * 6_000,
    "digits": "1" * 30_000,
    "letters that are none": "\ufffe" * 390,
}


@pytest.mark.parametrize("what", LONG)
def test_a_heading_without_end_is_asked_about(what, tmp_path):
    """A word of 70,000 letters kept the search for its parts busy for minutes; YAML's keys have at most 1024."""
    path, register = tmp_path / "list.csv", tmp_path / "plant.db"
    path.write_text(f"Tag,HP,{LONG[what]}\nP-1,5,a\nP-2,7,b\n", "utf-8")
    create(register, {"site": "Oldmarrow Works", "practice": "us"})
    with opened(register) as db:
        plan = plan_intake(db, read(path))
    (doubt,) = (doubt for doubt in plan.doubts if "…" in doubt.answer)
    (heading,) = yaml.safe_load(doubt.answer)
    assert heading.endswith("…") and len(heading) <= 100
    assert plan.mapping_draft.count(doubt.answer) == 1


@pytest.mark.parametrize("column", ["power_kw", "start_mode", "measured_start_on"])
@pytest.mark.parametrize("what", LONG)
def test_a_cell_without_end_is_no_value(what, column, tmp_path):
    text = LONG[what] * 2
    made = cells.read_column([text, ""], cells.Manner(COLUMNS[column]))
    assert made.values[0] is None
    assert f"{len(text.strip())} letters, is no value of {column}" in made.special[0].cause
    assert len(made.special[0].cause) < 400


def test_a_long_text_stays_whole_where_texts_belong():
    text = "seen at the walk; " * 100
    made = cells.read_column([text], cells.Manner(COLUMNS["description"]))
    assert made.values == [text.strip()]
