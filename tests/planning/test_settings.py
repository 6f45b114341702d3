"""Chosen settings are what standards and arithmetic ask, and what the rules accept."""

import shutil
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from by_path import sheet, study, window
from fan import TAG

from register.audit.judge import run
from register.facts.assumptions import load_assumptions
from register.facts.standard_tables import load_tables
from register.facts.whatif import Variant, WhatIf
from register.intake.correct import set_value
from register.planning.settings.adjustable import changes
from register.planning.settings.least_change import least_change
from register.planning.settings.settings import NEEDS, chosen
from register.planning.settings.tried_starts import EXCEEDED, WEIGHTS
from register.planning.trials import Trials
from register.resources import rules_folder
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Override
from register.starts import load_case
from register.store.database import opened, writing

TODAY = date(2026, 11, 25)
METHOD = {"tables": load_tables(), "assumptions": load_assumptions(rules_folder() / "assumptions.yml")}
# The fan, its damper shut, with a motor, a device and a main breaker that withstand its start.
ABLE = {
    "load_torque_pct": 45.0,
    "hot_stall_s": 60.0,
    "trip_classes": "10, 20, 30, 40",
    "device_overload": "built in",
    "duty_code": "AC-53b: 6-60 : 700",
    "main_breaker_pickup_a": 2000.0,
    "start_modes": "voltage ramp, current limit",
}
# Source: test_starting; by the circuit's torque, written out separately: the lowest limit, and its band.
LOWEST, LOWEST_HIGH = 3.00, 3.42


def facts_of(*trials):
    return {name: [t.values[name] for t in trials] for name in NEEDS}


def of_fan(fan, **more):
    return chosen(facts_of(of(fan, **more)))


def tried(db, tags):
    return WhatIf(db, tags, **METHOD).trials([Variant(tag) for tag in tags])


def of(fan, **more):
    with opened(fan) as db:
        return load_case.at(db, TAG, ABLE | more).trial


@pytest.fixture(scope="module")
def trials(sample):
    with opened(sample.path) as db:
        tags = [row[0] for row in db.conn.execute("SELECT tag FROM position ORDER BY tag")]
        return tried(db, tags)


@pytest.fixture(scope="module")
def settings(trials):
    return chosen(facts_of(*trials))


def test_overloads_are_set_within_what_the_code_permits(trials, settings):
    # Source: NFPA 70, 430.32(A)(1): 125 % with SF 1.15 or a rise of 40 K, else 115 %, of the
    # nameplate current; IEC 60947-4-1: an overload relay is set to the rated current (from memory).
    checked = 0
    for row, t in enumerate(trials):
        v, set_a = t.values, settings.at(row).get("device_overload_set_a")
        if set_a is None or v["overload_place"] != "device" or set_a == v["overload_min_a"]:
            continue
        cool = (v["service_factor"] or 1.0) >= 1.15 or (v["temperature_rise_c"] or 80) <= 40
        most = {"us": 1.25 if cool else 1.15, "iec": 1.0}[v["practice"]]
        assert set_a <= most * v["fla_a"] * (1 + 1e-9), t.tag
        inside = v["device_kind"] == "soft starter" and v["device_connection"] == "inside delta"
        # Source: arithmetic, 1/√3 of the line's current flows inside the delta.
        carried = _through_the_sensor(v) / (3**0.5 if inside else 1.0)
        assert set_a >= min(0.99 * carried, v["overload_max_a"] or np.inf), t.tag
        checked += 1
    assert checked > 10


def _through_the_sensor(v):
    """Full-load current, less what capacitors behind the sensor supply (arithmetic: the wattless parts subtract)."""
    if v["capacitor_side"] != "load side" or not v["capacitor_kvar"]:
        return v["fla_a"]
    active_a = v["fla_a"] * v["power_factor"]
    wattless_a = (v["fla_a"] ** 2 - active_a**2) ** 0.5
    return np.hypot(active_a, wattless_a - v["capacitor_kvar"] * 1000 / 3**0.5 / v["motor_voltage_v"])


def test_the_limit_is_above_the_band_and_inside_the_window(fan):
    made = of_fan(fan, dip_limit_pct=8.0)
    assert made.exceeds(0) == ()
    assert made.at(0)["current_limit_xfla"] > max(1.1 * LOWEST, LOWEST_HIGH)
    changes = {n: str(v) for n, v in ABLE.items() if n not in ("trip_classes", "device_overload", "start_modes")}
    low, high = window(fan, TAG, changes=changes | {"dip_limit_pct": "8", "device_trip_class": "40"}).workable
    assert low <= made.at(0)["current_limit_xfla"] <= high
    assert made.at(0)["device_trip_class"] == "40"


def test_the_device_and_the_dip_bound_the_limit_or_it_is_said(fan):
    free = of_fan(fan)
    small = of_fan(fan, current_limit_max_xfla=3.8)
    assert LOWEST_HIGH < small.at(0)["current_limit_xfla"] <= 3.8 < free.at(0)["current_limit_xfla"]
    assert "range" not in small.exceeds(0)
    # Source: arithmetic, a dip of a strong bus is nearly as the current: 6.09 % at 4.1 × FLA.
    bound = 0.9 * free.figures["dip_pct"][0]
    dips = of_fan(fan, dip_limit_pct=bound)
    assert LOWEST_HIGH < dips.at(0)["current_limit_xfla"] < free.at(0)["current_limit_xfla"]
    assert dips.figures["dip_pct"][0] <= bound and "dip" not in dips.exceeds(0)
    assert "dip" in of_fan(fan, dip_limit_pct=2.0).exceeds(0)
    assert set(EXCEEDED) == set(WEIGHTS)


@pytest.mark.parametrize("most", [2.5, 3.05, 3.3])
def test_a_device_is_set_as_high_as_it_goes_where_that_may_start_the_load(fan, most):
    made = of_fan(fan, current_limit_max_xfla=most)
    assert "range" in made.exceeds(0)
    # A limit at which the likely motor hangs is none, so what it would take is told instead.
    assert (made.at(0)["current_limit_xfla"] == most) == (most > LOWEST + 0.1)
    assert ("band" in made.exceeds(0)) == (most > LOWEST + 0.1)


def test_a_start_too_long_for_the_motor_is_said(fan):
    # 12 s of locked rotor at 6.2: 461 s·FLA²; the fan takes over 500 at every limit (test_window).
    assert "heat" in of_fan(fan, hot_stall_s=12, load_torque_pct=90.0).exceeds(0)


def test_a_start_is_given_up_after_it_is_over_and_before_the_motor_is_hurt(fan):
    made = of_fan(fan)
    limit, given_up = (made.at(0)[n] for n in ("current_limit_xfla", "start_time_limit_s"))
    longest = made.figures["time_long_s"][0]
    # Source: arithmetic, heat as I²t: 60 s at 6.2 × FLA is as much as 60·(6.2/limit)² s at the limit.
    assert longest < given_up <= 60 * (6.2 / limit) ** 2
    assert given_up == pytest.approx(1.25 * longest, abs=1.0)


def test_a_start_that_may_take_longer_than_the_motor_withstands_is_given_up_in_time(fan):
    made = of_fan(fan, load_torque_pct=90.0)
    limit, given_up = (made.at(0)[n] for n in ("current_limit_xfla", "start_time_limit_s"))
    withstood_s = 60 * (6.2 / limit) ** 2
    assert made.figures["time_s"][0] < given_up <= withstood_s < made.figures["time_long_s"][0]


def test_the_class_guards_a_motor_that_bears_little(fan):
    # Source: IEC 60947-4-1, table 2: class 10 trips within 10 s at 7.2 times the setting, class 5
    # within 5 s. A cold motor withstands twice its hot stall time (rules/limits.yml).
    easy = {
        "locked_rotor_ratio": 7.2,
        "trip_classes": "5, 10",
        "load_torque_pct": 20,
        "load_inertia_kgm2": 1,
        "load_breakaway_pct": 2,
        "hot_stall_s": 4.5,
    }
    assert of_fan(fan, **easy).at(0)["device_trip_class"] == "5"
    only_ten = of_fan(fan, **easy | {"trip_classes": "10"})
    assert "stall" in only_ten.exceeds(0)


def test_a_ramp_begins_where_the_load_breaks_away(fan):
    made = of_fan(fan, start_modes="limited ramp", load_breakaway_pct=30, surge_risk="yes", locked_rotor_torque_pct=150)
    # Source: arithmetic, torque by the square of voltage: √(1.1·30/150) = 46.9 %, in steps of 5.
    assert made.at(0)["initial_voltage_pct"] == 50.0
    assert made.at(0)["ramp_s"] == 10.0


@pytest.mark.parametrize(
    ("surge", "load", "kind", "stop"),
    [
        ("yes", "centrifugal pump", "soft starter", "ramp for pumps"),
        ("yes", "positive-displacement pump", "soft starter", "ramp"),
        ("yes", "centrifugal pump", "drive", "ramp"),
        ("no", "centrifugal pump", "soft starter", "coast"),
        ("", "centrifugal pump", "soft starter", None),
        ("", "centrifugal fan", "soft starter", "coast"),
    ],
)
def test_a_load_is_stopped_as_it_asks(fan, surge, load, kind, stop):
    # Source: common practice.
    made = of_fan(fan, surge_risk=surge or None, load_kind=load, device_kind=kind)
    assert made.at(0).get("stop_mode") == stop
    assert ("stop_mode" in made.unknown(0)) == (stop is None)


def test_nothing_brakes_and_every_overload_is_reset_by_hand(settings):
    assert not (settings.values["stop_mode"] == "brake").any()
    resets = settings.values["overload_reset"]
    assert set(resets[resets != None]) == {"manual"}  # noqa: E711


def test_what_is_unknown_is_left_unknown(fan):
    unread = of_fan(fan, load_curve=None, load_breakaway_pct=None, load_kind=None)
    assert {"current_limit_xfla", "start_time_limit_s"} <= set(unread.unknown(0))
    assert "current_limit_xfla" not in unread.at(0)
    bare = chosen({name: [None] for name in NEEDS})
    assert bare.at(0) == {}


def test_a_row_by_itself_is_what_it_is_among_others(trials, settings):
    for row in range(0, len(trials), 7):
        alone = chosen(facts_of(trials[row]))
        assert alone.at(0) == settings.at(row), trials[row].tag
        assert alone.exceeds(0) == settings.exceeds(row)


def test_a_site_s_own_limit_holds(fan):
    pack = load_pack()
    wide = Override("limit_margin", "position", TAG, 1.4, "cold grease", "mh", "2026-01-01")
    facts = facts_of(of(fan))
    as_it_is = chosen(facts, pack=pack).at(0)["current_limit_xfla"]
    laid = chosen(facts, pack=replace(pack, overrides=(wide,))).at(0)["current_limit_xfla"]
    assert as_it_is < 1.4 * LOWEST <= laid


# What no setting of the device that is installed can correct, and why.
BEYOND = {
    ("F-2135", "duty/duty-code-covers-start"): "the fan takes longer than the code at any limit",
    ("M-4135", "overload/set-within-nameplate"): "its range begins above the motor",
    ("P-110", "overload/set-within-nameplate"): "its range begins above the motor",
    ("F-2132", "overload/trip-class-lets-it-start"): "across the line there is nothing to set",
    ("F-2132", "start-study/motor-heat-within"): "across the line there is nothing to set",
    ("F-2132", "start-study/start-time-within-stall"): "across the line there is nothing to set",
    ("P-4112", "start-study/terminal-voltage-least"): "across the line there is nothing to set",
    ("M-1117", "overload/trip-class-guards-stall"): "the relay has one class, and it is too slow",
    ("A-1142", "overload/each-winding-of-two"): "the low speed's relay is not among what is chosen",
    ("A-3105", "overload/trips-within-te"): "the relay has one class, and it is too slow",
    ("P-2143", "overload/fire-pump-not-stopped"): "no setting takes an overload out",
    ("P-3134", "settings/speed-within-own-fan"): "the speed at which it runs is the process's",
    ("P-3140", "overload/present"): "there is no overload to set",
}
BY_SETTING = ("settings/", "overload/", "duty/duty-code-covers", "start-study/", "line-protection/instantaneous-lets")
# Of the day on which they were read, and of what was done beside them.
BY_DAY = ("settings/recorded-since-device-change", "overload/set-after-motor-change")


def test_with_the_settings_chosen_the_rules_about_settings_pass(sample, trials, settings):
    with sample.copy() as db:
        for row, t in enumerate(trials):
            _enter(db, t, settings.at(row))
        db.conn.commit()
        audit = run(db, load_pack(), today=TODAY)
    failed = {
        (tag, rule)
        for tag, rule in audit.failed()
        if rule.startswith(BY_SETTING) and rule not in BY_DAY and audit.pack.rule(rule).grade == "major"
    }
    assert failed <= set(BEYOND)
    tags = {t.tag for t in trials}
    assert {pair for pair in BEYOND if pair[0] in tags} <= failed, "an exception that is none"


def _enter(db, t, values):
    device, day = t.values["device"], t.values["setting_recorded_on"] or TODAY.isoformat()
    own = {n: v for n, v in values.items() if not n.startswith("relay_")}
    if device and own:
        db.conn.execute("INSERT OR IGNORE INTO setting (device, setting_recorded_on) VALUES (?, ?)", (device, day))
        sets = ", ".join(f"{name} = ?" for name in own)
        db.conn.execute(
            f"UPDATE setting SET {sets} WHERE device = ? AND setting_recorded_on = ?", (*own.values(), device, day)
        )
    for name in ("relay_set_a", "relay_reset"):
        if name in values:
            db.conn.execute(f"UPDATE protection SET {name} = ? WHERE tag = ?", (values[name], t.tag))


@pytest.mark.parametrize("tag", ["A-4140", "F-2135", "M-4135", "P-2109"])
def test_what_the_sheet_says_fails_is_what_the_audit_says_once_it_is_set_so(demo, tag):
    made = sheet(demo.path, tag, today=TODAY)
    values = {line.column: line.value for line in made.lines if line.value is not None}
    with demo.copy() as db:
        _enter(db, tried(db, [tag])[0], values)
        db.conn.commit()
        audit = run(db, load_pack(), today=TODAY, tags=[tag])
    majors = {rule for _, rule in audit.failed() if audit.pack.rule(rule).grade == "major"}
    told = {t.rule for t in made.rules if t.outcome == "failed"}
    assert told == {rule for rule in majors if not rule.startswith("commissioning/")}


def test_every_outcome_that_was_worked_out_is_that_of_the_facts(sample, trials, settings):
    """The search and the facts agree on the start that was chosen."""
    with sample.copy() as db:
        for row, t in enumerate(trials):
            _enter(db, t, settings.at(row))
        db.conn.commit()
        tags = [t.tag for t in trials]
        after = tried(db, tags)
    for row, t in enumerate(after):
        if t.values["device_kind"] not in ("soft starter", "drive"):
            continue
        # The search goes by the end of each band that strains most.
        said_of = t.values | {"peak_xfla": (t.values["start_peak_high_a"] or np.nan) / t.values["fla_a"]}
        for name, fact in (
            ("time_s", "start_time_s"),
            ("time_long_s", "start_time_long_s"),
            ("peak_xfla", "peak_xfla"),
            ("dip_pct", "start_dip_high_pct"),
            ("heat_pct", "start_motor_heat_high_pct"),
        ):
            found, said = settings.figures[name][row], said_of[fact]
            if np.isfinite(found):
                assert said == pytest.approx(found, rel=1e-3, abs=1e-6), (t.tag, name)


@pytest.mark.parametrize("kind", ["wound rotor", "synchronous"])
def test_no_setting_is_sought_by_the_study_for_a_motor_without_a_cage(fan, kind):
    whole, other = of_fan(fan), of_fan(fan, motor_type=kind)
    assert whole.at(0)["current_limit_xfla"] > LOWEST
    assert "current_limit_xfla" not in other.at(0) and "device_trip_class" not in other.at(0)
    assert np.isnan(other.figures["time_s"][0]) and not other.exceeds(0)
    # What needs no study is told all the same.
    assert other.at(0)["device_overload_set_a"] == whole.at(0)["device_overload_set_a"]


def test_the_sheet_declines_in_the_words_of_the_study(fan):
    register = fan.parent / "wound.db"
    shutil.copy(fan, register)
    with opened(register, write=True) as db, writing(db, reason="plate", author="mh"):
        set_value(db, TAG, "motor_type", "wound rotor")
    made = sheet(register, TAG, today=TODAY)
    assert made.why_no_start == "wound rotor, and the study knows cage motors only: judge by hand"
    assert made.why_no_start == study(register, TAG).why_not
    assert made.figures == ()
    lines = {line.column: line for line in made.lines}
    assert (lines["current_limit_xfla"].value, lines["current_limit_xfla"].to_read) == (None, ("motor_type",))
    assert lines["fla_set_a"].value == 715
    with opened(register) as db:
        trials = Trials(db, [TAG], pack=load_pack(), today=TODAY)
        facts = {name: None if v[0] != v[0] else v[0] for name, v in trials.facts([Variant(TAG)])[0].items()}
        assert least_change(trials, TAG).by_hand == made.why_no_start
        cage = {c.value for c in changes(facts | {"motor_type": "cage"}, trials.pack)}
        wound = {c.value for c in changes(facts, trials.pack)}
        # The steps between the grid's are those that the lowest limit asks for.
        assert facts["lowest_limit_xfla"] and len(cage - wound) in (1, 2) and wound < cage
