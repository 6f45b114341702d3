"""A maker's curve and a recorded start: entered, checked, used, and set beside the study."""

import re

import numpy as np
import pytest
from by_path import study
from fan import CLOSED, DIRECT, TAG, limit, make

from register.calc.recorded_current import recorded_of
from register.calc.start_shapes import BAND, CENTRE, LOW
from register.calc.study import Start
from register.errors import StartrollError
from register.intake.correct import set_value
from register.reports import panels, picture
from register.starts import enter_curve, load_case, model
from register.store.database import opened, writing

# The fan's own plate at standstill and at rated speed, and a curve of its own between.
POINTS = "speed_pct,torque_pct,current_xfla\n0,90,6.2\n30,84,6.0\n60,85,5.5\n85,125,4.6\n95,195,3.2\n99.33,100,1.0\n"


@pytest.fixture
def fan(tmp_path):
    return make(tmp_path / "fan.db")


def enter(path, what, *given, **more):
    with opened(path, write=True) as db, writing(db, reason="data sheet", author="mh"):
        return what(db, TAG, *given, **more)


def corrected(path, **values):
    with opened(path, write=True) as db, writing(db, reason="papers", author="mh"):
        for name, text in values.items():
            set_value(db, TAG, name, text)


def file(tmp_path, text):
    path = tmp_path / "points.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_makers_curve_is_used_and_has_no_band(fan, tmp_path):
    assert enter(fan, enter_curve.curve, file(tmp_path, POINTS)) == [TAG]
    made = study(fan, TAG, changes=DIRECT | CLOSED)
    assert made.certainty == "A"
    # By hand: at 60 % of speed the curve gives 85 % of full-load torque and 5.5 × FLA; no band of time is left.
    time = made.start.figure("time_s")
    # (The circuit's power factor, which the dip of the bus goes by, still differs by a hair.)
    assert (time.low, time.high) == pytest.approx((time.value, time.value), rel=1e-3)
    lowest = made.start.figure("lowest_limit_xfla")
    speeds = np.linspace(0, 97, 5000)
    pull = np.interp(speeds, [0, 30, 60, 85, 95, 99.33], [90, 84, 85, 125, 195, 100])
    drawn = np.interp(speeds, [0, 30, 60, 85, 95, 99.33], [6.2, 6.0, 5.5, 4.6, 3.2, 1.0])
    y = speeds / 99.33
    load = 3 + 42 * y**2 + 9 * np.maximum(0, 1 - y / 0.1)
    assert lowest.value == pytest.approx((drawn * np.sqrt(load / pull)).max(), rel=2e-3)
    assert (lowest.low, lowest.high) == pytest.approx((lowest.value, lowest.value), rel=1e-6)
    assert next(i for i in made.inputs if i.column == "maker_curve").origin.startswith("entered")


def test_what_is_wrong_with_a_curve_is_told_at_once_and_nothing_is_kept(fan, tmp_path):
    wrong = "speed_pct,torque_pct,current_xfla\n0,200,6.2\n60,85,5.5\n30,84,6.0\n"
    with pytest.raises(StartrollError) as raised:
        enter(fan, enter_curve.curve, file(tmp_path, wrong))
    told = str(raised.value)
    for words in (
        "3 points",
        "30 % follows 60 %",
        "it ends at 30 %",
        "torque at standstill is 200 %, by the nameplate 90",
    ):
        assert words in told, words
    with pytest.raises(StartrollError, match=r"no column current_xfla"):
        enter(fan, enter_curve.curve, file(tmp_path, "speed_pct,torque_pct\n0,90\n"))
    with pytest.raises(StartrollError, match=r"points.csv:3"):
        enter(fan, enter_curve.curve, file(tmp_path, "speed_pct,torque_pct,current_xfla\n0,90,6.2\n30,x,6\n"))
    assert study(fan, TAG, changes=DIRECT).certainty == "B"


def recorded(seconds):
    """A start of that length, switched on at 1 s."""
    time = np.linspace(0, seconds + 4, 400)
    amperes = np.where(time < 1, 0, np.where(time < seconds, 4000 - 20 * time, 500.0))
    return "time_s,current_a\n" + "".join(f"{t:.3f},{a:.1f}\n" for t, a in zip(time, amperes, strict=True))


def seen(path, **more):
    corrected(path, motor_installed_on="2020-01-01", device_installed_on="2020-01-01", **more)


def test_a_recorded_start_within_the_band_is_said_to_be(fan, tmp_path):
    seen(fan, start_mode="direct", load_torque_pct="45")
    taken, peak = enter(fan, enter_curve.start, file(tmp_path, recorded(20.0)), on="2026-06-02")
    # By hand: on at 1 s, down at 20 s.
    assert taken == pytest.approx(19.0, abs=0.1)
    assert peak == pytest.approx(4000 - 20 * 1.1, rel=0.01)
    made = study(fan, TAG)
    # By scipy on the circuits written out separately: 15.4 to 23.2 s.
    assert "This start was seen to work, as the study has it" in made.start.sayings[0]
    assert made.start.figure("measured_start_s").within


def test_a_recorded_start_outside_the_band_names_what_would_explain_it(fan, tmp_path):
    seen(fan, start_mode="direct", load_torque_pct="45")
    enter(fan, enter_curve.start, file(tmp_path, recorded(13.0)), on="2026-06-02")
    said = " ".join(study(fan, TAG).start.sayings)
    assert "Study and plant disagree: it was measured to take 12 s" in said
    # By hand: a direct start takes its time in proportion to inertia: 142 kg·m² · 12/17.67.
    assert f"an inertia of {142 * 12 / 17.67:.2g} kg·m²" in said
    assert study(fan, TAG).start.figure("measured_start_s").within is False


def test_a_start_that_was_seen_is_not_called_impossible(fan):
    seen(fan, current_limit_xfla="3.5", load_torque_pct="45", hot_stall_s="60", device_trip_class="40")
    corrected(fan, measured_start_on="2026-06-02", measured_start_s="60 s")
    seen_, unseen = study(fan, TAG), study(fan, TAG, changes=limit(3.5))
    assert "seen to work" in seen_.start.sayings[0]
    assert "seen to work" not in " ".join(unseen.start.sayings), "what is tried was never seen"


def test_a_record_that_is_no_start_is_refused(fan, tmp_path):
    short = "time_s,current_a\n0,4000\n1,3900\n2,3800\n"
    with pytest.raises(StartrollError, match="not up to speed"):
        enter(fan, enter_curve.start, file(tmp_path, short), on="2026-06-02")
    with pytest.raises(StartrollError, match="never comes to"):
        enter(fan, enter_curve.start, file(tmp_path, "time_s,current_a\n0,400\n1,390\n"), on="2026-06-02")


def course_of(path, shape, **times):
    """A recording of the start as it is with these facts so many times what is entered, switched on at 2 s."""
    with opened(path) as db:
        start = load_case.at(db, TAG, {}).start(model.OWN)
    for name, by in times.items():
        start.facts[name] = start.facts[name] * by
    start = Start(start.facts, start.control)
    march = start.march(start.machine(shape))
    seconds = np.arange(0, march.start_s[0] + 5, 0.05)
    amperes = 715 * np.interp(seconds - 2, march.time[:, 0], march.current[:, 0])
    amperes = np.where(seconds < 2, 0.0, np.where(seconds - 2 > march.start_s[0], 400.0, amperes))
    # A clamp that reads 2 % low and trembles by 1 %.
    amperes *= 0.98 + 0.01 * np.sin(7 * seconds)
    return "time_s,current_a\n" + "".join(f"{t:.3f},{a:.1f}\n" for t, a in zip(seconds, amperes, strict=True))


INERTIA = ("load_inertia_kgm2", "rotor_inertia_kgm2")
LOAD = ("load_torque_pct", "load_breakaway_pct")


@pytest.mark.parametrize("shape", BAND)
def test_the_current_of_each_shape_lies_in_the_band(fan, tmp_path, shape):
    seen(fan, start_mode="direct", load_torque_pct="45")
    enter(fan, enter_curve.start, file(tmp_path, course_of(fan, shape)), on="2026-06-02")
    made = study(fan, TAG).start
    assert "as the study has it" in made.sayings[0]
    assert made.figure("measured_current").within
    assert (made.record.low_xfla <= made.record.high_xfla).all()


@pytest.mark.parametrize("shape", BAND)
@pytest.mark.parametrize(
    ("names", "by", "words", "value"),
    # Of 142 kg·m², 480 V and 45 %: what the recording was made with.
    [
        (INERTIA, 1.6, "an inertia of", 142 * 1.6),
        (INERTIA, 0.55, "an inertia of", 142 * 0.55),
        (("bus_voltage_v",), 0.86, "a bus voltage of", 480 * 0.86),
        (LOAD, 1.75, "a load torque of", 45 * 1.75),
    ],
)
def test_a_recorded_current_tells_which_value_is_wrong(fan, tmp_path, shape, names, by, words, value):
    seen(fan, start_mode="direct", load_torque_pct="45")
    before = study(fan, TAG).start.figure("time_s")
    enter(fan, enter_curve.start, file(tmp_path, course_of(fan, shape, **dict.fromkeys(names, by))), on="2026-06-02")
    made = study(fan, TAG).start
    if (names, shape) == (LOAD, LOW):
        # A motor at the low end of the band hides a load so heavy.
        assert made.figure("measured_current").within and "as the study has it" in made.sayings[0]
        return
    assert not made.figure("measured_current").within
    (said,) = [text for text in made.sayings if text.startswith("What would reconcile them")]
    found = re.match(rf"What would reconcile them: {words} ([\d.]+) .*by the course of the current", said)
    assert found, said
    assert float(found[1]) == pytest.approx(value, rel=0.08)
    # Nothing was changed by it.
    assert made.figure("time_s") == before


def test_where_a_recorded_current_leaves_the_band_is_said(fan, tmp_path):
    seen(fan, start_mode="direct", load_torque_pct="45")
    enter(fan, enter_curve.start, file(tmp_path, course_of(fan, CENTRE, load_inertia_kgm2=2.0)), on="2026-06-02")
    made = study(fan, TAG).start
    words = made.figure("measured_current").value
    # By hand: (10 + 284)/152 of the inertia takes so many times the 17.7 s. It leaves the band, of 15.4 to 23.2 s, while
    # the current of the motors in it falls; the farthest is what it still draws where they run.
    begins, ends = map(float, re.match(r"from ([\d.]+) to ([\d.]+) s above it by up to [34]\.\d × FLA", words).groups())
    assert 15.4 < begins < 23.2 and ends == pytest.approx(17.7 * 294 / 152, rel=0.03)
    assert f"The recorded current lies outside the study's band: {words}." in made.sayings
    assert "Study and plant disagree: it was measured to take 34" in made.sayings[0]


def test_a_curve_of_another_start_than_the_time_beside_it_is_left_aside(fan, tmp_path):
    seen(fan, start_mode="direct", load_torque_pct="45")
    enter(fan, enter_curve.start, file(tmp_path, course_of(fan, CENTRE, load_inertia_kgm2=2.0)), on="2026-06-02")
    corrected(fan, measured_start_s="17 s")
    made = study(fan, TAG).start
    assert not made.has("measured_current") and made.record is None
    assert "as the study has it" in made.sayings[0]


def test_a_recorded_current_is_drawn_with_its_band(fan, tmp_path):
    seen(fan, start_mode="direct", load_torque_pct="45")
    enter(fan, enter_curve.start, file(tmp_path, course_of(fan, CENTRE, load_inertia_kgm2=2.0)), on="2026-06-02")
    made = study(fan, TAG)
    current, *_ = panels.of_study(made).below
    assert [line.label for line in current.lines] == ["line current", "recorded", "band", ""]
    assert current.x_end >= made.start.record.time_s[-1] > made.start.course.time_s[-1]
    assert b"recorded" in picture.drawn(panels.of_study(made), "svg")


def test_of_a_long_recording_the_start_is_kept(fan, tmp_path):
    seen(fan, start_mode="direct", load_torque_pct="45", load_inertia_kgm2="2 kg·m²")
    time = np.arange(0, 300, 0.02)
    amperes = np.interp(time, [100, 100.02, 101.2, 101.4, 300], [0, 4100, 3000, 400, 390])
    text = "time_s,current_a\n" + "".join(f"{t:.2f},{a:.1f}\n" for t, a in zip(time, amperes, strict=True))
    taken, _ = enter(fan, enter_curve.start, file(tmp_path, text), on="2026-06-02")
    with opened(fan) as db:
        kept = load_case.at(db, TAG, {}).values["measured_start_curve"]
    found = recorded_of(kept, 715.0)
    assert len(kept.split(";")) <= 200 and found.start_s == pytest.approx(taken, rel=0.01)
    assert found.running_xfla == pytest.approx(400 / 715, rel=0.01)


def test_a_recorded_current_of_a_start_that_may_stall_is_compared_too(fan, tmp_path):
    # By scipy on the circuits written out separately: the lowest limit is 3.00 × FLA, from 2.36 to 3.42.
    seen(fan, current_limit_xfla="3.2", load_torque_pct="45", hot_stall_s="60", device_trip_class="40")
    enter(fan, enter_curve.start, file(tmp_path, course_of(fan, LOW)), on="2026-06-02")
    made = study(fan, TAG).start
    assert made.figure("outcome").value == "may stall" and made.figure("measured_current").within
    assert made.sayings[0].startswith("By the study it may stall; a start that was seen to work")
