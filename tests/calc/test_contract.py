"""What every calculation keeps to: its docstring, one by one as all at once, and what is unknown."""

import inspect
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from register import columns
from register.facts.derived import CALCULATIONS, derive, entered_behind
from register.facts.standard_tables import load_tables

TABLES = load_tables()
ROWS = 60

# Values that occur, for columns whose believable range would seldom meet a table's rows.
# fmt: off
VALUES = {
    "power_kw": (0.75, 3.73, 7.457, 18.65, 37.3, 93.2, 200.0), "power_hp": (0.5, 1, 5, 25, 50, 150, 270),
    "motor_voltage_v": (115, 200, 230, 400, 460, 575, 2300), "phases": (1, 3, 3), "poles": (2, 4, 6, 8),
    "motor_frequency_hz": (50, 60), "speed_rpm": (880, 1185, 1755, 3540),
    "synchronous_speed_rpm": (900, 1500, 1800, 3600), "service_factor": (1.0, 1.15),
    "temperature_rise_c": (40, 80), "ambient_c": (30, 50), "derate_above_c": (40, 50),
    "derate_pct_per_c": (0, 2), "altitude_m": (200, 2500), "derate_above_m": (1000, 2000),
    "efficiency_pct": (80.0, 91.0, 95.8), "power_factor": (0.75, 0.82, 0.9), "code_current_a": (14.0, 65.0, 1500.0),
    "table_flc_a": (3.4, 14.0, 65.0), "other_motors_a": (3.4, 10.2, 130.0),
    "bus_voltage_v": (208, 400, 480), "motor_ambient_c": (30, 44, 58),
    "service_kind": ("fire pump", "process", None), "motor_leads": (6, 9, 12),
    "branch_protection_pct": (175.0, 250.0, 800.0),
    "design_letter": ("A", "B", "B", "N"), "practice": ("us", "us", "iec"),
    "device_enclosure": ("NEMA 1", "NEMA 4X", "IP55"), "enclosure_need": ("NEMA 1", "IP54", "NEMA 3R"),
    "motor_enclosure": ("TEFC", "ODP", "IP23"), "control_protocol": ("Modbus RTU", "CANopen"),
    "protocols": ("Modbus RTU, EtherNet/IP", "CANopen"),
    "description": ("No 2 stock pump", "Fire pump 1"), "nema_size": ("1", "3", "none"),
    "panel_enclosure": ("NEMA 12", "IP54", "none"), "motors_on_device": (1, 1, 4),
    "fuse_class_required": ("J, CC", "any", "RK1"), "fuse_class": ("J", "CC", "RK5"),
    "all_code_current_a": (14.0, 65.0, 1500.0), "overload_place": ("device", "device", "relay", "motor", "none"),
    "motor_type": ("cage", "wound rotor"), "maker_curve": (None, None, "0 150 6; 40 130 5.5; 70 140 5; 90 230 3.8; 99 100 1"),
    "load_test_on": ("2024-03-01", "2026-01-01"), "measured_start_on": ("2024-03-01", "2026-01-01"),
    "motor_installed_on": ("2023-01-01",), "device_installed_on": ("2023-01-01", "2025-01-01"),
    "settings_since_on": ("2023-06-01", "2025-06-01"),
    "duty_code": ("AC-53b: 3.5-15 : 345", "AC-53a 3-10 : 50-8", "?"),
}
# fmt: on

# What may be unknown without the result being so, because another input has decided already.
MAY_BE_BLANK = {
    "code_current_a": {"fla_a", "table_flc_a"},
    "ambient_factor": {"ambient_c", "derate_above_c", "derate_pct_per_c"},
    "altitude_factor": {"altitude_m", "derate_above_m", "derate_pct_per_100m"},
    "overload_set_a": {"device_overload_set_a", "relay_set_a"},
    "overload_trip_class": {"device_trip_class", "relay_trip_class"},
    "overload_range_min_a": {"overload_min_a", "relay_min_a"},
    "overload_range_max_a": {"overload_max_a", "relay_max_a"},
    "overload_current_a": {"device_kind", "relay_leg"},
    "motor_overload_reset": {"overload_reset", "relay_reset"},
    "overload_set_max_a": {"service_factor", "temperature_rise_c", "overload_place", "device_kind"},
    "overload_set_most_a": {"service_factor", "temperature_rise_c"},
    "cold_stall_least_s": {"cold_stall_s", "hot_stall_s"},
    "cold_stall_most_s": {"cold_stall_s", "hot_stall_s"},
    "load_service": {"service_kind", "description", "load_kind"},
    "all_motors_a": {"other_motors_a"},
    "all_code_current_a": {"other_motors_a"},
    "feeder_share_a": {"main_kind", "branch_limit_a", "code_current_a"},
    "fuse_class_fits": {"fuse_class", "fuse_class_required"},
    "rotor_wound": {"motor_type", "design_letter", "code_letter"},
    "branch_protection_pct": {"rotor_wound", "design_letter", "efficiency_pct", "power_hp", "poles"},
    "conductor_needed_a": {"code_current_a", "fla_a", "device_connection", "other_motors_a"},
    "start_torque_pct": {"tap_pct"},
    "locked_rotor_trip_s": {"device_kind", "device_connection"},
    "start_seen": {"load_test_result", "load_test_on", "measured_start_s", "measured_start_on"},
    "unloaded_share_pct": {"load_kind"},
    "load_duty": {"load_curve"},
    "motor_place_factor": {"power_hp", "device_kind"},
    "bypass_set_sure_a": {"service_factor", "temperature_rise_c"},
    "bypass_set_most_a": {"service_factor", "temperature_rise_c"},
    "bypass_branch_limit_a": {"rotor_wound", "design_letter", "efficiency_pct", "power_hp", "poles"},
    "fire_pump_hold_a": {"other_motors_a"},
    "group_limit_a": {"other_motors_a"},
    "input_cable_needed_a": {"ext_bypass", "table_flc_a"},
    "overload_lead_a": {"relay_leg"},
}

# Reading more is what makes it better.
SAYS_HOW_MUCH_IS_KNOWN = {"study_certainty"} | {c.name for c in columns.DERIVED if c.name.startswith("standard_")}

# What is entered takes the place of what was gathered from something else.
ENTERED_COUNTS = {"load_service", "rotor_wound", "cold_stall_least_s", "cold_stall_most_s"}

# What is behind a bus may be known in two ways, of which the better replaces the other: 0013.
SOURCE = {
    "upstream_fault_mva",
    "x_over_r",
    "transformer_kva",
    "transformer_z_pct",
    "transformer_x_over_r",
    "fault_current_ka",
}

# What shapes a motor or a start may be known better than by its plate, and then replaces what was taken.
SHAPES = {"design_letter", "motor_type", "maker_curve", "after_torque_ramp"}

every = pytest.mark.parametrize("function", CALCULATIONS, ids=lambda f: f.__name__)


def asked(function):
    return [p for p in inspect.signature(function).parameters if not p.endswith("_table")]


def tables_of(function):
    names = [p for p in inspect.signature(function).parameters if p.endswith("_table")]
    return {p: TABLES[p.removesuffix("_table").replace("_", "-")] for p in names}


def column_of(name, rng, rows=ROWS):
    column = columns.column(name)
    pool = VALUES.get(name) or column.choices or (0.5, 2.0, 7.0, 40.0, 300.0)
    picked = [pool[i] for i in rng.integers(len(pool), size=rows)]
    return np.array(picked, float if column.is_number else object)


def blanked(values, at):
    return np.where(at, np.nan if values.dtype == float else None, values)


def missing(values):
    values = np.asarray(values)
    if values.dtype == object:
        return np.equal(values, None).astype(bool)
    return np.isnan(values)


def same(one, other):
    one, other = np.asarray(one), np.asarray(other)
    if one.dtype == object:
        return np.equal(one, other).astype(bool)
    return np.isclose(one, other, rtol=1e-12, equal_nan=True)


@every
def test_docstring_signature_and_dictionary_agree(function):
    assert columns.column(function.__name__).origin == "derived"
    documented = dict(re.findall(r"^ {4}(\w+) : (.*)$", function.__doc__, re.M))
    parameters = inspect.signature(function).parameters
    assert list(documented) == [*parameters, function.__name__]
    assert all(p.kind is p.KEYWORD_ONLY for p in parameters.values())
    for name, text in documented.items():
        unit = "" if name.endswith("_table") else columns.column(name).unit
        assert (re.findall(r"\[(.*?)\]", text) or [""])[0] == unit, name
    assert re.match(r"[A-Z][^\n]*\.\n\n {4}Parameters", function.__doc__), "one sentence, one line"
    assert "Examples" in function.__doc__


@every
def test_all_rows_at_once_equal_one_by_one(function):
    rng = np.random.default_rng(1)
    values = {n: column_of(n, rng) for n in asked(function)}
    values = {n: blanked(v, rng.random(ROWS) < 0.1) for n, v in values.items()}
    with np.errstate(all="ignore"):
        together = function(**values, **tables_of(function))
        apart = [function(**{n: v[row] for n, v in values.items()}, **tables_of(function)) for row in range(ROWS)]
    assert together.shape == (ROWS,)
    assert same(np.array(apart, together.dtype), together).all()


@every
def test_what_is_unknown_makes_the_result_unknown(function):
    rng = np.random.default_rng(2)
    values = {n: column_of(n, rng, rows=600) for n in asked(function)}
    if function.__name__ in ENTERED_COUNTS:
        values = {n: blanked(v, rng.random(600) < 0.5) for n, v in values.items()}
    whole = function(**values, **tables_of(function))
    assert not missing(whole).all(), "nothing is tried here"
    for name in asked(function):
        without = values | {name: blanked(values[name], True)}
        result = function(**without, **tables_of(function))
        if name in MAY_BE_BLANK.get(function.__name__, ()):
            assert not same(result, whole).all(), f"{name} never matters"
        else:
            assert missing(result).all(), f"{name} is unknown"


@every
@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 2**31), share=st.floats(0, 1))
def test_filling_a_blank_never_changes_what_was_known(function, seed, share):
    rng = np.random.default_rng(seed)
    values = {n: column_of(n, rng) for n in asked(function)}
    part = {n: blanked(v, rng.random(ROWS) < share) for n, v in values.items()}
    with np.errstate(all="ignore"):
        before = function(**part, **tables_of(function))
        after = function(**values, **tables_of(function))
    known = ~missing(before)
    assert function.__name__ in ENTERED_COUNTS or same(before[known], after[known]).all()


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**31), share=st.floats(0, 1))
def test_filling_a_blank_never_changes_what_was_known_along_the_whole_chain(seed, share):
    rng = np.random.default_rng(seed)
    behind = sorted(frozenset().union(*(entered_behind(c.name) for c in columns.DERIVED)))
    base = {n: column_of(n, rng) for n in behind}
    part = {n: v if n in SOURCE | SHAPES else blanked(v, rng.random(ROWS) < share) for n, v in base.items()}
    before, after = derive(part, TABLES), derive(base, TABLES)
    for name in before:
        if name in SAYS_HOW_MUCH_IS_KNOWN | ENTERED_COUNTS:
            continue
        known = ~missing(before[name])
        assert same(before[name][known], after[name][known]).all(), name


def test_a_register_of_blanks_gives_blanks():
    behind = sorted(frozenset().union(*(entered_behind(c.name) for c in columns.DERIVED)))
    rng = np.random.default_rng(3)
    made = derive({n: blanked(column_of(n, rng), True) for n in behind}, TABLES)
    assert all(missing(values).all() for values in made.values())
