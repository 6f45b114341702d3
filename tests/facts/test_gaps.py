"""Whoever reads the fields that a gap names gets the fact; what does not matter is not named."""

import json
import os

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from register import columns
from register.facts import missing as gaps
from register.facts.build import gaps as fields_to_read
from register.facts.build import refresh
from register.facts.derived import derive, entered_behind


def gap(db, tag, name):
    row = db.conn.execute("SELECT fields, note FROM gap WHERE tag = ? AND column_name = ?", (tag, name)).fetchone()
    return row and tuple(row)


def test_a_gap_names_the_entered_fields_behind_calculated_ones(db, method):
    refresh(db, **method)
    assert gap(db, "P-1", "slip_pct") is None
    assert gap(db, "P-2", "slip_pct") == ("speed_rpm", "")
    assert gap(db, "P-1", "ct_use_pct") == ("ct_primary_a", "")
    assert set(gap(db, "P-4", "slip_pct")[0].split(", ")) == {"motor_frequency_hz", "poles", "speed_rpm"}


def test_a_field_that_has_a_stand_in_is_no_gap_until_measured_only(db, method):
    refresh(db, **method)
    assert gap(db, "P-1", "synchronous_speed_rpm") is None
    refresh(db, **method, measured_only=True)
    assert gap(db, "P-1", "synchronous_speed_rpm") == ("motor_frequency_hz", "")


def test_the_fields_to_read_for_a_verdict_are_told_once_each(db, method):
    refresh(db, **method)
    names = ["slip_pct", "speed_rpm", "ct_use_pct"]
    assert fields_to_read(db, "P-2", names) == ["speed_rpm", "ct_primary_a"]


def test_a_study_that_cannot_be_done_names_what_it_lacks(db, method):
    refresh(db, **method)
    named = set(gap(db, "P-2", "start_outcome")[0].split(", "))
    assert {"speed_rpm", "load_kind"} <= named
    # The kind of load is assumed for its curve and torques, the size of the motor for its torques.
    assert named.isdisjoint({"load_curve", "load_torque_pct", "locked_rotor_torque_pct"})
    assert named.isdisjoint({"hot_stall_s", "overload_trip_class", "bypass_starts_by", "fla_a"})
    more = set(gap(db, "P-2", "start_overload_state")[0].split(", "))
    assert named | {"overload_place"} <= more


def test_without_stand_ins_the_fields_themselves_are_named(db, method):
    refresh(db, **method, measured_only=True)
    named = set(gap(db, "P-2", "start_outcome")[0].split(", "))
    assert {"load_curve", "load_torque_pct", "locked_rotor_torque_pct"} <= named


def test_what_was_tried_before_gives_the_same_reasons(demo, method):
    def told():
        refresh(db, **method)
        numbered = dict(db.conn.execute("SELECT gap_reason, column_name || fields || note FROM gap_reason"))
        rows = db.conn.execute("SELECT tag, gap_reasons FROM facts ORDER BY tag").fetchall()
        db.conn.execute("DELETE FROM facts_state")
        return [(tag, {numbered[number] for number in json.loads(reasons)}) for tag, reasons in rows]

    with demo.copy() as db:
        db.conn.execute("DELETE FROM facts_state")
        gaps._by.cache_clear()
        first = told()
        assert told() == first and len(first) == 180


# Calculations of the kinds that occur, with the names of real columns so that the dictionary serves.


def size_ratio(*, overload_place, relay_set_a, device_overload_set_a):
    """A choice between two fields, made by a third."""
    chosen = np.where(overload_place == "relay", relay_set_a, np.nan)
    return np.where(overload_place == "device", device_overload_set_a, chosen)


def ct_use_pct(*, starts_per_hour_max, duty_code, fla_a):
    """The first of two, and a third in any case."""
    from_code = np.where(np.equal(duty_code, None), np.nan, 10.0)
    first = np.where(np.isnan(starts_per_hour_max), from_code, starts_per_hour_max)
    return first * fla_a


def ambient_factor(*, practice, fla_a):
    """Nothing outside a range, as a table has it."""
    return np.where((practice == "us") & (fla_a < 100), fla_a, np.nan)


def slip_pct(*, relay_set_a, duty_code, starts_per_hour_max, fla_a):
    """One pair of fields, or another pair."""
    pair = relay_set_a + np.where(np.equal(duty_code, None), np.nan, 0.0)
    return np.where(np.isnan(pair), starts_per_hour_max + fla_a, pair)


KNOWN = {
    "overload_place": "relay",
    "relay_set_a": 5.0,
    "device_overload_set_a": 6.0,
    "starts_per_hour_max": 4.0,
    "duty_code": "x",
    "fla_a": 7.0,
    "practice": "us",
}


@pytest.fixture
def why(monkeypatch):
    functions = {f.__name__: f for f in (size_ratio, ct_use_pct, ambient_factor, slip_pct)}

    def ask(name, **values):
        names = gaps.parameters(functions[name])
        arrays = {n: gaps_array(n, {**KNOWN, **values}[n]) for n in names}
        arrays[name] = functions[name](**arrays)
        assert gaps.missing(arrays[name]).all()
        monkeypatch.setattr(gaps, "order", lambda: (functions[name],))
        monkeypatch.setattr(gaps, "entered_behind", lambda _: frozenset(names))
        places = {n: i for i, n in enumerate(KNOWN)}
        monkeypatch.setattr(gaps, "FIELDS", tuple(KNOWN))
        monkeypatch.setattr(gaps, "_PLACE", places)
        monkeypatch.setattr(gaps, "derive", lambda base, tables: {})
        texts, which = gaps.worded(gaps.reasons(arrays, {})[name])
        fields, note = texts[which[0]]
        return sorted(fields.split(", ")), note

    return ask


def gaps_array(name, value):
    if columns.FACTS[name].is_number:
        return np.array([np.nan if value is None else value], float)
    array = np.empty(1, object)
    array[0] = value
    return array


def test_a_blank_that_does_not_matter_is_not_named(why):
    fields, note = why("size_ratio", relay_set_a=None, device_overload_set_a=None)
    assert (fields, note) == (["relay_set_a"], "")


def test_the_field_that_decides_comes_with_those_it_may_decide_for(why):
    fields, note = why("size_ratio", overload_place=None, relay_set_a=None, device_overload_set_a=None)
    assert fields == ["device_overload_set_a", "overload_place", "relay_set_a"]
    assert note == "some of these may be enough: relay_set_a, device_overload_set_a"


def test_the_field_that_decides_stands_alone_where_it_may_be_enough(why):
    fields, note = why("size_ratio", overload_place=None, relay_set_a=None)
    assert (fields, note) == (["overload_place"], "")


def test_of_two_ways_to_a_fact_either_is_enough(why):
    fields, note = why("ct_use_pct", starts_per_hour_max=None, duty_code=None)
    assert fields == ["duty_code", "starts_per_hour_max"]
    assert note.startswith("some of these may be enough")


def test_either_of_two_and_a_third_in_any_case(why):
    fields, note = why("ct_use_pct", starts_per_hour_max=None, duty_code=None, fla_a=None)
    assert fields == ["duty_code", "fla_a", "starts_per_hour_max"]
    assert note == "some of these may be enough: starts_per_hour_max, duty_code"


def test_of_two_pairs_all_are_named_where_no_field_alone_is_enough(why):
    blank = {"relay_set_a": None, "duty_code": None, "starts_per_hour_max": None, "fla_a": None}
    fields, note = why("slip_pct", **blank)
    assert fields == sorted(blank) and note.startswith("some of these may be enough")
    assert why("slip_pct", **blank | {"fla_a": 7.0})[0] == ["starts_per_hour_max"]


def test_a_fact_that_nothing_blank_explains_names_what_to_check(why):
    fields, note = why("ambient_factor", fla_a=400.0)
    assert fields == ["fla_a", "practice"]
    assert note.startswith("known, yet they give no result; check")


def test_a_blank_is_named_even_where_no_typical_value_would_help(why):
    fields, note = why("ambient_factor", practice="iec", fla_a=None)
    assert (fields, note) == (["fla_a"], "")


def test_every_calculation_has_a_value_at_some_typical_position(method):
    """Else nothing could be found out by filling blanks with typical values."""
    base = {name: gaps.typical(gaps.BASE[name]) for name in gaps.FIELDS}
    with np.errstate(all="ignore"):
        derived = derive(base, method["tables"])
    barren = [n for n, v in derived.items() if gaps.missing(np.broadcast_to(v, gaps.TURNS)).all()]
    assert barren == []


@settings(
    max_examples=int(os.environ.get("STARTROLL_EXAMPLES", "10")), deadline=None, phases=(Phase.reuse, Phase.generate)
)
@given(st.integers(0, gaps.TURNS - 1), st.sets(st.sampled_from(sorted(gaps.FIELDS))))
def test_reading_what_is_named_always_leads_to_the_fact(method, turn, blanked):
    """From a typical position with blanks, fill what the gaps name until nothing is left to name."""
    entered = {n: gaps.typical(gaps.BASE[n])[turn : turn + 1] for n in gaps.FIELDS}
    reached = values(entered, method)
    held = {n: v if n not in blanked else blank(v) for n, v in entered.items()}
    for _ in range(len(blanked) + 1):
        now = values(held, method)
        named = set()
        for name, why in gaps.reasons(now, method["tables"]).items():
            if not gaps.missing(reached[name]).any():
                named_here = named_by(why) & blanked_in(held)
                assert named_here, f"{name} is missing, and nothing blank is named"
                assert named_here <= entered_behind(name)
                named |= named_here
        held |= {n: entered[n] for n in named}
    after = values(held, method)
    for name in (column.name for column in columns.DERIVED):
        assert gaps.missing(after[name]).any() == gaps.missing(reached[name]).any(), name


def values(entered, method):
    with np.errstate(all="ignore"):
        derived = derive(entered, method["tables"])
    return entered | {n: np.broadcast_to(np.asarray(v), 1) for n, v in derived.items()}


def blank(values):
    return np.array([np.nan] if values.dtype != object else [None], values.dtype)


def blanked_in(held):
    return {n for n, v in held.items() if gaps.missing(v).any()}


def named_by(why):
    fields, _ = gaps.worded(why)[0][0]
    return set(fields.split(", "))
