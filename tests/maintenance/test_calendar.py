"""The calendar file read back by two other libraries; a second one brings the first up to date."""

from datetime import date

import ics
import pytest
import vobject

from register.errors import StartrollError
from register.maintenance.due import due_list, until_day
from register.maintenance.model import DUE, OVERDUE
from register.reports.due_calendar import due_calendar
from register.store.database import writing

TODAY, UNTIL = date(2026, 11, 25), date(2027, 6, 30)


def _made(db, today=TODAY):
    return due_list(db, today=today, until=UNTIL, bus="MCC-51")


def test_another_library_reads_every_entry(demo):
    with demo.copy() as db:
        made = _made(db)
        shown = [i for i in made.items if i.state in (OVERDUE, DUE)]
        text = due_calendar(made).decode()
        entries = ics.Calendar(text).events
        assert len(shown) > 5 and len({e.uid for e in entries}) == len(entries) == len(shown)
        assert sorted(e.begin.date().isoformat() for e in entries) == sorted(i.on for i in shown)
        assert all(e.all_day for e in entries)
        other = vobject.readOne(text)
        other.validate()
        assert {e.uid.value for e in other.vevent_list} == {e.uid for e in entries}
        assert max(len(line.encode()) for line in text.split("\r\n")) <= 75  # RFC 5545, 3.1


def test_a_second_file_updates_and_does_not_double(demo):
    with demo.copy() as db:
        first = due_calendar(_made(db))
        assert due_calendar(_made(db)) == first, "the same list gives the same bytes"
        item = next(i for i in _made(db).items if i.what == "thermography" and i.state == OVERDUE)
        with writing(db, reason="done"):
            db.execute(
                "INSERT INTO record (tag, record_kind, done_on, result) VALUES (?, ?, '2026-11-26', 'passed')",
                [item.tag, item.what],
            )
        second = due_calendar(due_list(db, today=date(2026, 11, 27), until=date(2028, 6, 30), bus="MCC-51"))
    before, after = ({e.uid.value: e for e in vobject.readOne(data.decode()).vevent_list} for data in (first, second))
    moved = [uid for uid in before.keys() & after.keys() if before[uid].dtstart.value != after[uid].dtstart.value]
    assert [after[uid].summary.value for uid in moved] == [f"{item.tag} thermography"]
    assert after.keys() >= before.keys()
    assert all(int(after[u].sequence.value) == int(before[u].sequence.value) + 2 for u in before)


def test_the_work_of_a_lineup_is_an_entry_of_its_own_that_moves_and_says_what_it_needs(demo):
    with demo.copy() as db:
        names = ", ".join(f"bus_{name}_condition = '1'" for name in ("physical", "criticality", "environment"))
        db.execute(f"UPDATE bus SET {names}")
        found = []
        for day in ("2026-01-10", "2026-02-20"):
            with writing(db, reason="done"):
                db.execute(
                    "INSERT INTO record (bus, record_kind, done_on, result) VALUES ('MCC-51', 'cleaning', ?, 'passed')",
                    [day],
                )
            entries = vobject.readOne(due_calendar(_made(db)).decode()).vevent_list
            found += [e for e in entries if e.summary.value == "bus MCC-51 cleaning"]
    first, second = found
    assert (first.uid.value, str(first.dtstart.value)) == (second.uid.value, "2027-01-10")
    assert str(second.dtstart.value) == "2027-02-20" and second.location.value.startswith("MCC-51")
    told = second.description.value
    assert "outage of the lineup" in told and "qualified people" in told and "permit" in told and "Local rules" in told


@pytest.mark.parametrize(
    ("text", "day"),
    [("2027-06", "2027-06-30"), ("2028-02", "2028-02-29"), ("2027-06-15", "2027-06-15"), (None, "2027-01-24")],
)
def test_until_a_month_or_a_day(text, day):
    assert until_day(text, TODAY).isoformat() == day


@pytest.mark.parametrize(("text", "told"), [("soon", "is not a day or a month"), ("2026-10", "is past")])
def test_until_what_is_no_day_or_past_is_refused(text, told):
    with pytest.raises(StartrollError, match=told):
        until_day(text, TODAY)


def test_actions_and_concessions_are_in_the_same_list(demo):
    with demo.copy() as db:
        with writing(db, reason="test"):
            db.execute(
                "INSERT INTO action (tag, against_rule, assigned_to, assigned_on, due_on) VALUES"
                " ('P-2117', 'overload/present', 'rk', '2026-11-01', '2026-12-20')"
            )
            db.execute(
                "INSERT INTO concession (rule, tag, reason, asked_by, asked_on, expires_on, decision) VALUES"
                " ('overload/present', 'P-2117', 'r', 'rk', '2026-01-01', '2027-01-20', 'approved'),"
                " ('overload/present', 'P-2119', 'r', 'rk', '2026-01-01', '2026-11-20', 'approved'),"
                " ('overload/present', 'P-2118', 'r', 'rk', '2026-01-01', '2025-01-20', 'approved')"
            )
        made = due_list(db, today=TODAY, until=until_day(None, TODAY))
    told = {(i.kind, i.tag): (i.state, i.on, made.ahead(i)) for i in made.items if i.kind != "task"}
    assert told == {
        ("action", "P-2117"): (DUE, "2026-12-20", "30 days"),
        ("concession", "P-2117"): (DUE, "2027-01-20", "60 days"),
        ("concession", "P-2119"): (OVERDUE, "2026-11-20", "overdue"),
    }
