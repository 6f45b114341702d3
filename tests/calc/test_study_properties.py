"""What holds of any study: bands that hold all three shapes, limits that never make worse, certainty that blanks lose."""

from dataclasses import fields

import numpy as np
import pytest
from start_cases import plates

from register.calc import start_parts, study
from register.calc.circuit import Plate
from register.calc.complete_nameplate import TABLES as STANDARDS
from register.calc.complete_nameplate import by_standard
from register.calc.start_shapes import BAND
from register.calc.study import failover_study, limit_study, start_study
from register.facts.standard_tables import load_tables

TABLES = {f"{name.replace('-', '_')}_table": table for name, table in load_tables().items()}
SIZE = 240
# The figures of each study that have a band, and its columns: the centre's, the least, the greatest.
BANDED = {
    "start": ("time", "peak", "dip", "motor_heat", "main_breaker", "terminal", "duty", "torque_margin"),
    "failover": ("time", "peak", "dip", "motor_heat", "main_breaker"),
}
COLUMNS = {
    "time": ("time_s", "time_short_s", "time_long_s"),
    "peak": ("peak_a", "peak_low_a", "peak_high_a"),
    "duty": ("duty_s", "duty_low_s", "duty_high_s"),
} | {
    name: (f"{name}_pct", f"{name}_low_pct", f"{name}_high_pct")
    for name in ("dip", "motor_heat", "main_breaker", "terminal", "torque_margin")
}


def positions(size=SIZE, seed=21):
    """The facts of invented positions, with every kind of device and way of starting."""
    chance = np.random.default_rng(seed)
    u = chance.uniform

    def one_of(*words):
        return np.array(words, object)[chance.integers(len(words), size=size)]

    known = {f.name: getattr(plates(size, seed), f.name) for f in fields(Plate)}
    fla, hertz = known["fla_a"], known["motor_frequency_hz"]
    share = known["power_kw"] * 1000 / (np.sqrt(3) * known["motor_voltage_v"] * fla)
    # Seconds to synchronous speed at the torque of 1 pu, turned into inertia: mechanics.
    speed = 4 * np.pi * hertz / known["poles"]
    inertia = np.exp(u(np.log(0.5), np.log(8), size)) * np.sqrt(3) * known["motor_voltage_v"] * fla / speed**2
    return known | {
        "power_factor": 100 * share / known["efficiency_pct"],
        "design_letter": one_of("B", "C", None),
        "maker_curve": one_of(None),
        "bus_voltage_v": known["motor_voltage_v"] * u(0.98, 1.04, size),
        "upstream_fault_mva": u(100, 500, size),
        "x_over_r": u(5, 15, size),
        "transformer_kva": known["power_kw"] * u(3, 20, size),
        "transformer_z_pct": u(4, 7, size),
        "transformer_x_over_r": u(3, 9, size),
        "fault_current_ka": np.full(size, np.nan),
        "cable_length_m": u(5, 60, size),
        "cable_r_ohm_per_km": 20 / fla,
        "cable_x_ohm_per_km": np.full(size, 0.1),
        "load_curve": one_of("constant", "linear", "square"),
        "load_torque_pct": u(30, 95, size),
        "load_breakaway_pct": u(10, 60, size),
        "unloaded_share_pct": np.full(size, 100.0),
        "rotor_inertia_kgm2": 0.2 * inertia,
        "load_inertia_kgm2": 0.8 * inertia,
        "device_kind": one_of("across-the-line", "star-delta", "autotransformer", *["soft starter"] * 4, "drive"),
        "start_mode": one_of("voltage ramp", "current limit", "limited ramp", "torque ramp", "direct"),
        "tap_pct": chance.choice([50.0, 65.0, 80.0], size),
        "initial_voltage_pct": u(20, 50, size),
        "ramp_s": u(2, 30, size),
        "current_limit_xfla": u(2, 5, size),
        "initial_torque_pct": u(0, 40, size),
        "final_torque_pct": u(90, 160, size),
        "after_torque_ramp": one_of("held torque", "full voltage"),
        "transition_s": u(2, 20, size),
        "main_breaker_pickup_a": 3 * fla,
        "main_breaker_delay_s": np.full(size, 10.0),
        "bus_load_a": fla,
        "hot_stall_s": u(10, 25, size),
        "practice": one_of("us", "iec"),
        "overload_trip_class": one_of("10", "20", "30"),
        "overload_set_a": fla,
        "overload_current_a": fla,
        "overload_place": one_of("device", "relay"),
        "relay_leg": one_of("phase", "line"),
        "relay_side": one_of("motor", "line"),
        "device_connection": one_of("in line", "inside delta"),
        "rated_current_a": 1.2 * fla,
        "duty_code_multiple": np.full(size, 4.0),
        "bypass_arrangement": one_of("two-contactor"),
        "bypass_starts_by": one_of("across-the-line", "star-delta", "soft starter", "drive"),
        "bypass_start_mode": one_of("voltage ramp", "current limit", "limited ramp", "torque ramp", "direct"),
        "bypass_initial_voltage_pct": u(20, 50, size),
        "bypass_ramp_s": u(2, 30, size),
        "bypass_current_limit_xfla": u(2, 5, size),
        "bypass_initial_torque_pct": u(0, 40, size),
        "bypass_final_torque_pct": u(90, 160, size),
        "bypass_after_torque_ramp": one_of("held torque", "full voltage"),
        "bypass_trip_class": one_of("10", "20"),
        "bypass_overload_set_a": fla,
    }


def worked(calculation, facts):
    return calculation(**{name: facts[name] if name in facts else TABLES[name] for name in calculation.asks})


def by_shape(calculation, facts, monkeypatch):
    """What the calculation gives, and what it gives with one shape at a time."""
    whole, alone = worked(calculation, facts), []
    for shape in BAND:
        with monkeypatch.context() as patch:
            patch.setattr(study, "BAND", (shape,))
            alone.append(worked(calculation, facts))
    return whole, alone


def within(low, values, high):
    there = np.isfinite(low + values + high)
    assert there.any()
    slack = 1e-9 * (1 + abs(values[there]))
    return (low[there] <= values[there] + slack).all() and (values[there] <= high[there] + slack).all()


@pytest.mark.parametrize("calculation", [start_study, failover_study], ids=["start", "failover"])
def test_each_printed_band_holds_all_three_shapes(calculation, monkeypatch):
    prefix = "start" if calculation is start_study else "failover"
    whole, alone = by_shape(calculation, positions(), monkeypatch)
    for figure in BANDED[prefix]:
        value, low, high = (f"{prefix}_{name}" for name in COLUMNS[figure])
        for one in alone:
            assert within(whole[low], one[value], whole[high]), figure
        assert np.nanmax(whole[high] - whole[low]) > 0.0, f"{figure} has a band"
    # A start needs all three, and what starts in some of them only may stall.
    outcomes = np.array([one[f"{prefix}_outcome"] for one in alone])
    up = outcomes == "starts"
    said = whole[f"{prefix}_outcome"]
    assert ((said == "starts") == up.all(axis=0)).all()
    assert ((said == "may stall") == (up.any(axis=0) & ~up.all(axis=0))).all()
    assert (said == "starts").sum() > SIZE / 3 and (said == "may stall").sum() > 3


def test_an_overloads_word_and_heat_hold_all_three_shapes(monkeypatch):
    whole, alone = by_shape(start_study, positions(), monkeypatch)
    for one in alone:
        assert within(whole["start_overload_low_pct"], one["start_overload_pct"], whole["start_overload_pct"])
    states = np.array([one["start_overload_state"] for one in alone])
    agreed = (states == states[0]).all(axis=0)
    assert (whole["start_overload_state"][agreed] == states[0][agreed]).all()
    assert set(whole["start_overload_state"][~agreed]) == {"may trip"}


def test_the_lowest_limits_band_holds_all_three_shapes(monkeypatch):
    whole, alone = by_shape(limit_study, positions(), monkeypatch)
    for one in alone:
        limit = one["lowest_limit_xfla"]
        assert within(whole["lowest_limit_low_xfla"], limit, whole["lowest_limit_high_xfla"])


def test_a_higher_limit_never_starts_worse():
    facts, steps = positions(60, 22), np.linspace(1.5, 7.0, 23)
    many = {name: np.repeat(values, len(steps)) for name, values in facts.items()}
    many |= {
        "device_kind": np.full(60 * len(steps), "soft starter", object),
        "start_mode": np.tile(np.repeat(np.array(["current limit", "limited ramp"], object), len(steps)), 30),
        "current_limit_xfla": np.tile(steps, 60),
    }
    made = worked(start_study, many)
    rank = {"does not turn": 0, "stalls": 0, "may stall": 1, "starts": 2}
    ranks = np.array([rank.get(word, np.nan) for word in made["start_outcome"]]).reshape(60, -1)
    ranks = ranks[np.isfinite(ranks).all(axis=1)]
    assert len(ranks) > 50
    assert (np.diff(ranks, axis=1) >= 0).all()
    assert (ranks[:, 0] == 0).any() and (ranks[:, -1] == 2).any()
    for name in ("start_time_s", "start_time_short_s", "start_time_long_s"):
        slower = np.diff(made[name].reshape(60, -1), axis=1)
        # Two grids of speeds for neighbouring limits: their times are equal to two parts in a thousand.
        assert (slower[np.isfinite(slower)] <= 2e-3 * np.nanmax(made[name])).all(), name


def entered(size=6000, seed=5):
    """Nameplates of which part is blank, and words that shape them."""
    chance = np.random.default_rng(seed)
    columns = {f.name: getattr(plates(size, seed), f.name) for f in fields(Plate)}
    columns |= {"power_factor": chance.uniform(0.75, 0.9, size), "phases": chance.choice([3.0, 3.0, 3.0, 1.0], size)}
    curve = "0 150 6; 40 130 5.5; 70 140 5; 90 230 3.8; 99 100 1"
    words = {
        "practice": ("us", "iec"),
        "design_letter": ("B", "C", "D", "N", "H"),
        "code_letter": ("F", "G", "K"),
        "maker_curve": (None, None, None, curve),
    }
    columns |= {name: np.array(of, object)[chance.integers(len(of), size=size)] for name, of in words.items()}
    share = chance.uniform(0, 0.5, size)
    return {name: blanked(values, chance.random(size) < share) for name, values in columns.items()}


def blanked(values, at):
    return np.where(at, np.nan if values.dtype == float else None, values)


def test_certainty_never_improves_by_blanking_a_field():
    # A letter that promises nothing (design A has no largest current) leaves more unknown than no letter, which is
    # taken for the practice's usual design: such letters are not among these.
    rank = {None: 0, "X": 0, "D": 1, "C": 2, "B": 3, "A": 4}
    facts = entered()

    def certainty(columns):
        tables = {name: TABLES[name] for name in (f"{n.replace('-', '_')}_table" for n in STANDARDS)}
        return np.array([rank[word] for word in by_standard(**columns, **tables)["study_certainty"]])

    before = certainty(facts)
    assert (np.bincount(before) > 30).all(), "each class"
    lost = np.zeros(len(before), bool)
    for name, values in facts.items():
        after = certainty(facts | {name: blanked(values, True)})
        assert (after <= before).all(), name
        lost |= after < before
    assert lost.mean() > 0.2


def test_a_bypass_starts_a_motor_as_a_device_of_the_same_kind_and_settings_does():
    # By definition: what starts it stands elsewhere, and motor, load and supply are the same.
    facts = positions()
    same = {n.removeprefix("bypass_"): facts[n] for n in start_parts.FAILOVER if n.startswith("bypass_")}
    own = worked(start_study, facts | same | {"device_kind": facts["bypass_starts_by"]})
    by_it = worked(failover_study, facts)
    assert set(by_it["failover_outcome"]) >= {"starts", "stalls"}
    assert (by_it["failover_outcome"] == own["start_outcome"]).all()
    for figure in ("time_s", "time_long_s", "peak_high_a", "dip_high_pct", "motor_heat_high_pct"):
        np.testing.assert_array_equal(by_it[f"failover_{figure}"], own[f"start_{figure}"])


def test_each_setting_of_a_bypass_that_counts_is_asked_and_no_other():
    # As a device's own: what each way of starting is set to (docs/columns.md).
    asked = {"voltage ramp": {"initial_voltage_pct", "ramp_s"}, "current limit": {"current_limit_xfla"}}
    facts = {n: v[:1] for n, v in positions(4).items()} | {"bypass_starts_by": np.array(["soft starter"], object)}
    for mode, names in asked.items():
        facts["bypass_start_mode"] = np.array([mode], object)
        for name in start_parts.ELECTRONIC[1:]:
            blank = np.array([None], object) if name == "after_torque_ramp" else np.array([np.nan])
            outcome = worked(failover_study, facts | {f"bypass_{name}": blank})["failover_outcome"][0]
            assert (outcome is None) == (name in names), (mode, name, outcome)


def test_starts_simulated_once_for_many_devices_are_those_simulated_one_by_one(monkeypatch):
    facts, chance = positions(40, 23), np.random.default_rng(24)
    many = {name: np.tile(values, 5) for name, values in facts.items()}
    # What stands beside the course differs: the device's rating, its connection, its overload, the breaker, the heat.
    beside = ("rated_current_a", "overload_set_a", "main_breaker_pickup_a", "bus_load_a", "hot_stall_s")
    many |= {name: many[name] * chance.uniform(0.5, 2.0, 200) for name in beside}
    many |= {name: chance.permutation(many[name]) for name in ("overload_place", "device_connection", "practice")}
    other = np.arange(200) >= 160
    for name in ("current_limit_xfla", "ramp_s", "tap_pct", "transition_s", "load_inertia_kgm2"):
        many[name] = np.where(other, 1.1 * many[name], many[name])
    real, sizes = study.Start.march, []

    def counted(start, machine):
        sizes.append(len(machine.ok))
        return real(start, machine)

    monkeypatch.setattr(study.Start, "march", counted)
    whole = worked(start_study, many)
    assert max(sizes) <= 80 * len(BAND)
    alone = [worked(start_study, {name: v[at : at + 40] for name, v in many.items()}) for at in range(0, 200, 40)]
    for name, values in whole.items():
        np.testing.assert_array_equal(values, np.concatenate([one[name] for one in alone]), err_msg=name)
