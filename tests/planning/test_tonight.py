"""Tonight on the bypass: the seeded faults stop it, the sound ones do not, the unread can't tell."""

import csv
import json
import shutil
from datetime import date

import pytest
from by_path import study, tonight
from sample_plant import SAMPLES

from register.errors import StartrollError
from register.planning.model import CAN, CANNOT, CANT_TELL
from register.planning.replace.tonight import CONDITIONS
from register.store.database import opened, writing

TODAY = date(2026, 11, 25)


def rows(name):
    with (SAMPLES / "demo-plant" / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


SEEDED = [(r["tag"], r["rule"]) for r in rows("seeded") if r["rule"] in CONDITIONS]
BYPASS = {r["tag"]: r for r in rows("bypass")}


def ask(demo, tag, **more):
    return tonight(demo.path, tag, today=TODAY, **more)


@pytest.mark.parametrize(("tag", "rule"), SEEDED)
def test_a_fault_of_the_way_round_stops_it(demo, tag, rule):
    made = ask(demo, tag)
    assert made.answer == CANNOT
    assert [part.rule for part in made.conditions if part.met is False] == [rule]


def test_there_are_such_faults():
    assert len(SEEDED) == 5


@pytest.mark.parametrize("tag", ["A-3109", "A-4140", "F-2133", "F-2135", "M-1110"])
def test_a_sound_way_round_runs_tonight(demo, tag):
    # By hand: each has a bypass with contactor AC-3 or a star-delta starter, an overload and
    # line protection of its own (samples/demo-plant/bypass.csv).
    row = BYPASS[tag]
    assert row["bypass_own_overload"] == row["bypass_own_line_protection"] == "yes"
    assert ask(demo, tag).answer == CAN


@pytest.mark.parametrize(("arrangement", "answer"), [("none", CANNOT), ("internal only", CANNOT), (None, CANT_TELL)])
def test_without_a_way_round_there_is_none(demo, tmp_path, arrangement, answer):
    tag = next(t for t, r in BYPASS.items() if r["bypass_arrangement"] == (arrangement or "none"))
    path = tmp_path / "plant.db"
    shutil.copy(demo.path, path)
    if arrangement is None:  # nobody has noted whether there is one
        with opened(path, write=True) as db, writing(db, reason="not noted", author="test"):
            db.execute("UPDATE bypass SET bypass_arrangement = NULL WHERE tag = ?", [tag])
    made = tonight(path, tag, today=TODAY)
    assert (made.answer, len(made.conditions), made.figures) == (answer, 1, ())
    assert ("bypass_arrangement" in made.to_read) == (answer == CANT_TELL)


FAULTY = {tag for tag, _ in SEEDED}
EASED = [t for t, r in BYPASS.items() if r["bypass_starts_by"] == "soft starter" and t not in FAULTY]


def blanked(demo, path, tag, *columns):
    shutil.copy(demo.path, path)
    with opened(path, write=True) as db, writing(db, reason="not read", author="test"):
        for column in columns:
            db.execute(f"UPDATE bypass SET {column} = NULL WHERE tag = ?", [tag])
    return path


def test_a_soft_starter_in_the_bypass_can_be_told_by_its_settings(demo):
    assert EASED
    for tag in EASED:
        made = ask(demo, tag)
        assert made.answer == CAN, (tag, made.conditions)
        assert made.how.startswith("soft starter, "), made.how
        assert f"current limit, limit {float(BYPASS[tag]['bypass_current_limit_xfla']):g} × FLA" in made.how


@pytest.mark.parametrize(
    ("by", "said"), [("soft starter", True), ("across-the-line", True), ("drive", False), (None, False)]
)
def test_full_speed_is_minded_where_the_way_round_is_known_to_have_no_drive(demo, tmp_path, by, said):
    # "C-1125" is run by a drive (samples/demo-plant/device.csv).
    path = tmp_path / "plant.db"
    shutil.copy(demo.path, path)
    with opened(path, write=True) as db, writing(db, reason="read anew", author="test"):
        db.execute("UPDATE bypass SET bypass_starts_by = ? WHERE tag = 'C-1125'", [by])
    minded = " ".join(tonight(path, "C-1125", today=TODAY).mind)
    assert ("at full speed" in minded) is said


@pytest.mark.parametrize("column", ["bypass_start_mode", "bypass_current_limit_xfla"])
def test_without_its_settings_it_can_t_be_told_and_its_protection_can(demo, tmp_path, column):
    made = tonight(blanked(demo, tmp_path / "plant.db", EASED[0], column), EASED[0], today=TODAY)
    assert made.answer == CANT_TELL
    assert column in made.to_read
    assert {"bypass/path-has-overload"} <= {part.rule for part in made.conditions if part.met}


def test_the_overload_of_a_standby_starter_is_held_against_the_motor_where_it_was_read(demo, tmp_path):
    unread = ask(demo, "A-3109")
    assert any("bypass_overload_set_a" in line for line in unread.mind)
    path = tmp_path / "plant.db"
    shutil.copy(demo.path, path)

    def with_setting(times):
        with opened(path, write=True) as db, writing(db, reason="read", author="test"):
            (fla,) = db.execute("SELECT fla_a FROM motor WHERE tag = 'A-3109'").fetchone()
            values = [round(times * fla, 1), "A-3109"]
            db.execute("UPDATE bypass SET bypass_overload_set_a = ?, bypass_trip_class = '20' WHERE tag = ?", values)
        made = tonight(path, "A-3109", today=TODAY)
        assert not any("bypass_overload_set_a" in line for line in made.mind)
        return made, {part.rule: part.met for part in made.conditions}

    # Source: NFPA 70, 430.32(A)(1) and (C): at most 125 % of the nameplate's current, never above 140 %.
    made, parts = with_setting(1.0)
    assert made.answer == CAN and parts["bypass/path-overload-set"] is True
    made, parts = with_setting(1.6)
    assert made.answer == CANNOT and parts["bypass/path-overload-set"] is False


def test_the_figures_are_those_of_the_study_of_that_start(demo):
    made = ask(demo, "M-1110")
    own = study(demo.path, "M-1110", way="failover")
    assert [f for f in own.start.figures if f in made.figures] == list(made.figures)


def test_the_dip_is_what_ohm_s_law_allows(demo):
    """A start across the line draws I through the source: the dip is at most I/I_sc."""
    motors = {r["tag"]: r for r in rows("motor")}
    checked = 0
    for tag in ("M-1110", "F-2133", "F-2135", "A-4140"):
        made = {f.name: f for f in ask(demo, tag).figures}
        bus = next(r for r in rows("position") if r["tag"] == tag)["bus"]
        own = next(r for r in rows("bus") if r["bus"] == bus)
        if BYPASS[tag]["bypass_starts_by"] != "across-the-line" or not own["transformer_kva"]:
            continue
        # Source: arithmetic; the transformer alone lets S/(√3·U·z) through at a short circuit.
        short_a = (
            float(own["transformer_kva"])
            * 1000
            / 3**0.5
            / float(own["bus_voltage_v"])
            / float(own["transformer_z_pct"])
            * 100
        )
        peak = made["peak_a"].value
        assert peak <= float(motors[tag]["fla_a"]) * 9
        assert 0.5 * peak / short_a < made["dip_pct"].value / 100 < 1.35 * peak / short_a
        checked += 1
    assert checked >= 2


def test_measured_only_leaves_the_stand_ins_out(demo):
    made = ask(demo, "A-3109", measured_only=True)
    assert not made.assumed
    assert not any(part.provisional for part in made.conditions)


def test_an_unknown_tag_is_refused_with_the_nearest(demo):
    with pytest.raises(StartrollError, match="did you mean"):
        ask(demo, "M-111O")


def test_every_part_is_plain_data(demo):
    from register.reports.json_data import plain

    assert "NaN" not in json.dumps(plain(ask(demo, "M-1110")))
