"""The tables of standards against one another and against other publications."""

import numpy as np
import pytest
from fluids.pump import CSA_motor_efficiency, nema_sizes_hp

from register.calc.nameplate import KW_PER_HP, fla_from_power_a, locked_rotor_kva_per_hp
from register.errors import RuleError
from register.facts.standard_tables import load_tables

TABLES = load_tables()
FLC = TABLES["full-load-current"].columns
LRC = TABLES["locked-rotor-current"].columns


def row(name, power_hp):
    table = TABLES[name]
    at = int(np.flatnonzero(table.columns["power_hp"] == power_hp)[0])
    return {column: values[at] for column, values in table.columns.items()}


@pytest.mark.parametrize(
    ("hp", "column", "amperes"),
    [
        # NFPA 70, Table 430.250; 1.5 hp at 575 V is often copied wrongly as 2.1.
        (0.5, "at_460_v", 1.1),
        (1.5, "at_575_v", 2.4),
        (7.5, "at_230_v", 22),
        (10, "at_460_v", 14),
        (40, "at_460_v", 52),
        (50, "at_460_v", 65),
        (100, "at_460_v", 124),
        (200, "at_208_v", 528),
        (500, "at_575_v", 472),
        (60, "at_2300_v", 16),
    ],
)
def test_full_load_currents(hp, column, amperes):
    assert row("full-load-current", hp)[column] == amperes


def test_full_load_currents_go_inversely_with_voltage():
    # Source: arithmetic; the published currents of one motor are rounded from one another.
    for column, volts in (("at_200_v", 200), ("at_208_v", 208), ("at_575_v", 575)):
        ratio = FLC[column] * volts / (FLC["at_230_v"] * 230)
        # The smallest motors are printed to 0.1 A of about 1 A.
        assert np.nanmax(np.abs(ratio - 1)) < 0.06
    assert FLC["at_230_v"][:21] == pytest.approx(2 * FLC["at_460_v"][:21], rel=0.01)
    for column, amperes in FLC.items():
        assert (np.diff(amperes[~np.isnan(amperes)]) > 0).all(), column


def test_full_load_currents_lie_above_those_of_efficient_motors():
    # Source: MG 1 Table 12-12; power factor 0.75 to 0.88 from memory (common practice).
    premium = TABLES["premium-efficiency"].columns
    for hp, eta in zip(premium["power_hp"], premium["enclosed_4_pole"], strict=True):
        least, most = (
            fla_from_power_a(
                power_kw=hp * KW_PER_HP, motor_voltage_v=460.0, efficiency_pct=eta, power_factor=pf, phases=3.0
            )
            for pf in (0.90, 0.70)
        )
        assert least * 0.95 < row("full-load-current", hp)["at_460_v"] < most * 1.35


def test_single_phase_currents_against_three_phase_ones():
    # Source: arithmetic; the same power on one phase takes √3 times the current, and more because
    # a single-phase motor has the lower efficiency.
    for hp in (1.0, 2.0, 5.0, 10.0):
        one = row("full-load-current-single-phase", hp)["at_230_v"]
        assert 1.7 < one / row("full-load-current", hp)["at_230_v"] < 2.0


@pytest.mark.parametrize(
    ("hp", "letters"),
    # Source: a public engineering table of usual code letters by size (engineeringtoolbox d_917).
    [(1.5, "LM"), (2, "LM"), (3, "K"), (5, "J"), (7.5, "H"), (10, "H"), (20, "G"), (100, "G")],
)
def test_locked_rotor_currents_fall_into_the_usual_code_letters(hp, letters):
    kva = locked_rotor_kva_per_hp(
        locked_rotor_a=row("locked-rotor-current", hp)["at_230_v"], motor_voltage_v=230.0, power_hp=hp, phases=3.0
    )
    bands = TABLES["code-letters"].columns
    here = (bands["from_kva_per_hp"] <= kva) & (kva < bands["below_kva_per_hp"])
    assert bands["code_letter"][here] in list(letters)


def test_locked_rotor_currents_go_inversely_with_voltage():
    # Source: NEMA MG 1, 12.35: other voltages inversely proportional to 230 V.
    for column, volts in (("at_208_v", 208), ("at_460_v", 460), ("at_575_v", 575)):
        there = LRC[column][:21] * volts
        assert there == pytest.approx(LRC["at_230_v"][:21] * 230, rel=0.012)


def test_code_letter_bands_leave_no_hole():
    bands = TABLES["code-letters"].columns
    assert (bands["from_kva_per_hp"][1:] == bands["below_kva_per_hp"][:-1]).all()
    assert "".join(bands["code_letter"]) == "ABCDEFGHJKLMNPRSTUV"  # I, O and Q are not used


@pytest.mark.parametrize("poles", [2, 4, 6])
@pytest.mark.parametrize("enclosure", ["enclosed", "open"])
def test_premium_efficiencies_equal_those_of_another_publication(enclosure, poles):
    # Source: fluids 1.x, from Natural Resources Canada's regulation on electric motors.
    for hp in TABLES["premium-efficiency"].columns["power_hp"][:19]:
        other = CSA_motor_efficiency(
            hp * 745.6998715822702, closed=enclosure == "enclosed", poles=poles, high_efficiency=True
        )
        ours = row("premium-efficiency", hp)[f"{enclosure}_{poles}_pole"]
        assert ours == pytest.approx(100 * other, abs=0.011), hp


def test_energy_efficient_motors_are_never_better_than_premium_ones():
    # Source: MG 1, Table 12-12 seen in 10 CFR 431.25, against Table 12-11 of another publication.
    # Premium equals it for some large 2-pole motors.
    premium, lesser = TABLES["premium-efficiency"].columns, TABLES["energy-efficient"].columns
    for column in premium.keys() - {"power_hp"}:
        both = ~np.isnan(premium[column])
        assert (premium[column][both] >= lesser[column][both]).all(), column


@pytest.mark.parametrize(
    ("hp", "column", "efficiency"),
    # Source: MG 1, Table 12-11, from memory.
    [
        (10, "enclosed_4_pole", 89.5),
        (50, "enclosed_4_pole", 93.0),
        (100, "open_4_pole", 94.1),
        (1, "enclosed_2_pole", 75.5),
        (200, "enclosed_4_pole", 95.0),
        (25, "open_6_pole", 91.7),
    ],
)
def test_energy_efficient_efficiencies(hp, column, efficiency):
    assert row("energy-efficient", hp)[column] == efficiency


def test_sizes_are_standard_ones():
    # Source: fluids 1.x, list of standard motor sizes.
    standard = {round(hp, 4) for hp in nema_sizes_hp}
    assert {round(hp, 4) for hp in FLC["power_hp"]} <= standard
    assert {round(hp, 4) for hp in TABLES["starts-per-hour"].columns["power_hp"]} <= standard


def test_torques_lie_within_the_envelope_of_design_b():
    # Source: NEMA MG 10, Table 2-1: locked-rotor 70 to 275 %, breakdown 175 to 300 %. The cells of
    # the two tables themselves are from memory.
    for name, low, high in (("locked-rotor-torque", 70, 275), ("breakdown-torque", 175, 300)):
        cells = np.array([v for c, v in TABLES[name].columns.items() if c != "power_hp"])
        assert np.nanmin(cells) == low and np.nanmax(cells) == high
        # The larger the motor, the smaller the share.
        for column in cells:
            assert (np.diff(column[~np.isnan(column)]) <= 0).all()


def test_design_n_torques_fall_with_size_and_join_their_ranges():
    # Source: IEC 60034-12; the cells are from memory, the shape is the standard's.
    torques = TABLES["design-n-torque"].columns
    assert (torques["above_kw"][1:] == torques["to_kw"][:-1]).all()
    for poles in (2, 4, 6, 8):
        locked, up, breakdown = (torques[f"{q}_{poles}_pole"] for q in ("locked_rotor", "pull_up", "breakdown"))
        assert (np.diff(locked) <= 0).all()
        assert (up < locked).all() and (locked <= breakdown).all()


def test_standard_ratings_are_the_codes_own():
    # Source: NFPA 70, 240.6(A).
    ratings = TABLES["standard-ratings"].columns
    of_breakers = ratings["rating_a"][ratings["made_as"] == "fuse or breaker"]
    assert len(of_breakers) == 37 and of_breakers[0] == 15 and of_breakers[-1] == 6000
    assert set(ratings["rating_a"]) - set(of_breakers) == {1, 3, 6, 10, 601}


def test_every_table_says_how_sure_it_is():
    assert {table.sure for table in TABLES.values()} <= {"A", "B", "C"}
    assert all(table.seen for table in TABLES.values()), "how it was seen, in the words of register.columns.source"
    assert all(t.sure == "C" for t in TABLES.values() if t.seen == "memory")


GOOD = "# title: t\n# source: s\n# edition: e\n# sure: A\npower_hp,x\n1,2\n2,\n"


def test_a_table_is_read_with_its_dashes(tmp_path):
    (tmp_path / "some.csv").write_text(GOOD, encoding="utf-8")
    table = load_tables(tmp_path)["some"]
    assert (table.name, table.title, table.source, table.sure) == ("some", "t", "s", "A")
    assert table.columns["x"][0] == 2 and np.isnan(table.columns["x"][1])
    with pytest.raises(ValueError, match="read-only"):
        table.columns["x"][0] = 3


def test_all_that_is_wrong_in_all_tables_is_told_at_once(tmp_path):
    (tmp_path / "a.csv").write_text(GOOD.replace("# source: s\n", ""), encoding="utf-8")
    (tmp_path / "b.csv").write_text(GOOD + "3,4,5\n", encoding="utf-8")
    (tmp_path / "c.csv").write_bytes(b"\xff\xfe")
    with pytest.raises(RuleError) as raised:
        load_tables(tmp_path)
    told = [str(problem) for problem in raised.value.problems]
    assert len(told) == 3
    assert "a.csv" in told[0] and "# source:" in told[0]
    assert "b.csv:8" in told[1] and "3 cells under 2 headings" in told[1]
    assert "c.csv" in told[2] and "UTF-8" in told[2]


def test_a_folder_without_tables_is_refused(tmp_path):
    with pytest.raises(RuleError, match="no table"):
        load_tables(tmp_path)
