"""Load torque against speed, and what is usual for a kind of driven machine."""

import numpy as np
import pytest

from register.calc.load_curve import (
    Load,
    load_of,
    torque,
    typical_breakaway_pct,
    typical_load_curve,
    typical_load_torque_pct,
    unloaded_share_pct,
)
from register.columns import column
from register.facts.standard_tables import load_tables

TABLE = load_tables()["load-torque"]
NAN = np.nan


def of(curve="square", at_speed=90.0, breakaway=12.0, share=100.0):
    return load_of(load_curve=curve, load_torque_pct=at_speed, load_breakaway_pct=breakaway, unloaded_share_pct=share)


def at(load, *speeds):
    return torque(load, np.array(speeds)[:, None])[:, 0]


def test_the_fans_load():
    # A fan of 90 % at rated speed with its damper open, 45 % closed, 12 % to break away:
    # a 3 %, c2 87 or 42 %.
    for share, c2 in ((100.0, 0.87), (50.0, 0.42)):
        load = of(share=share)
        assert load.a[0] == pytest.approx(0.03)
        assert load.c2[0] == pytest.approx(c2) and load.c1[0] == 0
        assert at(load, 0.0, 0.1, 0.5, 1.0) == pytest.approx([0.12, 0.03 + 0.01 * c2, 0.03 + 0.25 * c2, 0.03 + c2])


@pytest.mark.parametrize("curve", ["constant", "linear", "square"])
def test_both_ends_are_as_entered(curve):
    load = of(curve, at_speed=80.0, breakaway=50.0)
    assert at(load, 0.0, 1.0) == pytest.approx([0.5, 0.8])


def test_shapes_between_the_ends():
    # 20 % to break away leaves 5 %; the rest grows with speed, or with its square.
    assert at(of("constant", 80.0, 50.0), 0.05, 0.1, 0.6) == pytest.approx([0.65, 0.8, 0.8])
    assert at(of("linear", 85.0, 20.0), 0.5) == pytest.approx(0.05 + 0.4)
    assert at(of("square", 85.0, 20.0), 0.5) == pytest.approx(0.05 + 0.2)


def test_friction_never_exceeds_what_the_load_asks():
    load = of("square", at_speed=20.0, breakaway=150.0)
    assert at(load, 0.0, 0.5, 1.0) == pytest.approx([1.5, 0.2, 0.2])


def test_what_is_unknown_is_unknown():
    for blank in (of(curve=None), of(at_speed=NAN), of(breakaway=NAN), of(share=NAN)):
        assert np.isnan(at(blank, 0.05, 0.5)).any()


def test_all_loads_at_once_equal_one_by_one():
    curves = np.array(["square", "linear", "constant", None], object)
    ends, off = np.array([90.0, 80.0, 70.0, 60.0]), np.array([10.0, 20.0, 120.0, 40.0])
    together = load_of(load_curve=curves, load_torque_pct=ends, load_breakaway_pct=off, unloaded_share_pct=100.0)
    speeds = np.linspace(0, 1.05, 22)[:, None]
    asked = torque(together, speeds)
    assert asked.shape == (22, 4)
    for i in range(4):
        alone = torque(of(curves[i], ends[i], off[i]), speeds)[:, 0]
        assert np.array_equal(alone, asked[:, i], equal_nan=True)
        picked = torque(together.take(slice(i, i + 1)), speeds)[:, 0]
        assert np.array_equal(picked, asked[:, i], equal_nan=True)


def test_points_of_a_curve_go_before_the_formula():
    load = Load(a=np.full(2, 0.1), b=np.full(2, 0.2), c1=np.zeros(2), c2=np.full(2, 0.5))
    points = np.empty(2, object)
    points[1] = (np.linspace(0, 1, 21), torque(load.take([0]), np.linspace(0, 1, 21)[:, None])[:, 0])
    with_points = Load(a=load.a, b=load.b, c1=load.c1, c2=load.c2, tables=points)
    speeds = np.linspace(0, 1, 101)[:, None]
    asked = torque(with_points, speeds)
    assert (asked[:, 0] == torque(load, speeds)[:, 0]).all()
    # Straight lines over 21 points of a parabola are off by at most c2·Δ²/4.
    assert asked[:, 1] == pytest.approx(asked[:, 0], abs=0.5 * 0.05**2 / 4 * 1.01)
    assert torque(with_points.take([1]), speeds)[:, 0] == pytest.approx(asked[:, 1])


@pytest.mark.parametrize(
    ("kind", "curve", "breakaway", "loaded"),
    # Source: NEMA application guide for adjustable speed drives, table of load torques, from
    # memory; the curves of pumps and fans are the affinity laws.
    [
        ("centrifugal pump", "square", 40, 100),
        ("centrifugal fan", "square", 25, 110),
        ("conveyor", "constant", 150, 130),
        ("reciprocating compressor", "constant", 100, 100),
    ],
)
def test_usual_loads(kind, curve, breakaway, loaded):
    assert typical_load_curve(load_kind=kind, load_torque_table=TABLE) == curve
    assert typical_breakaway_pct(load_kind=kind, load_torque_table=TABLE) == min(breakaway, 100)
    assert typical_load_torque_pct(load_kind=kind, load_torque_table=TABLE) == min(loaded, 100)


def test_the_table_speaks_the_dictionarys_words():
    assert set(TABLE.columns["load_kind"]) <= set(column("load_kind").choices)
    assert set(TABLE.columns["load_curve"]) <= set(column("load_curve").choices)
    assert TABLE.sure == "C"
    left = TABLE.columns["unloaded_pct"] / TABLE.columns["loaded_pct"]
    # 100 of 100 % for a reciprocating compressor: a maker's note prints the table so
    assert (left[~np.isnan(left)] <= 1).all()


def test_a_kind_without_a_usual_load_stays_unknown():
    kinds = np.array(["crusher", "other", None], object)
    assert np.isnan(typical_breakaway_pct(load_kind=kinds, load_torque_table=TABLE)).all()
    assert np.isnan(typical_load_torque_pct(load_kind=kinds, load_torque_table=TABLE)).all()
    assert (typical_load_curve(load_kind=kinds, load_torque_table=TABLE) == None).all()  # noqa: E711


def test_an_unloaded_start_leaves_a_share_of_the_torque():
    share = unloaded_share_pct(
        load_kind=np.array(["blower", "blower", "blower", "conveyor", "conveyor", None], object),
        start_condition=np.array(["unloaded", "loaded", None, "unloaded", "loaded", "loaded"], object),
        load_torque_table=TABLE,
    )
    assert share == pytest.approx([100 * 50 / 110, 100, NAN, 100, 100, 100], nan_ok=True)
