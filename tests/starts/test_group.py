"""A bus that comes back: dips of all at once and of a sequence, and who is left out."""

import pytest
from by_path import restart
from fan import TAG, make

from register.errors import StartrollError
from register.store.database import opened, writing

DIRECT = "UPDATE setting SET start_mode = 'direct'"


@pytest.fixture
def bus(tmp_path):
    """A bus with as many of the large fan as asked for, changed by some statements."""

    def of(count, *statements):
        path = make(tmp_path / "bus.db")
        with opened(path, write=True) as db, writing(db, reason="twins", author="mh"):
            for n in range(1, count):
                for table in ("position", "motor", "device", "setting", "protection", "bypass"):
                    row = next(db[table].rows_where("1 LIMIT 1"))
                    new = {"tag": f"F-65{n}", "motor": f"m65{n}", "device": f"d65{n}"}
                    db[table].insert(row | {k: v for k, v in new.items() if k in row})
            for sql in statements:
                db.conn.execute(sql)
        return path

    return of


def test_one_fan_alone_dips_the_bus_as_its_start_does(bus):
    made = restart(bus(1, DIRECT), "SWB-1")
    # Source: scipy's DOP853 on the same circuit: 0.9149 of the voltage is left.
    assert made.all_at_once_pct == pytest.approx(8.51, abs=0.02)
    assert [m.tag for m in made.sequence] == [TAG]
    assert made.sequence[0].dip_pct == pytest.approx(made.all_at_once_pct)


def test_two_at_once_dip_deeper_than_allowed_and_one_after_the_other_do_not(bus):
    made = restart(bus(2, DIRECT), "SWB-1", pause_s=3.0)
    # 1 − 1/|1 + 2z| with z the loading of one, whose size is nearly that of its 8.51 %: by hand
    # between 15 and 16 %.
    assert 15.0 < made.all_at_once_pct < 16.0
    first, second = made.sequence
    assert second.begins_s == pytest.approx(first.start_s + 3.0)
    assert all(m.dip_pct <= made.dip_limit_pct for m in made.sequence)
    # On a bus held at 90 % it takes longer than the 22.5 s of a start that lets it recover.
    assert first.start_s > 22.5


def test_those_that_need_no_person_are_counted_apart(bus):
    yes = "INSERT INTO control (tag, restarts_by_itself) VALUES ('F-651', 'yes'), ('F-652', 'no')"
    made = restart(bus(3, DIRECT, yes), "SWB-1")
    assert made.by_themselves_pct == pytest.approx(8.51, abs=0.02)
    assert {m.tag: m.by_itself for m in made.motors} == {TAG: None, "F-651": "yes", "F-652": "no"}


def test_who_is_left_out_and_why(bus):
    shallow = "UPDATE bus SET dip_limit_pct = 5"
    blank = "UPDATE motor SET power_kw = NULL, fla_a = NULL WHERE motor = 'm651'"
    made = restart(bus(2, DIRECT, shallow, blank), "SWB-1")
    why = {m.tag: (m.why_not, m.to_read) for m in made.left_out}
    assert why[TAG] == ("by itself it causes a deeper voltage dip than allowed", ())
    assert why["F-651"][0] == "too little is known" and "fla_a" in why["F-651"][1]
    assert made.sequence == ()


def test_a_limit_too_low_never_comes_up(bus):
    made = restart(bus(1), "SWB-1")
    assert "does not come up to speed" in made.left_out[0].why_not


def test_a_bus_of_which_nothing_is_known(bus):
    made = restart(bus(1, "UPDATE position SET load_curve = NULL, load_kind = NULL"), "SWB-1")
    assert (made.all_at_once_pct, made.by_themselves_pct, made.sequence) == (None, None, ())


def test_a_bus_that_is_not_there(fan):
    with pytest.raises(StartrollError, match="there is no bus"):
        restart(fan, "SWB-9")
