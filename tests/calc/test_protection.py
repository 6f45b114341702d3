"""Line protection and conductors, against published motor calculations."""

import numpy as np
import pytest

from register.calc import code_tables, protection
from register.facts.standard_tables import load_tables

TABLES = load_tables()
SHARES = {
    "branch_protection_percent_table": TABLES["branch-protection-percent"],
    "energy_efficient_table": TABLES["energy-efficient"],
}
RATINGS = {"standard_ratings_table": TABLES["standard-ratings"]}
MOTOR = {
    "phases": 3.0,
    "design_letter": None,
    "efficiency_pct": np.nan,
    "power_hp": 50.0,
    "poles": 4.0,
    "practice": "us",
}


def share(kind, **motor):
    return float(protection.branch_protection_pct(protection_kind=kind, **MOTOR | motor, **SHARES))


def limit(amperes, kind, **motor):
    return float(
        protection.branch_limit_a(
            code_current_a=amperes, protection_kind=kind, branch_protection_pct=share(kind, **motor), **RATINGS
        )
    )


def table_current(hp, volts, phases):
    return code_tables.table_flc_a(
        power_hp=hp,
        motor_voltage_v=volts,
        phases=phases,
        practice="us",
        full_load_current_table=TABLES["full-load-current"],
        full_load_current_single_phase_table=TABLES["full-load-current-single-phase"],
    )


@pytest.mark.parametrize(
    ("hp", "volts", "phases", "conductor", "kind", "rating"),
    [
        # Source: ecmweb.com, "Motor Calculations, Part 2", 2019-08-22.
        (1, 115, 1, 20, "inverse-time breaker", 40),
        # Source: ecmweb.com, "Motor Calculations Part 2: Feeders", 2004-05-01; 42.5 A is printed 43.
        (3, 115, 1, 42.5, "time-delay fuse", 60),
        # Source: the same series; no protection is worked out there.
        (7.5, 230, 3, 27.5, None, None),
        (40, 480, 3, 65, None, None),
    ],
)
def test_published_motor_calculations(hp, volts, phases, conductor, kind, rating):
    amperes = table_current(hp, volts, phases)
    assert protection.conductor_needed_a(practice="us", code_current_a=amperes, fla_a=np.nan) == pytest.approx(
        conductor
    )
    if kind:
        assert limit(amperes, kind, phases=phases) == rating


@pytest.mark.parametrize(
    ("kind", "percent"),
    # Source: NFPA 70-2023, Table 430.52(C)(1).
    [
        ("fuse", 300),
        ("time-delay fuse", 175),
        ("inverse-time breaker", 250),
        ("semiconductor fuse", np.nan),
        ("fuse and breaker", np.nan),
        ("none", np.nan),
        (None, np.nan),
    ],
)
def test_share_by_kind(kind, percent):
    for phases in (1.0, 3.0):
        assert share(kind, phases=phases) == pytest.approx(percent, nan_ok=True)
        assert np.isnan(share(kind, phases=phases, practice="iec"))


@pytest.mark.parametrize(
    ("motor", "percent"),
    [
        # Source: NFPA 70-2023, Table 430.52(C)(1); MG 1 Table 12-11: 50 hp, 4 poles, 93.0 %.
        ({"design_letter": "B", "efficiency_pct": 94.5}, 1100),
        ({"design_letter": "B", "efficiency_pct": 93.0}, 1100),
        ({"design_letter": "B", "efficiency_pct": 90.2}, 800),
        ({"design_letter": "C", "efficiency_pct": 94.5}, 800),
        ({"design_letter": "C"}, 800),
        ({"efficiency_pct": 90.2}, 800),
        ({"phases": 1.0}, 800),
        # Either may be: nothing is sure.
        ({"design_letter": "B"}, np.nan),
        ({"efficiency_pct": 94.5}, np.nan),
        # 5 hp, 2 poles: 87.5 % enclosed, 85.5 % open; between them the enclosure decides.
        ({"design_letter": "B", "efficiency_pct": 86.5, "power_hp": 5.0, "poles": 2.0}, np.nan),
    ],
)
def test_share_of_an_instantaneous_breaker(motor, percent):
    assert share("instantaneous breaker", **motor) == pytest.approx(percent, nan_ok=True)


@pytest.mark.parametrize(
    ("amperes", "kind", "rating"),
    [
        # Source: NFPA 70-2023, 430.52(C)(1) exception 1 with 240.6(A): 65 A × 1.75 = 113.75,
        # × 2.5 = 162.5, × 3 = 195; 16 A × 2.5 is 40 A, a standard rating, and stays.
        (65, "time-delay fuse", 125),
        (65, "inverse-time breaker", 175),
        (65, "fuse", 200),
        (16, "inverse-time breaker", 40),
        (40, "inverse-time breaker", 100),
        # Only fuses come below 15 A, and in 601 A.
        (2.1, "time-delay fuse", 6),
        (2.1, "inverse-time breaker", 15),
        (0.5, "time-delay fuse", 1),
        (200.1, "fuse", 601),
        (240.1, "inverse-time breaker", 700),
        # Above the largest there is none.
        (2500, "inverse-time breaker", np.nan),
        # 430.52(C)(3): a setting, not a rating.
        (65, "instantaneous breaker", 520),
    ],
)
def test_the_next_standard_rating(amperes, kind, rating):
    assert limit(amperes, kind, design_letter="C") == pytest.approx(rating, nan_ok=True)


def test_the_limit_never_falls_with_current():
    amperes = np.linspace(0.5, 2000, 4000)
    for kind in ("fuse", "time-delay fuse", "inverse-time breaker"):
        ratings = protection.branch_limit_a(
            code_current_a=amperes, protection_kind=kind, branch_protection_pct=share(kind), **RATINGS
        )
        assert (np.diff(ratings) >= 0).all()
        assert (ratings >= amperes * share(kind) / 100 * (1 - 1e-8)).all()


def test_iec_practice_asks_the_nameplates_current():
    # Source: IEC 60364-4-43, 433.1, from memory: design current no more than ampacity.
    needed = protection.conductor_needed_a(
        practice=np.array(["iec", "us", None], object), code_current_a=np.nan, fla_a=85.0
    )
    assert needed == pytest.approx([85, np.nan, np.nan], nan_ok=True)


def test_whether_the_installed_kind_is_the_required_one():
    # Source: common practice; a pair of fuse and breaker contains each of them.
    installed = np.array(
        ["fuse", "semiconductor fuse", "inverse-time breaker", "fuse and breaker", "none", None], object
    )
    for required, expected in {
        "fuse": ["yes", "yes", "no", "yes", "no", None],
        "breaker": ["no", "no", "yes", "yes", "no", None],
        "fuse and breaker": ["no", "no", "no", "yes", "no", None],
        "fuse or breaker": ["yes", "yes", "yes", "yes", "no", None],
        None: [None] * 6,
    }.items():
        fits = protection.line_protection_kind_fits(line_protection_kind=required, protection_kind=installed)
        assert fits.tolist() == expected


@pytest.mark.parametrize(
    ("table_a", "asked_a"),
    # Source: 50 hp at 460 V, 65 A × 115 % = 74.75 A, a worked answer under NFPA 70, 430.110(A) on a
    # public code forum; the others by the same article from Table 430.250 (10 hp, 100 hp).
    [(65.0, 74.75), (14.0, 16.1), (124.0, 142.6)],
)
def test_a_disconnect_carries_115_percent_of_the_tables_current(table_a, asked_a):
    assert protection.disconnect_needed_a(code_current_a=table_a) == pytest.approx(asked_a)
    assert np.isnan(protection.disconnect_needed_a(code_current_a=np.nan))
