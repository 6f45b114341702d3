"""What the US code's tables give for a nameplate."""

import numpy as np
import pytest

from register.calc import code_tables
from register.facts.standard_tables import load_tables

TABLES = load_tables()
CURRENTS = {
    "full_load_current_table": TABLES["full-load-current"],
    "full_load_current_single_phase_table": TABLES["full-load-current-single-phase"],
}


def table_current(power_kw_or_hp, volts, phases=3, practice="us"):
    return float(
        code_tables.table_flc_a(
            power_hp=power_kw_or_hp, motor_voltage_v=volts, phases=phases, practice=practice, **CURRENTS
        )
    )


@pytest.mark.parametrize(
    ("hp", "volts", "phases", "amperes"),
    [
        # Source: published motor calculations (ecmweb.com, 2004-05-01 and 2019-08-22).
        (1, 115, 1, 16),
        (3, 115, 1, 34),
        (7.5, 230, 3, 22),
        (40, 480, 3, 52),
        # Source: NFPA 70-2023, Tables 430.250 and 430.248.
        (50, 460, 3, 65),
        (50, 440, 3, 65),
        (25, 600, 3, 27),
        (100, 2300, 3, 26),
        (5, 240, 1, 28),
        (10, 208, 3, 30.8),
        (10, 200, 3, 32.2),
    ],
)
def test_the_tables_current(hp, volts, phases, amperes):
    assert table_current(hp, volts, phases) == amperes


def test_sizes_in_kilowatts_find_the_size_they_stand_for():
    # Source: common practice, the two series of standard sizes: 37 kW for 50 hp and so on.
    for kw, hp in ((0.75, 1), (5.5, 7.5), (11, 15), (22, 30), (37, 50), (75, 100)):
        assert table_current(kw / 0.7457, 460) == table_current(hp, 460)


def test_between_two_sizes_the_current_is_interpolated():
    # 30 hp: 40 A, 40 hp: 52 A, so 33 hp: 40 + 0.3 · 12 (NFPA 70, 430.6(A)(1) and Table 430.250; from memory).
    assert table_current(33, 460) == pytest.approx(43.6)


@pytest.mark.parametrize(
    ("hp", "volts", "phases", "practice"),
    [
        (0.25, 460, 3, "us"),
        (600, 460, 3, "us"),
        (50, 400, 3, "us"),
        (50, 690, 3, "us"),
        (50, 460, 2, "us"),
        (15, 230, 1, "us"),
        (3, 115, 3, "us"),
        (50, 2300, 3, "us"),
        (50, 460, 3, "iec"),
        (50, 460, 3, None),
        (50, 460, np.nan, "us"),
    ],
)
def test_outside_the_table_there_is_no_current(hp, volts, phases, practice):
    assert np.isnan(table_current(hp, volts, phases, practice))


def test_motors_built_for_low_speeds_go_by_their_nameplate():
    # Source: NFPA 70-2023, 430.6(A)(1).
    amperes = code_tables.code_current_a(
        table_flc_a=np.array([65.0, 65.0, np.nan, 65.0]),
        fla_a=np.array([62.0, 73.0, 73.0, 62.0]),
        speed_rpm=np.array([1185.0, 885.0, 885.0, np.nan]),
        practice="us",
    )
    assert amperes == pytest.approx([65, 73, 73, np.nan], nan_ok=True)


def test_code_letters():
    # Source: NFPA 70-2023, Table 430.7(B); MG 1, 10.37.2 counts the lower limit in.
    letters = np.array(["A", "F", "G", "V", "I", None], object)
    bands = TABLES["code-letters"]
    low = code_tables.code_letter_low_kva_per_hp(code_letter=letters, code_letters_table=bands)
    high = code_tables.code_letter_high_kva_per_hp(code_letter=letters, code_letters_table=bands)
    assert low == pytest.approx([0, 5.0, 5.6, 22.4, np.nan, np.nan], nan_ok=True)
    assert high == pytest.approx([3.15, 5.6, 6.3, np.inf, np.nan, np.nan], nan_ok=True)
