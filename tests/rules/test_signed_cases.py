"""One good position with one thing changed, and the verdict that a protection engineer would sign.

Each case has its source, or is common practice. NEC is NFPA 70; the text of 2008 was read in a public
copy where a clause is cited without edition. "fail" of a lesser rule is a minor finding.
"""

from __future__ import annotations

import pytest
from good_position import SITES, TODAY, judged

from register.audit.judge import run
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Grade, Outcome
from register.store.database import opened

PACK = load_pack()
PASS, FAIL, OPEN, NOT = Outcome.PASSED, Outcome.FAILED, Outcome.CANT_TELL, Outcome.INAPPLICABLE
LP = "line-protection"
SOFT = {"device_kind": "soft starter", "power_path": "solid state", "device_overload": "built in"}
DRIVE = {"device_kind": "drive", "power_path": "solid state", "device_overload": "built in", "overload_place": "device"}
DRIVE |= {"device_overload_set_a": 12.4, "device_trip_class": "10", "running_current_at": "motor"}
STAR = {"device_kind": "star-delta", "relay_leg": "line"}
FIRE = {"service_kind": "fire pump"}
FOUR = {"power_kw": 1.4914, "fla_a": 3.0, "motors_on_device": 4, "other_motors_a": 9.0, "running_current_a": 11.5}
BREAKER = {"protection_kind": "inverse-time breaker", "fuse_class": None}
WOUND = {"motor_type": "wound rotor", "design_letter": None, "code_letter": None, "protection_kind": "fuse"}
MCP = {"protection_kind": "instantaneous breaker", "protection_rating_a": None, "fuse_class": None}

# name, practice, what is changed, rule, outcome, source
# fmt: off
NO_UNSAFE_PASS = [
    # E1: a plate without service factor
    ("iec at 201 %", "iec", {"running_current_a": 29}, "sizing/load-within-motor", FAIL, "IEC 60034-1: no service factor"),
    ("iec at 104 %", "iec", {"running_current_a": 15}, "sizing/load-within-motor", FAIL, "common practice"),
    ("iec, read to 3 %", "iec", {"running_current_a": 14.8}, "sizing/load-within-motor", PASS, "common practice: a clamp's error"),
    ("us at 110 %, no factor read", "us", {"running_current_a": 13.6, "service_factor": None}, "sizing/load-within-motor", OPEN, "MG 1 14.37"),
    ("measured before a drive", "us", DRIVE | {"running_current_at": "device input"}, "sizing/load-within-motor", NOT, "common practice: input current is not the motor's"),
    # E2: what the scale means
    ("125 %, scale unread", "us", {"relay_set_a": 15.5}, "overload/set-within-nameplate", OPEN, "NEC 430.32(A)(1) limits the trip"),
    ("125 % in motor amperes", "us", {"relay_set_a": 15.5, "overload_marked_in": "motor amperes"}, "overload/set-within-nameplate", FAIL, "a maker's manual: trips at 125 % of the dial"),
    ("125 % in trip amperes", "us", {"relay_set_a": 15.5, "overload_marked_in": "trip amperes"}, "overload/set-within-nameplate", PASS, "NEC 430.32(A)(1)"),
    ("126 % in trip amperes", "us", {"relay_set_a": 15.7, "overload_marked_in": "trip amperes"}, "overload/set-within-nameplate", FAIL, "NEC 430.32(A)(1)"),
    ("factor 1.0, dial at the plate", "us", {"service_factor": 1.0, "overload_marked_in": "motor amperes"}, "overload/set-within-nameplate", FAIL, "115/125; a maker's manual sets 92 %"),
    ("factor 1.0, dial at 92 %", "us", {"service_factor": 1.0, "relay_set_a": 11.4, "overload_marked_in": "motor amperes"}, "overload/set-within-nameplate", PASS, "115/125; a maker's manual sets 92 %"),
    ("dial at the plate", "us", {"overload_marked_in": "motor amperes"}, "overload/set-within-nameplate", PASS, "common practice"),
    # E3: the stall time from cold
    ("class 20, cold 13 s", "us", {"relay_trip_class": "20", "cold_stall_s": 13}, "overload/trip-class-guards-stall", FAIL, "IEC 60947-4-1, classes"),
    ("class 20, hot 12 s only", "us", {"relay_trip_class": "20"}, "overload/trip-class-guards-stall", OPEN, "makers' data: cold 1.3 to 2 times hot"),
    ("class 10, hot 12 s only", "us", {}, "overload/trip-class-guards-stall", PASS, "makers' data: cold 1.3 times hot at least"),
    # E4: a fire pump
    ("no overload before a fire pump", "us", FIRE | {"overload_place": "none"}, "overload/present", NOT, "NEC 430.31, 695.6"),
    ("fuse that carries locked rotor", "us", FIRE | {"protection_rating_a": 100}, f"{LP}/within-branch-limit", NOT, "NEC 695.4(B)"),
    ("a fire pump's overload", "us", FIRE | {"relay_set_a": 20}, "overload/set-within-nameplate", NOT, "NEC 695.6: none is wanted"),
    ("named like a fire pump", "us", {"description": "Fire pump 1", "overload_place": "none"}, "overload/present", OPEN, "common practice: ask first"),
    ("no overload before a stock pump", "us", {"overload_place": "none"}, "overload/present", FAIL, "NEC 430.31"),
    # E5: four motors of 2 hp, 3.4 A each by Table 430.250
    ("four motors, cable for one", "us", FOUR | {"cable_ampacity_a": 6}, f"{LP}/conductor-covers-motor", FAIL, "NEC 430.24: 125 % of 3.4 and 9 A"),
    ("four motors, cable for all", "us", FOUR | {"cable_ampacity_a": 15}, f"{LP}/conductor-covers-motor", PASS, "NEC 430.24"),
    ("four motors, disconnect for one", "us", FOUR | {"disconnect_rating_a": 10}, f"{LP}/disconnect-covers-motor", FAIL, "NEC 430.110(C)"),
    ("four motors, contactor for one", "us", FOUR, "sizing/power-covers-motor", NOT, "common practice: current decides for several"),
    ("four motors on 12 A of device", "us", FOUR | {"rated_current_a": 11, "own_overloads": "yes"}, "application/parallel-motors-own-overloads", FAIL, "common practice: the sum"),
    # E6: a packaged star-delta starter
    ("own overload, leg unread", "us", STAR | {"overload_place": "device", "device_overload": "built in", "device_overload_set_a": 12.4, "relay_leg": None}, "overload/set-within-nameplate", OPEN, "NEC 430.32(A)(1), last paragraph"),
    ("own overload in the delta", "us", STAR | {"overload_place": "device", "device_overload": "built in", "device_overload_set_a": 12.4, "relay_leg": "phase"}, "overload/set-within-nameplate", FAIL, "arithmetic, 1/√3"),
    # a wound rotor, 10 hp, 14 A: 150 % is 21 A, the next rating 25 A
    ("wound rotor behind 25 A", "us", WOUND | {"protection_rating_a": 25}, f"{LP}/within-branch-limit", PASS, "NEC Table 430.52(C)(1), 240.6(A)"),
    ("wound rotor behind 30 A", "us", WOUND | {"protection_rating_a": 30}, f"{LP}/within-branch-limit", FAIL, "NEC Table 430.52(C)(1), 240.6(A)"),
    ("kind unread, no letter", "us", WOUND | {"motor_type": None}, f"{LP}/within-branch-limit", OPEN, "NEC 430.7(A)(8), from memory: a letter is a cage motor's"),
    ("wound rotor with a letter", "us", WOUND | {"code_letter": "G"}, f"{LP}/within-branch-limit", NOT, "NEC 430.7(A)(8), from memory"),
    # E8: classified area
    ("classified, inspected in 2019", "us", {"hazardous_area": "yes", "hazardous_area_inspection_on": "2019-10-04"}, "sizing/hazardous-area-judged-elsewhere", FAIL, "IEC 60079-17: three years"),
    # E10: power at the voltage it is used at
    ("10 hp of 460 V on 230 V", "us", {"motor_voltage_v": 230, "bus_voltage_v": 240, "fla_a": 25}, "sizing/power-covers-motor", FAIL, "NEMA size 1: 7.5 hp at 230 V; NEC 430.83(A)(1)"),
    ("the same, size unread", "us", {"motor_voltage_v": 230, "bus_voltage_v": 240, "fla_a": 25, "nema_size": None}, "sizing/power-covers-motor", OPEN, "NEC 430.83(A)(1)"),
    ("iec contactor by its current", "iec", {"motor_voltage_v": 230, "bus_voltage_v": 230, "fla_a": 25}, "sizing/power-covers-motor", PASS, "IEC 60947-4-1: Ie in AC-3"),
    # E11: the contactor of every bypass
    ("AC-1, 5 A, star-delta bypass", "us", {"bypass_arrangement": "two-contactor", "bypass_starts_by": "star-delta", "bypass_contactor_category": "AC-1", "bypass_contactor_a": 5}, "bypass/contactor-rated-to-start", FAIL, "IEC 60947-4-1; 0.58 × 12.4 = 7.2 A"),
    ("AC-3e starts as AC-3", "us", {"bypass_arrangement": "two-contactor", "bypass_starts_by": "across-the-line", "bypass_contactor_category": "AC-3e", "bypass_contactor_a": 18}, "bypass/contactor-rated-to-start", PASS, "IEC 60947-4-1:2018"),
    # E12: capacitors behind the overload
    ("1.5 kvar at the motor, relay left", "us", {"capacitor_side": "load side", "capacitor_kvar": 1.5}, "overload/set-for-corrected-current", FAIL, "NEC 460.9"),
    ("relay set for the corrected current", "us", {"capacitor_side": "load side", "capacitor_kvar": 1.5, "relay_set_a": 11.4}, "overload/set-for-corrected-current", PASS, "NEC 460.9"),
    # E13: a screw conveyor that nobody measured
    ("loaded screw, 65 % tap, torque assumed", "us", {"device_kind": "autotransformer", "tap_pct": 80, "load_kind": "screw conveyor", "start_condition": "loaded"}, "application/loaded-start-has-torque", OPEN, "drive guide: 200 % to break away"),
    ("the same, measured 200 %", "us", {"device_kind": "autotransformer", "tap_pct": 80, "load_kind": "screw conveyor", "start_condition": "loaded", "load_breakaway_pct": 200}, "application/loaded-start-has-torque", FAIL, "165 % × 0.64"),
    # E14: AC and DC
    ("DC on an AC coil", "us", {"control_current": "DC"}, "control/current-kind-matches-device", FAIL, "common practice"),
    ("kind of the coil unread", "us", {"device_control_current": None}, "control/current-kind-matches-device", OPEN, "common practice"),
    # E15: the rating as installed
    ("100 kA with fuses, breaker fitted", "us", BREAKER | {"short_circuit_rating_ka": 100, "line_protection_kind": "fuse"}, f"{LP}/device-withstands-fault", FAIL, "NEC 110.10; UL 508A SB4"),
    ("fuses of another class", "us", {"fuse_class_required": "CC"}, f"{LP}/device-withstands-fault", FAIL, "NEC 110.3(B)"),
    ("class of the fuses unread", "us", {"fuse_class_required": "J", "fuse_class": None}, f"{LP}/device-withstands-fault", OPEN, "NEC 110.3(B)"),
    ("as listed", "us", {"fuse_class_required": "J"}, f"{LP}/device-withstands-fault", PASS, "NEC 110.3(B)"),
]
NO_FALSE_ALARM = [
    ("star-delta leads of 12 A", "us", STAR | {"cable_ampacity_a": 12}, f"{LP}/conductor-covers-motor", PASS, "NEC 430.22(C): 72 % of 14 A is 10.1"),
    ("star-delta leads of 10 A", "us", STAR | {"cable_ampacity_a": 10}, f"{LP}/conductor-covers-motor", FAIL, "NEC 430.22(C)"),
    ("leads inside the delta", "us", SOFT | {"device_connection": "inside delta", "cable_ampacity_a": 12}, f"{LP}/conductor-covers-motor", PASS, "NEC 430.22(C)"),
    ("iec star-delta leads of 9 A", "iec", STAR | {"cable_ampacity_a": 9}, f"{LP}/conductor-covers-motor", PASS, "0.58 × 14.4 = 8.4 A"),
    ("class CC, 40 A", "us", {"protection_rating_a": 40, "fuse_class": "CC"}, f"{LP}/within-branch-limit", PASS, "Table 430.52, note: 300 %, 45 A"),
    ("class CC keeps to the table", "us", {"protection_rating_a": 30, "fuse_class": "CC"}, f"{LP}/within-branch-table", PASS, "Table 430.52, note"),
    ("40 A, class unread", "us", {"protection_rating_a": 40, "fuse_class": None}, f"{LP}/within-branch-limit", OPEN, "Table 430.52, note"),
    ("semiconductor fuse", "us", {"protection_kind": "semiconductor fuse", "protection_rating_a": 63}, f"{LP}/within-branch-limit", NOT, "NEC 430.52(C)(5)"),
    ("fuse and breaker", "us", {"protection_kind": "fuse and breaker"}, f"{LP}/within-branch-limit", NOT, "NEC 430.52: two ratings, each its own"),
    ("group of four", "us", FOUR | {"protection_rating_a": 25}, f"{LP}/within-branch-limit", NOT, "NEC 430.53"),
    ("breaker by exception", "us", BREAKER | {"protection_rating_a": 50}, f"{LP}/within-branch-limit", PASS, "NEC 430.52(C)(1) ex. 2: 400 % of 14 is 56 A"),
    ("breaker by exception is a minor", "us", BREAKER | {"protection_rating_a": 50}, f"{LP}/within-branch-table", FAIL, "NEC 430.52(C)(1): 250 %, 35 A"),
    ("breaker beyond the exception", "us", BREAKER | {"protection_rating_a": 60}, f"{LP}/within-branch-limit", FAIL, "NEC 430.52(C)(1) ex. 2"),
    ("fuse of the table", "us", {}, f"{LP}/within-branch-limit", PASS, "NEC 430.52(C)(1): 24.5 A, the next size 25"),
    ("instantaneous at 1000 %", "us", MCP | {"instantaneous_a": 140}, f"{LP}/instantaneous-within-limit", PASS, "NEC 430.52(C)(3) ex. 1: 1300 %"),
    ("instantaneous at 2000 %", "us", MCP | {"instantaneous_a": 280}, f"{LP}/instantaneous-within-limit", FAIL, "NEC 430.52(C)(3) ex. 1: 1700 % at most"),
    ("instantaneous, 3.4 A motor", "us", MCP | {"power_kw": 1.4914, "fla_a": 3.0, "instantaneous_a": 60}, f"{LP}/instantaneous-within-limit", NOT, "NEC 430.52(C)(3) ex. 2: 8 A or less, the marked value"),
    ("overload in the motor", "us", {"overload_place": "motor"}, "overload/present", PASS, "NEC 430.32(A)(2)"),
    ("thermistors and their relay", "iec", {"overload_place": "thermistor"}, "overload/present", PASS, "NEC 430.32(A)(2); IEC 60034-11"),
    ("short-time valve motor", "us", {"overload_place": "none", "duty_type": "S2"}, "overload/present", PASS, "NEC 430.33 (from memory)"),
    ("1 hp by hand in sight", "us", {"overload_place": "none", "power_kw": 0.7457}, "overload/present", PASS, "NEC 430.32(D) (from memory)"),
    ("1 hp started by a level", "us", {"overload_place": "none", "power_kw": 0.7457, "automatic_control": "yes"}, "overload/present", FAIL, "NEC 430.32(B)"),
    ("iec dial read to 3 %", "iec", {"relay_set_a": 14.5}, "overload/set-within-nameplate", PASS, "common practice: a scale is read to 3 %"),
    ("iec dial at 106 %", "iec", {"relay_set_a": 15.3}, "overload/set-within-nameplate", FAIL, "IEC 60947-4-1"),
    ("resets itself, three-wire control", "us", {"restart_hurts": "yes", "relay_reset": "automatic"}, "overload/manual-reset-where-restart-hurts", PASS, "NEC 430.43: can restart"),
    ("that is a minor", "us", {"restart_hurts": "yes", "relay_reset": "automatic"}, "overload/manual-reset-with-three-wire", FAIL, "common practice"),
    ("resets itself and restarts", "us", {"restart_hurts": "yes", "relay_reset": "automatic", "restarts_by_itself": "yes"}, "overload/manual-reset-where-restart-hurts", FAIL, "NEC 430.43"),
    ("sump pump that restarts", "us", {"restarts_by_itself": "yes", "relay_reset": "automatic"}, "control/restart-by-itself-guarded", PASS, "NEC 430.43: where it cannot injure"),
    ("critical contactor", "us", {"criticality": "critical", "standby": "none"}, "bypass/critical-has-bypass", NOT, "common practice: a spare bucket"),
    ("critical drive", "us", DRIVE | {"criticality": "critical", "standby": "none"}, "bypass/critical-has-bypass", FAIL, "common practice"),
    ("no bypass, no question", "us", {}, "bypass/path-start-within-limits", NOT, "nothing starts on it"),
    ("common relay on the motor's side", "us", {"bypass_arrangement": "two-contactor", "bypass_own_overload": "no", "relay_in_both_paths": "yes"}, "bypass/path-has-overload", PASS, "NEC 430.32: it carries the motor's current"),
    ("three contactors, no isolators", "us", {"must_run_during_repair": "yes", "bypass_arrangement": "three-contactor", "bypass_isolated": "no"}, "bypass/replace-while-running", FAIL, "common practice: a contactor is no isolator"),
    ("four motors of 3 A on 18 A", "us", SOFT | FOUR | {"rated_current_a": 14}, "sizing/not-far-oversized", PASS, "common practice: four of them"),
    ("four motors measured together", "us", FOUR, "sizing/load-within-motor", PASS, "12 A of plates"),
    ("open device in a closed panel", "us", {"device_enclosure": "IP20", "panel_enclosure": "NEMA 12", "enclosure_need": "IP54"}, "sizing/enclosure-fits-place", PASS, "IEC 60529"),
    ("open device in the dust", "us", {"device_enclosure": "IP20", "enclosure_need": "IP54"}, "sizing/enclosure-fits-place", FAIL, "IEC 60529"),
    ("NEMA contactor without AC-x", "us", {"utilization_category": None}, "duty/contactor-category-fits", PASS, "NEMA ICS 2"),
    ("inched ten times in ten minutes", "us", {"inching": "yes", "inchings_per_10min": 10}, "duty/contactor-category-fits", PASS, "IEC 60947-4-1 (from memory)"),
    ("jogged all day", "us", {"inching": "yes", "inchings_per_10min": 60}, "duty/contactor-category-fits", FAIL, "IEC 60947-4-1, AC-4"),
    ("AC-3e", "iec", {"utilization_category": "AC-3e"}, "duty/contactor-category-fits", PASS, "IEC 60947-4-1:2018"),
    ("starts not counted", "us", {}, "nameplate/complete-for-starting", PASS, "a count is no nameplate"),
    ("service factor unread is a minor", "us", {"service_factor": None}, "nameplate/complete-for-starting", FAIL, "a blank in the records"),
    ("bumped in 2008, load-tested since", "us", {"bump_test_on": "2008-03-11"}, "commissioning/rotation-known-in-service", PASS, "a later load test proves it"),
    ("bumped in 2008, four years' run", "us", {"bump_test_on": "2008-03-11", "load_test_on": "2008-03-12"}, "commissioning/bump-tested", NOT, "common practice: it has shown itself"),
    ("motor of August, bumped before", "us", {"motor_installed_on": "2026-08-01"}, "commissioning/bump-tested", FAIL, "common practice"),
    ("2 hp, two poles, 0.735 of the table", "us", {"power_kw": 1.4914, "fla_a": 2.5, "poles": 2, "speed_rpm": 3490}, "nameplate/current-plausible", PASS, "plates of premium motors"),
    ("no code letters there", "iec", {"code_letter": None}, "nameplate/code-letter-agrees", NOT, "NEC 430.7(B)"),
    ("main as large as the feeder", "us", {"main_breaker_pickup_a": 420}, f"{LP}/feeder-protection-within", PASS, "NEC 430.62(B)"),
    ("main above the bars", "us", {"main_breaker_pickup_a": 700}, f"{LP}/feeder-protection-within", FAIL, "NEC 430.94"),
    ("half-read lineup", "us", {"bus_rating_a": None, "feeder_ampacity_a": None}, f"{LP}/feeder-protection-within", OPEN, "NEC 430.62(B), 430.94"),
]
# fmt: on
CASES = [(f"C{n:03d}", *case) for n, case in enumerate(NO_UNSAFE_PASS + NO_FALSE_ALARM)]


@pytest.fixture(scope="module")
def audits(tmp_path_factory):
    folder = tmp_path_factory.mktemp("cases")
    changes = {p: {c[0]: c[3] for c in CASES if c[2] == p} | {"GOOD": {}} for p in SITES}
    return {practice: judged(folder, practice, change) for practice, change in changes.items()}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case[1])
def test_the_verdict_that_an_engineer_would_sign(audits, case):
    tag, name, practice, _, rule, expected, source = case
    subject = PACK.rule(rule).subject
    got = audits[practice].outcome(f"{tag} bus" if subject == "bus" else tag, rule)
    assert got is expected, f"{name}: {source}"


@pytest.mark.parametrize("practice", SITES)
def test_good_practice_fails_nowhere(audits, practice):
    failed = {rule for tag, rule in audits[practice].having(Outcome.FAILED) if tag.startswith("GOOD")}
    assert failed == set(), TODAY


def test_two_motors_behind_instantaneous_breakers_count_250_percent(tmp_path):
    # NEC 430.62(A) ex. 1: 100 hp, 460 V, 124 A by Table 430.250: 310 + 124 = 434 A, not 1364 + 124.
    motor = MCP | {"power_kw": 74.57, "fla_a": 118.0, "instantaneous_a": 1200, "bus_rating_a": 1600}
    places = {"P-1": motor | {"main_breaker_pickup_a": 1400}, "P-2": motor | {"bus": "P-1 bus"}}
    audit = judged(tmp_path, "us", places)
    with opened(tmp_path / "us.db", write=True) as db:
        run(db, PACK, today=TODAY)
        limits = dict(db.execute("SELECT bus, feeder_limit_a FROM bus_facts").fetchall())
    assert limits["P-1 bus"] == pytest.approx(434)
    assert audit.outcome("P-1 bus", f"{LP}/feeder-protection-within") is Outcome.FAILED


@pytest.mark.parametrize(
    ("rule", "grade"),
    [
        # Between table and exception minor, beyond it major; what is only not written down is never major.
        (f"{LP}/within-branch-limit", Grade.MAJOR),
        (f"{LP}/within-branch-table", Grade.MINOR),
        (f"{LP}/instantaneous-within-limit", Grade.MAJOR),
        (f"{LP}/instantaneous-within-table", Grade.MINOR),
        (f"{LP}/feeder-protection-within", Grade.MINOR),
        (f"{LP}/instantaneous-lets-it-start", Grade.MINOR),
        ("overload/manual-reset-where-restart-hurts", Grade.MAJOR),
        ("overload/manual-reset-with-three-wire", Grade.MINOR),
        ("sizing/hazardous-area-judged-elsewhere", Grade.MAJOR),
        ("nameplate/complete-for-starting", Grade.MINOR),
        ("duty/starts-known-for-bypassed", Grade.MINOR),
        ("settings/ramp-within-duty", Grade.MINOR),
        ("settings/recorded", Grade.MINOR),
        ("commissioning/bump-tested", Grade.MAJOR),
        ("commissioning/rotation-known-in-service", Grade.MINOR),
        ("start-study/terminal-voltage-least", Grade.MAJOR),
        ("start-study/terminal-voltage-enough", Grade.MINOR),
    ],
)
def test_how_grave(rule, grade):
    assert PACK.rule(rule).grade is grade
