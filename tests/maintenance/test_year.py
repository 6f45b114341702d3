"""What a year showed: each due day that fell in it counted by hand; shares against scipy."""

from datetime import date

import pytest
from scipy.stats import binomtest

from register.maintenance import year
from register.maintenance.intervals import intervals
from register.maintenance.year import task_year, year_of_work
from register.store.database import writing

TODAY = date(2026, 11, 25)
CLEANING = next(row for row in intervals() if row.task == "cleaning")
BREAKER = next(row for row in intervals() if row.task == "breaker test")


def _year(db, tag, *days):
    """Counts of thermography (every 12 months) at one position that has no other record."""
    db.execute("DELETE FROM record")
    db.execute("UPDATE position SET area = 'Other' WHERE tag <> ?", [tag])
    db.execute(
        "UPDATE position SET area = 'Here', physical_condition = '1', criticality_condition = '1',"
        " environment_condition = '1' WHERE tag = ?",
        [tag],
    )
    # Its lineup has positions of another area too, so that its own tasks count for none.
    db.execute("UPDATE device SET device_installed_on = '2015-01-01' WHERE tag = ?", [tag])
    _long_ago(db)
    return _again(db, tag, *days)


def _long_ago(db):
    """What was changed so far was so before all days of these tests."""
    db.execute("UPDATE change SET at = '2015-01-01T12:00:00.000Z'")


def _again(db, tag, *days):
    """The same, once more, with records of these days."""
    with writing(db, reason="test"):
        db.conn.executemany(
            "INSERT INTO record (tag, record_kind, done_on, result) VALUES (?, 'thermography', ?, 'passed')",
            [(tag, day) for day in days],
        )
    made = year_of_work(db, today=TODAY)
    return next(((a.on_time, a.late, a.missed, a.unknown) for a in made.areas if a.area == "Here"), None)


@pytest.mark.parametrize(
    ("days", "counts"),
    [
        (["2025-03-01", "2026-02-20"], (1, 0, 0, 0)),  # due on 1 March 2026, done before
        (["2025-03-01", "2026-03-01"], (1, 0, 0, 0)),  # on the day
        (["2025-03-01", "2026-03-02"], (0, 1, 0, 0)),
        (["2025-03-01"], (0, 0, 1, 0)),
        (["2024-11-24", "2025-12-01"], None),  # due on 24 November 2025: the day before the year begins
        (["2024-11-25", "2025-12-01"], (0, 1, 0, 0)),
        (["2024-11-25", "2025-11-25"], (1, 0, 0, 0)),  # the second is due today, and can still be done
        (["2025-11-26"], None),  # due tomorrow
    ],
)
def test_each_day_that_fell_due_counts_once(demo, days, counts):
    with demo.copy() as db:
        assert _year(db, "P-2117", *days) == counts


def test_the_tasks_of_a_lineup_count_in_its_area_and_apart_from_those_of_positions(demo):
    with demo.copy() as db:
        _year(db, "P-2117", "2025-03-01", "2026-02-20")
        db.execute("UPDATE position SET area = 'Here' WHERE bus = 'MCC-21'")
        names = [f"bus_{name}_condition = '1'" for name in ("physical", "criticality", "environment")]
        db.execute(f"UPDATE bus SET {', '.join(names)}")
        _long_ago(db)
        with writing(db, reason="test"):
            for bus, day, result in (
                ("MCC-21", "2025-01-10", "passed"), ("MCC-21", "2026-02-01", "failed"), ("MCC-31", "2026-02-01", "passed"),
            ):  # fmt: skip
                db.execute(
                    "INSERT INTO record (bus, record_kind, done_on, result) VALUES (?, 'cleaning', ?, ?)",
                    [bus, day, result],
                )
        made = year_of_work(db, today=TODAY, area="Here")
    (here,) = made.areas
    assert (here.on_time, here.late, here.missed) == (1, 1, 0)  # the position's thermography, the lineup's cleaning
    done = {(t.task, t.about): (t.done, t.failed) for t in made.tasks if t.done}
    assert done == {("thermography", "starting device"): (1, 0), ("cleaning", "lineup"): (1, 1)}


@pytest.mark.parametrize(
    ("moved", "days", "counts"),
    [
        # Every 12 months in conditions 1 and 2, every 6 in condition 3.
        ([("2026-06-01", "1", "3")], ["2025-03-01", "2026-02-20"], (1, 0, 1, 0)),  # due on 20 August, in condition 3
        ([("2026-10-01", "1", "3")], ["2026-02-20"], (0, 0, 1, 0)),  # 6 months are over on the day it was changed
        ([("2026-10-01", "1", "3")], ["2026-02-20", "2026-10-01"], (1, 0, 0, 0)),
        ([("2026-10-01", "1", "3")], ["2026-02-20", "2026-10-02"], (0, 1, 0, 0)),
        ([("2026-01-10", "3", "1")], ["2025-09-01", "2026-03-02"], (1, 0, 0, 0)),  # relaxed in time: due in September
        ([("2026-04-10", "3", "1")], ["2025-09-01", "2026-03-02"], (0, 1, 0, 0)),  # due on 1 March, relaxed after it
        # Relaxed and taken back before 1 March; the next was due on 1 September.
        ([("2026-01-10", "3", "1"), ("2026-02-10", "1", "3")], ["2025-09-01", "2026-03-01"], (1, 0, 1, 0)),
    ],
)
def test_a_due_day_goes_by_the_condition_that_was_entered_then(demo, moved, days, counts):
    with demo.copy() as db:
        _year(db, "P-2117")
        db.execute("UPDATE position SET physical_condition = ? WHERE tag = 'P-2117'", [moved[0][1]])
        _long_ago(db)
        for day, _, after in moved:
            last = db.execute("SELECT max(change_id) FROM change").fetchone()[0]
            db.execute("UPDATE position SET physical_condition = ? WHERE tag = 'P-2117'", [after])
            db.execute("UPDATE change SET at = ? WHERE change_id > ?", [f"{day}T18:00:00.000Z", last])
        assert _again(db, "P-2117", *days) == counts


@pytest.mark.parametrize("share", [(0, 58), (0, 57), (3, 10), (30, 100), (1, 200), (2, 40)])
def test_the_share_found_is_scipys(share):
    failed, done = share
    made = task_year(CLEANING, ["failed"] * failed + ["passed"] * (done - failed))
    assert (made.low, made.high) == pytest.approx(tuple(binomtest(failed, done).proportion_ci(0.90)))
    assert (made.done, made.failed) == (done, failed)


def test_what_a_share_speaks_for():
    def said(row, failed, done):
        return task_year(row, ["failed"] * failed + ["passed"] * (done - failed)).proposal

    # None of 59 has an upper end of 1 - 0.05^(1/59) = 4.95 %: arithmetic, as in the rule of three.
    assert said(CLEANING, 0, 59) == "finds little: a longer one may do"
    assert said(CLEANING, 0, 58) != said(CLEANING, 0, 59)
    assert said(BREAKER, 0, 59) == "finds little, and guards people: keep it"
    assert said(CLEANING, 30, 100).startswith("finds much")
    assert said(CLEANING, 1, 5) == "too few to say"
    assert said(CLEANING, 0, 0) == "no record of it in this time"


def test_open_actions_by_age(demo):
    with demo.copy() as db:
        with writing(db, reason="test"):
            for day, due, closed in (
                ("2026-11-25", "2026-12-01", None), ("2026-10-26", "2026-11-24", None), ("2026-10-25", "2026-12-01", None),
                ("2025-11-24", "2026-01-01", None), ("2025-01-01", "2025-02-01", "2025-01-20"),
            ):  # fmt: skip
                db.execute(
                    "INSERT INTO action (tag, against_rule, assigned_to, assigned_on, due_on, closed_on) VALUES"
                    " ('P-2117', 'overload/present', 'rk', ?, ?, ?)",
                    [day, due, closed],
                )
        made = year_of_work(db, today=TODAY).actions
    assert [(a.open, a.overdue) for a in made] == [(2, 1), (1, 0), (0, 0), (1, 1)]


@pytest.mark.parametrize(("count", "total"), [(0, 1), (1, 1), (0, 59), (3, 40), (40, 40), (199, 700)])
def test_the_exact_interval_is_that_of_scipy(count, total):
    # scipy.stats.binomtest, method "exact" (Clopper and Pearson).
    found = binomtest(count, total).proportion_ci(year.LEVEL, method="exact")
    assert year._exact(count, total) == pytest.approx((found.low, found.high), rel=1e-9)
