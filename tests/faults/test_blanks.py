"""Blanks and fills at random: what is firm is what measured values decide, and filling a blank never turns it.

Each audit blanks one to four fields at every position, each position's own; seen backwards, that fills them.
"""

import random
from datetime import date

import numpy as np
import pytest
from on_trial import SHARE, trials
from sample_plant import Sample
from shortcuts import verdicts_only

from register.audit.judge import run
from register.columns import TABLES
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Outcome

TODAY = date(2026, 11, 25)
AT_A_POSITION = ("position", "motor", "device", "protection", "bypass", "control")
FIELDS = [
    (table, column.name)
    for table in AT_A_POSITION
    for column in TABLES[table].columns
    if column.name not in (*TABLES[table].key, "tag", "model", "bus", "motor_status", "device_status")
    and not column.required
    and column.origin != "internal"
]
DECIDED = (Outcome.PASSED, Outcome.FAILED)


@pytest.fixture(scope="module")
def plant(tmp_path_factory):
    return Sample("demo-plant" if SHARE else "small-plant", tmp_path_factory.mktemp("plant"))


@pytest.fixture(scope="module")
def pack():
    return load_pack()


@pytest.fixture(scope="module")
def whole(plant, pack):
    with verdicts_only(), plant.copy() as db:
        return run(db, pack, today=TODAY)


@pytest.fixture(scope="module")
def measured_whole(plant, pack):
    with verdicts_only(), plant.copy() as db:
        return run(db, pack, today=TODAY, measured_only=True)


@pytest.mark.parametrize("part", range(4 if SHARE else 1))
def test_firm_is_what_measured_values_decide(part, plant, pack, whole, measured_whole, tally, only_verdicts):
    blanks = 0
    for number in range(trials(1, 21)):
        chance = random.Random(f"blanks {part} {number}")
        with plant.copy() as db:
            count = blanked(db, whole.verdicts.tags, chance)
            now = run(db, pack, today=TODAY)
            measured = run(db, pack, today=TODAY, measured_only=True)
        blanks += count
        check(whole.verdicts, now.verdicts, measured.verdicts, f"{part} {number}")
        check_filled(measured_whole.verdicts, now.verdicts, f"{part} {number}")
    tally("blanks, and as many fills", blanks)


def blanked(db, tags, chance) -> int:
    count = 0
    for tag in tags:
        for table, column in chance.sample(FIELDS, chance.randint(1, 4)):
            found = db.execute(f"UPDATE {table} SET {column} = NULL WHERE tag = ? AND {column} IS NOT NULL", [tag])
            count += found.rowcount
    return count


def check(was, now, measured, trial):
    assert list(was.tags) == list(now.tags) == list(measured.tags)
    rules = now.rules
    firm = np.isin(now.outcomes, DECIDED) & ~now.provisional
    assert_none(firm & (now.outcomes != measured.outcomes), now, f"{trial}: firm, but not by measured values")
    told = np.array([not rule.unknown_is_deliberate for rule in rules])
    turned = firm & np.isin(was.outcomes, DECIDED) & (was.outcomes != now.outcomes) & ~was.provisional
    assert_none(turned & told, now, f"{trial}: a blank turned it, so that filling it would")
    lost = firm & (now.outcomes == Outcome.PASSED) & (was.outcomes == Outcome.FAILED)
    assert_none(lost & told & ~was.provisional, now, f"{trial}: failed, and a firm pass of a blank")


def check_filled(filled, now, trial):
    """What is firm with the blanks stays as it is when they are filled, whether it was marked provisional or not.

    A verdict is marked where an assumed value was read, though it may not decide; so a blank can take the mark away.
    """
    told = np.array([not rule.unknown_is_deliberate for rule in now.rules])
    firm = np.isin(now.outcomes, DECIDED) & ~now.provisional & told
    assert_none(
        firm & (filled.outcomes != now.outcomes), now, f"{trial}: firm, and otherwise when its blanks are filled"
    )


def assert_none(wrong, now, what):
    places = [f"{now.tags[row]} {now.rules[column].id}" for row, column in np.argwhere(wrong)[:8]]
    assert not places, f"{what}: {places}"
