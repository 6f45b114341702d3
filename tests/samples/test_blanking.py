"""Unknown is never a pass: blanking any entered field never makes a firm one.

Each column is blanked at every position at once: positions are judged apart, so that one audit
proves the property for that field of every row. What no rule reads is blanked in one go.
"""

from __future__ import annotations

from datetime import date

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
]


@pytest.fixture(scope="module", autouse=True)
def quick():
    """Most columns are not behind a study."""
    with verdicts_only():
        yield


@pytest.mark.parametrize(("table", "column"), [pair for pair in BLANKABLE if pair[1] in READ])
def test_blanking_never_makes_a_firm_pass(demo, pack, before, table, column):
    check(demo, pack, before, [(table, column)])


def test_blanking_what_no_rule_reads_changes_nothing(demo, pack, before):
    after = check(demo, pack, before, [pair for pair in BLANKABLE if pair[1] not in READ])
    assert np.array_equal(after.verdicts.outcomes, before.verdicts.outcomes)


def check(demo, pack, before, blanked):
    with demo.copy() as db:
        for table, column in blanked:
            db.execute(f"UPDATE {table} SET {column} = NULL")
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
