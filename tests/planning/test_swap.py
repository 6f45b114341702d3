"""A swap on the sample plant: what the audit says is outstanding, dry or done, and what it judges."""

from datetime import date

import pytest
from by_path import at_position, swap_at
from sample_plant import Sample

from register.errors import StartrollError
from register.intake.replace_device import Swap
from register.store.database import opened

TODAY = date(2026, 11, 25)
# A soft starter's place, and the spare of its own type.
TAG, SPARE = "C-002", "S12003402"
LEFT = {
    "start_mode": "current limit",
    "current_limit_xfla": 3.5,
    "fla_set_a": 41.1,
    "device_overload_set_a": 41.1,
    "device_trip_class": "10",
}
MADE_ANEW = {
    "bump-tested",
    "connections-verified",
    "safety-checks-done",
    "parameters-reviewed",
    "load-tested",
    "trip-tested",
}


@pytest.fixture
def path(tmp_path):
    return Sample("small-plant", tmp_path).path


def _spare(**more) -> Swap:
    return Swap(**{"tag": TAG, "out": "failed", "cause": "thyristor shorted", "stored": SPARE, "values": LEFT, **more})


def _verdicts(path) -> dict[str, str]:
    return {rule: outcome for rule, _, outcome, _ in at_position(path, TAG, today=TODAY)}


def test_every_check_of_first_power_up_is_owed_anew(path):
    made = swap_at(path, _spare(), today=TODAY, author="rk")
    owed = {o.rule.removeprefix("commissioning/") for o in made.repeated}
    assert owed >= MADE_ANEW
    assert "settings/recorded" not in {o.rule for o in made.outstanding}


def test_what_is_owed_is_what_an_audit_says(path):
    before = _verdicts(path)
    made = swap_at(path, _spare(), today=TODAY)
    now = _verdicts(path)
    assert {o.rule: o.outcome for o in made.outstanding} == {
        rule: word for rule, word in now.items() if word in ("failed", "cant-tell")
    }
    assert {o.rule: o.before for o in made.outstanding} == {o.rule: before[o.rule] for o in made.outstanding}
    for owed in made.outstanding:
        assert (owed.outcome == "failed") == bool(owed.sentence)
        assert (owed.outcome == "cant-tell") == bool(owed.to_read), owed


def test_a_dry_run_tells_the_same_and_keeps_nothing(path):
    with opened(path) as db:
        before = db.execute("SELECT * FROM device").fetchall(), db["change"].count
    dry = swap_at(path, _spare(), today=TODAY, dry=True)
    with opened(path) as db:
        assert (db.execute("SELECT * FROM device").fetchall(), db["change"].count) == before
        assert db["change_set"].count == 1
    done = swap_at(path, _spare(), today=TODAY)
    assert (dry.steps, dry.outstanding, dry.dry) == (done.steps, done.outstanding, True)


def test_settings_that_nobody_recorded_are_told(path):
    made = swap_at(path, _spare(stored="", model="ONV-B065E", values={}), today=TODAY)
    assert {"settings/recorded", "settings/recorded-since-device-change"} <= {o.rule for o in made.repeated}


def test_a_device_of_the_wrong_voltage_is_not_refused_but_told(path):
    with opened(path, write=True) as db:
        db.execute(
            "INSERT INTO model (model, device_kind, rated_current_a, voltage_min_v,"
            " voltage_max_v) VALUES ('LOW', 'soft starter', 65, 200, 240)"
        )
    made = swap_at(path, _spare(stored="", model="LOW", serial="N-1"), today=TODAY)
    (told,) = (o for o in made.new if o.rule == "sizing/voltage-covers-system")
    assert (told.outcome, told.grade) == ("failed", "major") and "240 V" in told.sentence


def test_a_swap_that_is_refused_changes_nothing(path):
    with pytest.raises(StartrollError, match="is installed at C-008"):
        swap_at(path, _spare(stored="O89580852"), today=TODAY)
    with opened(path) as db:
        assert db["change_set"].count == 1 and db["event"].count == 6
