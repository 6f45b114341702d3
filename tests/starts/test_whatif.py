"""A value that is tried gives the facts that it would give once entered."""

import pytest
from sqlite_utils import Database

from register import columns
from register.errors import StartrollError
from register.facts.assumptions import load_assumptions
from register.facts.build import refresh
from register.facts.standard_tables import load_tables
from register.facts.whatif import Variant, WhatIf
from register.intake import correct
from register.resources import rules_folder
from register.starts import load_case
from register.store.database import opened

METHOD = {"tables": load_tables(), "assumptions": load_assumptions(rules_folder() / "assumptions.yml")}


def facts(db: Database, tag: str) -> dict:
    refresh(db, **METHOD)
    names = ", ".join(columns.FACTS)
    row = db.conn.execute(f"SELECT {names} FROM facts WHERE tag = ?", (tag,)).fetchone()
    return dict(zip(columns.FACTS, row, strict=True))


def trials(db: Database, tags: list[str], tried: dict | None = None):
    return WhatIf(db, tags, **METHOD).trials([Variant(tag, tried or {}) for tag in tags])


def alike(some, others) -> None:
    """Equal, but for the last digit that a sum loses or not by what stands beside it."""
    for name, value in others.items():
        number = isinstance(value, float)
        assert some[name] == (pytest.approx(value, rel=1e-12) if number else value), name


def tags(db: Database) -> list[str]:
    """A position of each kind of device, and one whose start can't be studied."""
    rows = db.query("SELECT min(tag) AS tag FROM facts GROUP BY device_kind, start_mode")
    return [row["tag"] for row in rows]


def test_with_nothing_tried_it_is_what_the_facts_say(demo):
    with demo.copy() as db:
        refresh(db, **METHOD)
        some = tags(db)
        for made in trials(db, some):
            alike(made.values, facts(db, made.tag))


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("current_limit_xfla", "4.2"),
        ("load_inertia_kgm2", "3 kg·m²"),
        ("fla_a", "31 A"),
        ("device_trip_class", "30"),
        ("transformer_kva", "1000"),
        ("duty_code", "AC-53a: 4-20 : 60-6"),
        ("cable_length_m", "90 m"),
        ("bypass_starts_by", "star-delta"),
    ],
)
def test_a_value_tried_is_as_good_as_entered(demo, name, text):
    with demo.copy() as db:
        refresh(db, **METHOD)
        tag = db.execute(
            "SELECT tag FROM facts WHERE device_kind = 'soft starter' AND start_outcome = 'starts'"
        ).fetchone()[0]
        made = trials(db, [tag], {name: correct.believed(name, text)})[0]
        correct.set_value(db, tag, name, text)
        # What is only tried was never seen; what is entered may have been so all along.
        values = {**made.values, "settings_since_on": None, "start_seen": None}
        alike(values, facts(db, tag) | {"settings_since_on": None, "start_seen": None})
        assert made.values[name] is not None and made.tried


def test_a_start_seen_is_of_the_settings_then_unless_it_is_what_is_tried(demo):
    with demo.copy() as db:
        refresh(db, **METHOD)
        tag = db.execute(
            "SELECT tag FROM facts WHERE start_seen = 'yes' AND device_kind = 'soft starter' AND start_outcome = 'starts'"
        ).fetchone()[0]
        another = {"current_limit_xfla": 4.9}
        assert trials(db, [tag], another)[0].values["start_seen"] is None
        seen = another | {"measured_start_on": "2026-11-25", "measured_start_s": 9.0}
        assert trials(db, [tag], seen)[0].values["start_seen"] == "yes"


def test_a_trial_on_what_is_not_there_is_possible(fan):
    with opened(fan) as db:
        before = fan.read_bytes()
        made = trials(db, ["F-650"], {"bypass_own_overload": "yes"})[0]
        assert made.values["bypass_own_overload"] == "yes"
    assert fan.read_bytes() == before


def test_only_what_bears_on_a_start_may_be_tried():
    names = load_case.may_be_tried()
    assert {
        "current_limit_xfla",
        "load_inertia_kgm2",
        "cable_length_m",
        "device_kind",
        "ramp_s",
        "dip_limit_pct",
        "hot_stall_s",
        "transformer_kva",
        "bypass_starts_by",
    } <= names
    assert not {"tag", "motor", "device", "bus", "model", "price", "start_outcome"} & names
    with pytest.raises(StartrollError, match="has no effect"):
        load_case.values_of({"criticality": "critical"})
    with pytest.raises(StartrollError, match="cannot be set"):
        load_case.values_of({"start_outcome": "starts"})


def test_what_is_tried_is_written_column_and_value():
    assert load_case.parted(["ramp_s = 12 s", "current_limit_xfla=3.5"]) == {
        "ramp_s": "12 s",
        "current_limit_xfla": "3.5",
    }
    with pytest.raises(StartrollError) as raised:
        load_case.parted(["ramp_s", "=3", "ramp_s=3", "ramp_s=4"])
    assert len(raised.value.problems) == 3
