"""Inertia and torque at the start, against the standards' tables."""

import numpy as np
import pytest

from register.calc import load
from register.calc.duty import KGM2_PER_LBFT2
from register.facts.standard_tables import load_tables


@pytest.mark.parametrize("poles", [2, 4, 6])
def test_the_inertia_formula_gives_the_published_table(poles):
    # Source: NEMA MG 1, Table 12-7 (column B of MG 10, Table 2-3). The formula is from memory. The
    # table is rounded to whole lb·ft² from 10 hp up, to 0.1 below.
    table = load_tables()["starts-per-hour"].columns
    limit = load.load_inertia_limit_kgm2(power_hp=table["power_hp"], synchronous_speed_rpm=7200.0 / poles)
    published = table[f"starts_wk2_{poles}_pole"]
    assert limit / KGM2_PER_LBFT2 == pytest.approx(published, rel=0.035)
    above = table["power_hp"] >= 10
    assert limit[above] / KGM2_PER_LBFT2 == pytest.approx(published[above], rel=0.01, abs=0.6)


@pytest.mark.parametrize(
    ("hp", "wk2"),
    # Source: a reprint of Table 12-7 above 250 hp, at 3600, 1800 and 1200 r/min.
    [(300, (246, 1200, 3240)), (350, (281, 1370, 3720)), (400, (315, 1550)), (450, (349, 1710)), (500, (381, 1880))],
)
def test_the_inertia_formula_reaches_further_than_the_table(hp, wk2):
    speeds = np.array([3600.0, 1800.0, 1200.0])[: len(wk2)]
    limit = load.load_inertia_limit_kgm2(power_hp=float(hp), synchronous_speed_rpm=speeds)
    assert limit / KGM2_PER_LBFT2 == pytest.approx(wk2, rel=0.01)


def test_the_formula_is_not_stretched():
    limit = load.load_inertia_limit_kgm2(
        power_hp=np.array([50.0, 50.0, 0.5, 20_000.0, 15_000.0, 50.0]),
        synchronous_speed_rpm=np.array([3000.0, 200.0, 1800.0, 1800.0, 3600.0, 0.0]),
    )
    assert np.isnan(limit).all()


@pytest.mark.parametrize(
    ("kind", "tap", "share"),
    [
        # Source: a trade handbook's table of starting characteristics (EASA, from NEMA MG 10):
        # torque in % of that at full voltage, printed without decimals.
        ("across-the-line", np.nan, 100),
        ("star-delta", np.nan, 33),
        ("autotransformer", 80.0, 64),
        ("autotransformer", 65.0, 42),
        ("autotransformer", 50.0, 25),
    ],
)
def test_torque_left_by_each_way_of_starting(kind, tap, share):
    torque = load.start_torque_pct(device_kind=kind, locked_rotor_torque_pct=100.0, tap_pct=tap)
    assert torque == pytest.approx(share, abs=0.5)


def test_torque_is_not_told_where_a_setting_decides_or_is_unknown():
    kinds = np.array(["soft starter", "drive", "autotransformer", None], object)
    torque = load.start_torque_pct(device_kind=kinds, locked_rotor_torque_pct=150.0, tap_pct=np.nan)
    assert np.isnan(torque).all()
