"""The starts of a plant come from its facts, which are worked out once."""

import shutil

import pytest
from by_path import starts

from register.errors import StartrollError
from register.intake.correct import set_value
from register.store.database import opened, writing


@pytest.fixture
def plant(demo, tmp_path):
    """The demo plant, with no facts worked out yet."""
    path = shutil.copy(demo.path, tmp_path / "plant.db")
    with opened(path, write=True) as db:
        db.conn.execute("DROP TABLE IF EXISTS facts_state")
    return path


def test_every_position_is_there_once_with_an_outcome_or_fields_to_read(demo):
    found = starts(demo.path)
    with opened(demo.path) as db:
        tags = [tag for (tag,) in db.execute("SELECT tag FROM position ORDER BY tag")]
    assert [s.tag for s in found] == tags
    for start in found:
        assert bool(start.outcome) != bool(start.to_read), start
        assert start.outcome in (
            None,
            "starts",
            "may stall",
            "stalls",
            "does not turn",
            "trips on the way",
            "starts too hot",
        )


def test_a_motor_without_a_cage_has_no_start_and_asks_for_its_kind(plant):
    tag = next(s.tag for s in starts(plant) if s.outcome)
    with opened(plant, write=True) as db, writing(db, reason="slip rings", author="rk"):
        set_value(db, tag, "motor_type", "wound rotor")
    (found,) = (s for s in starts(plant) if s.tag == tag)
    assert (found.outcome, found.to_read) == (None, ("motor_type",))


def test_a_second_run_computes_nothing_and_an_edit_touches_one_position(plant):
    told = []
    first = starts(plant, progress=lambda done, of: told.append((done, of)))
    assert told[-1] == (180, 180)
    told.clear()
    assert starts(plant, progress=lambda *d: told.append(d)) == first
    assert told == []
    with opened(plant, write=True) as db, writing(db, reason="read on its display", author="rk"):
        tag = db.execute(
            "SELECT tag FROM facts WHERE device_kind = 'soft starter'"
            " AND start_mode = 'current limit' AND start_outcome IS NOT NULL"
            " AND current_limit_xfla <> 4.7"
        ).fetchone()[0]
        set_value(db, tag, "current_limit_xfla", "4.7")
    again = starts(plant, progress=lambda *d: told.append(d))
    assert told == [(1, 1)]
    assert [new.tag for old, new in zip(first, again, strict=True) if old != new] == [tag]


def test_an_area_or_a_bus_alone(plant):
    every = starts(plant)
    bus = every[0].bus
    assert starts(plant, bus=bus) == [s for s in every if s.bus == bus]
    area = every[0].area
    assert starts(plant, area=area) == [s for s in every if s.area == area]
    with pytest.raises(StartrollError, match="there is no bus"):
        starts(plant, bus="SWB-99")
