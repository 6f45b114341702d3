"""Slips of who types a value: asked at, and taken once they are said to be right; days that lie ahead."""

from datetime import date, timedelta

import pytest
from fan import TAG, make

from register.errors import StartrollError
from register.intake import correct, slips
from register.store import clock
from register.store.database import opened, writing


@pytest.fixture
def fan(tmp_path):
    """A fan of 485 kW at 460 V, 715 A, its device set to 715 A."""
    return make(tmp_path / "fan.db")


def entered(path, name, text, *, sure=False):
    with opened(path, write=True) as db, writing(db, reason="read again", author="mh"):
        return correct.set_value(db, TAG, name, text, sure=sure)


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        # A lost decimal mark; by √3 · 460 V · 0.86 (common practice) 485 kW take 708 A, two figures of it 710 A.
        ("fla_a", "71.5", "715 A, known so far, is 10 times it; a motor of 484.7"),
        ("fla_a", "7.15", "715 A, known so far, is 100 times it"),
        ("fla_a", "2000", "at 460 V takes about 710 A"),
        ("fla_set_a", "71.5", "known so far, is 10 times it; the motor's full-load current is 715 A"),
        ("load_inertia_kgm2", "1420 kg·m²", "it is 10 times 142 kg"),
    ],
)
def test_a_slip_is_asked_at_and_taken_when_it_is_right(fan, name, text, words):
    with pytest.raises(StartrollError, match="looks like a slip") as raised:
        entered(fan, name, text)
    assert words in str(raised.value) and "--sure" in str(raised.value)
    before, after = entered(fan, name, text, sure=True)
    assert before != after and after.startswith(text)


@pytest.mark.parametrize(("name", "text"), [("fla_a", "690"), ("fla_a", "650"), ("load_inertia_kgm2", "300 kg·m²")])
def test_what_may_well_be_is_not_asked_at(fan, name, text):
    assert entered(fan, name, text)[1].startswith(text)


def test_a_day_that_lies_ahead_is_refused_and_this_one_is_not(fan, monkeypatch):
    day = date(2026, 3, 2)
    monkeypatch.setattr(clock, "today", lambda db: day)
    ahead = (day + timedelta(days=1)).isoformat()
    with opened(fan, write=True) as db, writing(db, reason="papers", author="mh"):
        for enter in (
            lambda on: correct.add_record(db, TAG, "bump test", "passed", on=on, by="mh"),
            lambda on: correct.set_value(db, TAG, "motor_installed_on", on),
            lambda on: correct.move(db, "motor", "m650", TAG, on=on),
        ):
            with pytest.raises(StartrollError, match="2026-03-03 lies ahead, and on site it is 2026-03-02"):
                enter(ahead)
            assert "2026-03-02" in str(enter(day.isoformat()))
    assert set(slips.DONE_ON) <= {"done_on", *correct.COLUMNS}
