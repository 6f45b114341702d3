"""Every due date against thirty lines of calendar arithmetic that share no code with the program."""

import calendar
import csv
import random
from datetime import date

import pytest

from register.maintenance.due import due_list
from register.maintenance.model import CANT_TELL, DUE, LATER, OVERDUE
from register.resources import rules_folder
from register.store.database import opened, writing

TODAY, UNTIL = date(2026, 11, 25), date(2027, 6, 30)
DEVICE_TASKS = {
    "visual inspection", "cleaning", "thermography", "connections verified", "contact resistance test", "trip test",
    "parameter backup",
}  # fmt: skip


def expected(db, tag, task, conditions):
    """(earliest, latest) day of a task, by plain calendar arithmetic; None where nothing bounds it."""
    with (rules_folder() / "tables" / "maintenance-intervals.csv").open(encoding="utf-8") as file:
        lines = [line for line in file if not line.startswith("#")]
    of_lineup = tag.startswith("bus ")
    row = next(
        r for r in csv.DictReader(lines)
        if r["task"] == task and (r["about"] in ("lineup", "main breaker")) is of_lineup
    )  # fmt: skip
    months = {c: int(row[f"condition_{c}_months"] or 0) or None for c in (1, 2, 3)}
    asset = "device" if task in DEVICE_TASKS else "motor" if task == "insulation test" else None
    since = None
    if asset and not of_lineup:
        sql = f"SELECT {asset}_installed_on FROM {asset} WHERE tag = ? AND {asset}_status IS NOT 'scrapped'"
        since = db.execute(sql, [tag]).fetchone()[0]
    done = [
        (day, result)
        for day, result in db.execute(
            f"SELECT done_on, result FROM record WHERE {'bus' if of_lineup else 'tag'} = ? AND record_kind = ?"
            " ORDER BY done_on, record_id",
            [tag.removeprefix("bus "), task],
        )
        if result != "not done" and day <= TODAY.isoformat() and day >= (since or "")
    ]
    if done and done[-1][1] == "failed":
        return date.fromisoformat(done[-1][0]), date.fromisoformat(done[-1][0])
    base = done[-1][0] if done else since
    if base is None:
        return None, None
    shortest, longest = [], []
    for condition in conditions:
        exact = months[condition]
        shortest.append(exact or max([m for c, m in months.items() if m and c > condition], default=0))
        longest.append(exact or min([m for c, m in months.items() if m and c < condition], default=10**6))
    return later(base, min(shortest)), later(base, max(longest))


def later(base, months):
    year, month, day = map(int, base.split("-"))
    if not 0 < months < 10**6:
        return None
    year, month = year + (month - 1 + months) // 12, (month - 1 + months) % 12 + 1
    return date(year, month, min(day, calendar.monthrange(year, month)[1]))


def _iso(day):
    return day.isoformat() if day else ""


def _state(earliest, latest):
    if latest and latest < TODAY:
        return OVERDUE
    if earliest and earliest > UNTIL:
        return LATER
    return DUE if earliest and latest and earliest >= TODAY and latest <= UNTIL else CANT_TELL


def _checked(db):
    """Each task compared; how many there were. Conditions are those that the program tells, with tests of their own."""
    from register.maintenance.conditions import conditions

    possible = {one.tag: one.possible for one in conditions(db, today=TODAY)}
    made = due_list(db, today=TODAY, until=UNTIL)
    count = 0
    for item in made.items:
        if item.needs == "in store" or (item.read and item.read[0] in APPLIES):
            continue
        earliest, latest = expected(db, item.tag, item.what, possible[item.tag])
        assert (item.earliest_on, item.latest_on) == (_iso(earliest), _iso(latest)), item
        assert item.state == _state(earliest, latest), item
        count += 1
    return count, made


# Where the register does not say that there is one, no day is told.
APPLIES = {"device", "motor", "device_kind", "overload_place", "protection_kind", "bypass_arrangement",
           "emergency_stop", "hazardous_area", "main_kind"}  # fmt: skip


def test_every_due_date_of_the_sample_plants(sample):
    with opened(sample.path) as db:
        count, made = _checked(db)
        assert count > 150 and {item.state for item in made.items} == {OVERDUE, DUE, LATER, CANT_TELL}


@pytest.fixture
def spoilt(demo):
    """The demo plant, in which leap days, moves, retired positions and changed conditions are entered."""
    with demo.copy() as db:
        yield db


def _of(db, tag, task):
    return next((i for i in due_list(db, today=TODAY, until=UNTIL).items if (i.tag, i.what) == (tag, task)), None)


def _done(db, tag, task, day, result="passed"):
    with writing(db, reason="test"):
        db.execute(
            "INSERT INTO record (tag, record_kind, done_on, result) VALUES (?, ?, ?, ?)", [tag, task, day, result]
        )


LINEUP_TASKS = (
    "thermography", "visual inspection", "cleaning", "connections verified", "insulation test", "breaker test",
)  # fmt: skip


def _on_lineups(db):
    """Records of every lineup: leap days, ends of months, failed and not done ones, days ahead; some tasks have none."""
    drawn = random.Random(7)
    days = ["2024-02-29", "2026-08-31", "2025-12-31", "2026-02-28", "2024-11-24", "2026-12-24", "2023-06-15"]
    buses = [bus for (bus,) in db.execute("SELECT bus FROM bus ORDER BY bus").fetchall()]
    for bus in buses:
        with writing(db, reason="test"):
            for task in LINEUP_TASKS:
                for day in drawn.sample(days, drawn.randint(0, 3)):
                    result = drawn.choice(["passed", "passed", "passed", "failed", "not done"])
                    db.execute(
                        "INSERT INTO record (bus, record_kind, done_on, result) VALUES (?, ?, ?, ?)",
                        [bus, task, day, result],
                    )
    return buses


def test_every_due_date_of_the_lineups(sample):
    with sample.copy() as db:
        buses = _on_lineups(db)
        for number, bus in enumerate(buses):  # conditions entered, each in turn, and those that are proposed
            value = (None, "1", "2", "3")[number % 4]
            names = [f"bus_{name}_condition" for name in ("physical", "criticality", "environment")]
            db.execute(f"UPDATE bus SET {' = ?, '.join(names)} = ? WHERE bus = ?", [value, value, value, bus])
        _, made = _checked(db)
        own = [item for item in made.items if item.subject == "bus"]
        assert {item.tag for item in own} == {f"bus {bus}" for bus in buses}
        assert {item.what for item in own} == set(LINEUP_TASKS) and len(own) == len(LINEUP_TASKS) * len(buses)
        assert {item.state for item in own} >= {OVERDUE, CANT_TELL} and sum(bool(item.on) for item in own) > len(buses)
        needs = {item.what: item.needs for item in own}
        assert needs.pop("thermography") == "running" and set(needs.values()) == {"outage of the lineup"}


def test_a_record_of_a_lineup_counts_for_no_position_and_the_reverse(demo):
    with demo.copy() as db:
        before = {(i.tag, i.what): i for i in due_list(db, today=TODAY, until=UNTIL, bus="MCC-21").items}
        with writing(db, reason="test"):
            db.execute(
                "INSERT INTO record (bus, record_kind, done_on, result) VALUES ('MCC-21', 'cleaning', '2026-11-20', 'passed')"
            )
        after = {(i.tag, i.what): i for i in due_list(db, today=TODAY, until=UNTIL, bus="MCC-21").items}
    changed = {key for key, item in after.items() if item != before[key]}
    assert changed == {("bus MCC-21", "cleaning")}
    assert before["bus MCC-21", "cleaning"].read == ("the last cleaning",)
    assert after["bus MCC-21", "cleaning"].last_on == "2026-11-20"


def test_a_lineup_is_of_the_area_of_all_its_positions(demo):
    with demo.copy() as db:
        db.execute("UPDATE position SET area = 'Here' WHERE bus = 'MCC-21'")
        here = due_list(db, today=TODAY, until=UNTIL, area="Here").items
        assert {i.tag for i in here if i.subject == "bus"} == {"bus MCC-21"}
        db.execute(
            "UPDATE position SET area = 'There' WHERE tag = (SELECT min(tag) FROM position WHERE bus = 'MCC-21')"
        )
        assert not [i for i in due_list(db, today=TODAY, until=UNTIL, area="Here").items if i.subject == "bus"]
        whole = due_list(db, today=TODAY, until=UNTIL).items
        assert [i.area for i in whole if i.tag == "bus MCC-21"] == [""] * len(LINEUP_TASKS)


def _set(db, table, tag, **values):
    with writing(db, reason="test"):
        sets = ", ".join(f"{name} = ?" for name in values)
        db.execute(f"UPDATE {table} SET {sets} WHERE tag = ?", [*values.values(), tag])


def test_leap_days_and_the_end_of_a_month(spoilt):
    _set(spoilt, "position", "P-2117", physical_condition="3")
    _set(spoilt, "device", "P-2117", device_installed_on="2020-01-01")
    spoilt.execute("DELETE FROM record WHERE tag = 'P-2117'")
    _done(spoilt, "P-2117", "thermography", "2026-08-31")  # 6 months: the last day of February
    assert _of(spoilt, "P-2117", "thermography").on == "2027-02-28"
    _set(spoilt, "position", "P-2117", physical_condition="1", criticality="ordinary", device_place="indoor")
    _done(spoilt, "P-2117", "cleaning", "2024-02-29")  # 12 months from a leap day
    assert _of(spoilt, "P-2117", "cleaning").on == "2025-02-28"
    _done(spoilt, "P-2117", "connections verified", "2026-02-28")  # 24 months into a leap year: the 28th, not the 29th
    assert _of(spoilt, "P-2117", "connections verified").on == "2028-02-28"
    assert _checked(spoilt)[0] > 1000


def test_a_task_never_recorded_counts_from_the_installation_or_is_unknown(spoilt):
    spoilt.execute("DELETE FROM record WHERE tag = 'P-2117'")
    _set(spoilt, "device", "P-2117", device_installed_on="2026-06-30")
    item = _of(spoilt, "P-2117", "thermography")
    assert (item.last_on, item.counted_from, item.latest_on) == ("", "2026-06-30", "2027-06-30")
    _set(spoilt, "device", "P-2117", device_installed_on=None)
    item = _of(spoilt, "P-2117", "thermography")
    assert (item.state, item.on, item.read) == (CANT_TELL, "", ("device_installed_on",))
    assert _of(spoilt, "P-2117", "emergency stop test").read == ("the last emergency stop test",)


def test_a_check_not_done_does_not_count_and_a_failed_one_is_due_at_once(spoilt):
    _set(spoilt, "device", "P-2117", device_installed_on="2020-01-01")
    _done(spoilt, "P-2117", "thermography", "2026-10-01")
    before = _of(spoilt, "P-2117", "thermography")
    _done(spoilt, "P-2117", "thermography", "2026-11-02", "not done")
    assert _of(spoilt, "P-2117", "thermography") == before and before.last_on == "2026-10-01"
    _done(spoilt, "P-2117", "thermography", "2026-11-03", "failed")
    item = _of(spoilt, "P-2117", "thermography")
    assert (item.state, item.on) == (OVERDUE, "2026-11-03") and "do it again" in item.why


def test_a_moved_device_leaves_its_records_at_the_place(spoilt):
    _done(spoilt, "P-2117", "cleaning", "2026-10-01")
    _set(spoilt, "device", "P-2117", device_installed_on="2026-10-15")
    item = _of(spoilt, "P-2117", "cleaning")
    assert (item.last_on, item.counted_from) == ("", "2026-10-15")
    # What stays with the place keeps its record.
    _done(spoilt, "P-2117", "emergency stop test", "2026-10-01")
    assert _of(spoilt, "P-2117", "emergency stop test").last_on == "2026-10-01"
    serial = spoilt.execute("SELECT device FROM device WHERE tag = 'P-2117'").fetchone()[0]
    with writing(spoilt, reason="moved"):
        spoilt.execute("UPDATE device SET tag = NULL, device_status = 'in store' WHERE device = ?", [serial])
    assert _of(spoilt, "P-2117", "cleaning").state == CANT_TELL  # the register says of no device there
    assert _of(spoilt, serial, "spare inspection") is not None


def test_a_retired_position_has_nothing_due(spoilt):
    from register.intake.undo import retire

    with writing(spoilt, reason="taken down"):
        retire(spoilt, "P-2117")
    assert not [i for i in due_list(spoilt, today=TODAY, until=UNTIL).items if i.tag == "P-2117"]


def test_a_changed_condition_counts_from_the_day_last_done(spoilt):
    _set(spoilt, "device", "P-2117", device_installed_on="2020-01-01")
    _set(spoilt, "position", "P-2117", physical_condition="2", criticality_condition="1", environment_condition="1")
    _done(spoilt, "P-2117", "thermography", "2026-11-20")
    assert _of(spoilt, "P-2117", "thermography").on == "2027-11-20"
    _set(spoilt, "position", "P-2117", physical_condition="3")
    assert _of(spoilt, "P-2117", "thermography").on == "2027-05-20"
    assert spoilt.execute("SELECT count(*) FROM change WHERE after LIKE '%physical_condition%'").fetchone()[0] >= 1


def test_filling_a_blank_condition_decides_and_never_turns(demo):
    """Overdue by the longest interval stays so, and later by the shortest, whatever the condition turns out to be."""
    with demo.copy() as db:
        db.execute("UPDATE position SET physical_condition = '1', environment_condition = '1'")
        db.execute("UPDATE position SET service_kind = 'process', criticality = NULL")
        unknown = {(i.tag, i.what): i for i in due_list(db, today=TODAY, until=UNTIL).items}
        assert {i.state for i in unknown.values()} >= {OVERDUE, CANT_TELL, LATER}
        assert any(i.read == ("criticality",) for i in unknown.values())
        for condition in "123":
            db.execute("UPDATE position SET criticality_condition = ?", [condition])
            for item in due_list(db, today=TODAY, until=UNTIL).items:
                was = unknown[item.tag, item.what]
                assert was.state in (item.state, CANT_TELL), (was, item)
