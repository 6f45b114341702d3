"""Unknown is never a pass: blanking any entered field never makes a firm one.

A column is blanked at many positions at once: positions are judged apart, so that one audit proves the
property for that field of all these rows. Five columns of a table share an audit, each a fifth of the rows and
those where it alone is filled; with STARTROLL_EXAMPLES each is blanked everywhere. What no rule reads is blanked in one go.
"""

from __future__ import annotations

import os
from datetime import date
from itertools import groupby

import numpy as np
import pytest
from shortcuts import verdicts_only

from register.audit.judge import run
from register.columns import TABLES
from register.facts.derived import entered_behind
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Outcome

TODAY = date(2026, 11, 25)
LEFT = {"site", "event", "concession", "action"}
READ = {
    entered for rule in load_pack().rules for column in rule.columns for entered in (column, *entered_behind(column))
} | {
    "result",
    "tag",
    "model",
    "bus",  # what tells which rows stand at a position
    "last_powered_on",
    "device_place",  # behind what is counted in store, and behind an assumed value
}
BLANKABLE = [
    (table.name, column.name)
    for table in TABLES.values()
    if table.name not in LEFT
    for column in table.columns
    if column.name not in table.key and not column.required and column.origin != "internal"
    # A record belongs to a position or a lineup, and cannot be of neither.
    if (table.name, column.name) not in {("record", "tag"), ("record", "bus")}
]
TOGETHER = 1 if "STARTROLL_EXAMPLES" in os.environ else 5


def shared():
    """(table, its columns that are blanked in one audit)."""
    for table, pairs in groupby([pair for pair in BLANKABLE if pair[1] in READ], key=lambda pair: pair[0]):
        columns = [column for _, column in pairs]
        for first in range(0, len(columns), TOGETHER):
            yield table, columns[first : first + TOGETHER]


def blank_a_share(table, columns):
    """The statement that takes from each row one of its values in these columns."""
    parts = []
    for number, column in enumerate(columns):
        others = " AND ".join(["1", *(f"{other} IS NULL" for other in columns if other != column)])
        mine = f"rowid % {len(columns)} = {number} OR ({others})"
        parts.append(f"{column} = CASE WHEN {mine} THEN NULL ELSE {column} END")
    return f"UPDATE {table} SET {', '.join(parts)}"


@pytest.fixture(scope="module", autouse=True)
def quick():
    """Most columns are not behind a study."""
    with verdicts_only():
        yield


@pytest.mark.parametrize(
    ("table", "columns"), tuple(shared()), ids=lambda part: part if isinstance(part, str) else "-".join(part)
)
def test_blanking_never_makes_a_firm_pass(demo, pack, before, table, columns):
    check(demo, pack, before, [blank_a_share(table, columns)])


def test_a_share_takes_one_value_from_each_row(demo):
    columns = ["fla_a", "power_kw", "hot_stall_s"]
    with demo.copy() as db:
        read = f"SELECT {', '.join(columns)} FROM motor ORDER BY rowid"
        was = db.execute(read).fetchall()
        db.execute(blank_a_share("motor", columns))
        now = db.execute(read).fetchall()
    taken = [
        [n for n, value in enumerate(row) if value is not None and left[n] is None]
        for row, left in zip(was, now, strict=True)
    ]
    assert {len(one) for row, one in zip(was, taken, strict=True) if all(v is not None for v in row)} == {1}
    assert all(one for row, one in zip(was, taken, strict=True) if sum(v is not None for v in row) == 1)
    assert {n for one in taken for n in one} == {0, 1, 2}


def test_blanking_what_no_rule_reads_changes_nothing(demo, pack, before):
    unread = [f"UPDATE {table} SET {column} = NULL" for table, column in BLANKABLE if column not in READ]
    after = check(demo, pack, before, unread)
    assert np.array_equal(after.verdicts.outcomes, before.verdicts.outcomes)


def check(demo, pack, before, blanking):
    with demo.copy() as db:
        for sql in blanking:
            db.execute(sql)
        after = run(db, pack, today=TODAY)
    assert list(after.verdicts.tags) == list(before.verdicts.tags)
    for was, now in zip(before.tables, after.tables, strict=True):
        # What is no longer known to lie in store is not judged at all.
        rows = [was.row(tag) for tag in now.tags]
        undecided = np.isin(was.outcomes[rows], (Outcome.FAILED, Outcome.CANT_TELL))
        for row, col in np.argwhere(undecided & (now.outcomes == Outcome.PASSED)):
            tag, rule = now.tags[row], now.rules[col]
            if before.left_open(tag, rule):
                continue  # the assumed value that might not be judged is gone; what is left decides
            assert now.provisional[row, col], f"{rule.id} at {tag}: a firm pass from a blank"
            assert after.stand_ins(tag, rule), f"{rule.id} at {tag}: which assumed value?"
    return after


@pytest.fixture(scope="module")
def before(demo, pack):
    with demo.copy() as db:
        return run(db, pack, today=TODAY)
