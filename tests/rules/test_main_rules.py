"""The three rules that matter most, each against cases worked by hand (common practice)."""

from __future__ import annotations

import sqlite3
from datetime import date

import pytest

from register.columns import FACTS
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Outcome
from register.rulebook.run.evaluate import evaluate

PACK = load_pack()
PASSED, FAILED, CANT_TELL, INAPPLICABLE = Outcome


def _outcome(rule: str, **facts) -> Outcome:
    """The outcome of one rule at one position of which only these facts are known."""
    connection = sqlite3.connect(":memory:")
    types = {"real": "REAL", "integer": "INTEGER"}
    columns = ", ".join(f"{c.name} {types.get(c.kind, 'TEXT')}" for c in FACTS.values())
    connection.execute(f"CREATE TABLE facts ({columns}, stand_ins INTEGER)")
    row = {"tag": "P-1", "practice": "us", "stand_ins": 0} | facts
    marks = ", ".join(f":{name}" for name in row)
    connection.execute(f"INSERT INTO facts ({', '.join(row)}) VALUES ({marks})", row)
    connection.commit()
    verdicts = evaluate(connection, PACK, today=date(2026, 11, 25))
    ids = [each.id for each in verdicts.rules]
    return Outcome(int(verdicts.outcomes[0, ids.index(rule)]))


@pytest.mark.parametrize(
    ("arrangement", "standby", "expected"),
    [
        # An internal bypass is part of the device and fails with it: no bypass.
        ("internal only", "none", FAILED),
        ("none", "none", FAILED),
        # Two or three contactors, or another starter, run the motor past a failed device.
        ("two-contactor", "none", PASSED),
        ("three-contactor", "none", PASSED),
        ("standby starter", "none", PASSED),
        # A whole standby machine is a bypass by itself; one that is shared may be away.
        ("none", "installed", PASSED),
        ("none", "shared", FAILED),
        # Nobody has looked: someone has to, unless what is known already decides.
        (None, "none", CANT_TELL),
        (None, "installed", PASSED),
        ("internal only", None, CANT_TELL),
    ],
)
def test_a_critical_load_has_a_way_round(arrangement, standby, expected):
    facts = {"bypass_arrangement": arrangement, "standby": standby}
    facts |= {"device_kind": "soft starter", "load_service": "process"}
    assert _outcome("bypass/critical-has-bypass", criticality="critical", **facts) == expected
    ordinary = _outcome("bypass/critical-has-bypass", criticality="ordinary", **facts)
    assert ordinary == INAPPLICABLE


@pytest.mark.parametrize(
    ("kind", "path", "starts", "allowed", "expected"),
    [
        # AC-53b: 3.5-10 : 350 means one start in 360 s, ten an hour (IEC 60947-4-2).
        ("soft starter", "internal bypass", 10, 3600 / (10 + 350), PASSED),
        ("soft starter", "internal bypass", 11, 3600 / (10 + 350), FAILED),
        ("soft starter", "internal bypass", None, 10, CANT_TELL),
        ("soft starter", "internal bypass", 11, None, CANT_TELL),
        # Fully solid state: as often as one likes, whether or not anyone counted.
        ("soft starter", "solid state", 120, None, PASSED),
        ("soft starter", "solid state", None, None, PASSED),
        ("soft starter", None, 11, 10, CANT_TELL),
        ("drive", "solid state", 120, None, PASSED),
        ("across-the-line", "contactor", 121, 120, FAILED),
    ],
)
def test_starts_per_hour_against_the_kind_of_device(kind, path, starts, allowed, expected):
    outcome = _outcome(
        "duty/starts-within-device",
        device_kind=kind,
        power_path=path,
        starts_per_hour=starts,
        starts_per_hour_max=allowed,
    )
    assert outcome == expected


def test_not_knowing_the_starts_is_a_finding_only_for_an_internal_bypass():
    rule = "duty/starts-known-for-bypassed"
    assert _outcome(rule, power_path="internal bypass") == FAILED
    assert _outcome(rule, power_path="internal bypass", starts_per_hour=2) == PASSED
    assert _outcome(rule, power_path="solid state") == INAPPLICABLE
    assert _outcome(rule) == CANT_TELL


@pytest.mark.parametrize(
    ("fla", "low", "high", "expected"),
    [
        # 1 hp at 460 V draws 2.1 A by NFPA 70, Table 430.250. A 3 hp device (4.8 A) that is
        # settable from 30 % sees it; a 15 hp one (21 A) does not.
        (2.1, 0.3 * 4.8, 4.8, PASSED),
        (2.1, 0.3 * 21, 21, FAILED),
        # 20 hp (27 A) on a relay that ends at 25 A trips without cause.
        (27, 9, 25, FAILED),
        (27, None, 25, FAILED),
        (2.1, None, 21, CANT_TELL),
        (None, 6.3, 21, CANT_TELL),
    ],
)
@pytest.mark.parametrize("place", ["device", "relay"])
def test_an_overload_that_cannot_see_its_motor(place, fla, low, high, expected):
    facts = {
        "overload_current_a": fla,
        "overload_range_min_a": low,
        "overload_range_max_a": high,
        "device_kind": "drive",
    }
    assert _outcome("sizing/sensing-sees-motor", overload_place=place, **facts) == expected
    assert _outcome("sizing/sensing-sees-motor", overload_place="none", **facts) == INAPPLICABLE


@pytest.mark.parametrize(
    ("device_a", "expected"),
    [
        # NFPA 70, Table 430.250, 460 V: 1 hp 2.1 A, 2 hp 3.4 A, 3 hp 4.8 A, 5 hp 7.6 A.
        (3.4, PASSED),
        (4.8, PASSED),
        (7.6, FAILED),
    ],
)
def test_a_1_hp_motor_sits_on_a_2_to_3_hp_soft_starter(device_a, expected):
    facts = {"device_kind": "soft starter", "size_ratio": device_a / 2.1, "motors_on_device": 1}
    outcome = _outcome("sizing/not-far-oversized", **facts)
    assert outcome == expected
