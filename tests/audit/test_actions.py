"""Actions: assigned, closed with evidence, and confirmed by audits instead of believed.

That a closing counts only once it was verified is ISO 9001:2015, 10.2.1 d (reviewing the
effectiveness of a corrective action), quoted from memory.
"""

import hashlib
from datetime import date

import by_path
import pytest
from by_path import of_register
from years_plant import FIRST, edit

from register.errors import StartrollError

pytestmark = pytest.mark.usefixtures("only_verdicts")

RULE = "sizing/current-covers-motor"
DUE = date(2026, 2, 1)


def assign(path, rule=RULE, **how):
    asked = {"to": "ml", "due": DUE, "by": "rk", "today": FIRST} | how
    return by_path.assign(path, asked.pop("tag", "P-1"), rule, **asked)[0]


def close(path, number=1, **how):
    return by_path.close(path, number, **{"by": "ml", "today": FIRST} | how)


def state(path, today=FIRST):
    found = by_path.actions(path, today=today)
    return found[0].state, found[0].why


@pytest.fixture
def photo(tmp_path):
    path = tmp_path / "photo.jpg"
    path.write_bytes(b"the new device's plate")
    return path


def test_an_action_is_open_until_its_day_and_then_overdue(small):
    assign(small, task="fit the larger one")
    assert state(small, DUE)[0] == "open"
    assert state(small, date(2026, 2, 3)) == ("overdue", "due on 2026-02-01, 2 days ago")
    report = of_register(small, today=date(2026, 2, 3))
    assert [(a.state, a.task) for a in report.actions] == [("overdue", "fit the larger one")]


def test_closed_without_mending_it_is_closed_still_failing(small, photo):
    assign(small)
    made = close(small, file=photo)
    digest = hashlib.sha256(photo.read_bytes()).hexdigest()
    assert made.evidence == f"file: photo.jpg, SHA-256 {digest[:12]}…"
    assert state(small)[0] == "closed, unchecked"
    of_register(small, today=FIRST, keep_as="rk")
    assert state(small) == (
        "closed, still failing",
        "closed by ml on 2025-11-25; still failed in audit 1 of 2025-11-25",
    )


def test_mended_and_closed_it_is_confirmed_by_the_audit_that_saw_it(small, photo):
    of_register(small, today=FIRST, keep_as="rk")
    assign(small)
    edit(small, "UPDATE motor SET fla_a = 60 WHERE motor = 'M1'")
    close(small, file=photo)
    assert state(small)[0] == "closed, unchecked"
    assert of_register(small, today=FIRST).actions[0].state == "closed, confirmed"
    of_register(small, today=date(2026, 1, 5), keep_as="rk")
    assert state(small) == ("closed, confirmed", "closed by ml on 2025-11-25; passed in audit 2 of 2026-01-05")


def test_mended_and_not_closed_it_asks_for_its_closing(small):
    assign(small)
    edit(small, "UPDATE motor SET fla_a = 60 WHERE motor = 'M1'")
    of_register(small, today=FIRST, keep_as="rk")
    assert state(small, date(2027, 1, 1))[0] == "no longer failing"


def test_blanked_and_closed_it_cannot_be_told(small, photo):
    assign(small)
    edit(small, "UPDATE motor SET fla_a = NULL WHERE motor = 'M1'")
    close(small, file=photo)
    assert of_register(small, today=FIRST).actions[0].state == "closed, unknown"


def test_a_record_as_evidence_has_to_be_there_new_and_passed_and_to_stay(small):
    rule = "commissioning/thermography-current"
    assign(small, rule)
    with pytest.raises(StartrollError, match="is of 2024-01-10 and passed"):
        close(small, record="thermography")
    with pytest.raises(StartrollError, match="a load test shows nothing about"):
        close(small, record="load test")
    with pytest.raises(StartrollError, match="one of: connections verified"):
        close(small, record="x-ray")
    edit(
        small,
        "INSERT INTO record (tag, record_kind, done_on, result) VALUES ('P-1', 'thermography', '2025-12-01', 'passed')",
    )
    close(small, record="thermography", today=date(2025, 12, 2))
    day = date(2025, 12, 3)
    assert of_register(small, today=day).actions[0].state == "closed, confirmed"
    edit(small, "UPDATE record SET done_on = '2025-11-30' WHERE done_on = '2025-12-01'")
    assert of_register(small, today=day).actions[0].state == "closed, its record is gone"


def test_an_open_action_is_given_over_and_a_closed_one_is_assigned_anew(small, photo):
    assert assign(small) == assign(small, to="vj") == 1
    assert by_path.actions(small, today=FIRST)[0].assigned_to == "vj"
    close(small, file=photo)
    with pytest.raises(StartrollError, match="was closed by ml"):
        close(small, file=photo)
    assert assign(small) == 2


def test_what_cannot_be_assigned_or_closed_is_refused_with_all_reasons(small, tmp_path):
    with pytest.raises(StartrollError) as wrong:
        assign(small, "nameplate/frequency-fits-site", to=" ", due=date(2020, 1, 1), tag="P-2")
    assert len(wrong.value.problems) >= 2
    with pytest.raises(StartrollError, match="there is no action 9"):
        close(small, 9)
    assign(small)
    (tmp_path / "empty.jpg").touch()
    with pytest.raises(StartrollError, match="it is empty"):
        close(small, file=tmp_path / "empty.jpg")
    with pytest.raises(StartrollError, match="no evidence"):
        close(small)
    with pytest.raises(StartrollError, match="cannot be read"):
        close(small, file=tmp_path / "none.jpg")
