"""Several columns in one answer, and positions that are excepted from it."""

import shutil
from datetime import date

import pytest

from register.audit.session import AuditRequest, session
from register.errors import StartrollError
from register.planning.group_answers import answer_group
from register.planning.group_request import GroupAnswer
from register.planning.group_request import asked as typed
from register.store.database import opened


@pytest.fixture
def demo_register(demo, tmp_path):
    return shutil.copy(demo.path, tmp_path / "demo.db")


def tried(path, asked, dry=True):
    with session(path, AuditRequest(today=date(2026, 11, 25)), write=not dry) as now:
        return answer_group(now, asked, reason="walk", dry=dry)


def test_several_columns_and_exceptions_are_one_answer_and_one_change_set(demo_register):
    where = "device_kind = 'across-the-line'"
    blank = tried(demo_register, GroupAnswer({"inching": "no"}, where)).filled
    other, left = blank[:2]
    words = ["inching=no", "speed_need=fixed", "motor_frequency_hz=60 Hz"]
    asked = typed(words, where, None, overwrite=False, excepted=[f"{other}:inching=yes", left])
    made = tried(demo_register, asked, dry=False)
    assert [part.column for part in made.parts] == ["inching", "speed_need", "motor_frequency_hz"]
    with opened(demo_register) as db:
        inching = dict(db.conn.execute("SELECT tag, inching FROM position"))
    assert inching[other] == "yes" and inching[left] is None
    assert {inching[tag] for tag in blank[2:]} == {"no"} and set(made.parts[0].filled) == set(blank) - {left}
    with opened(demo_register) as db:
        count = db.conn.execute("SELECT count(*) FROM change WHERE change_set = ?", [made.change_set]).fetchone()[0]
    assert count == sum(len(part.filled) for part in made.parts)
    assert f"except {other} (inching = yes), {left}," in made.told


def test_what_is_only_assumed_counts_as_blank(demo_register):
    assumed = "SELECT count(*) FROM motor WHERE motor_frequency_hz IS NULL AND motor_status IS NOT 'scrapped'"
    with opened(demo_register) as db:
        blank = db.conn.execute(f"{assumed} AND tag IS NOT NULL").fetchone()[0]
    made = tried(demo_register, GroupAnswer({"motor_frequency_hz": "60 Hz"}))
    assert len(made.filled) == blank > 0 and made.examples[0].before == "unknown"


@pytest.mark.parametrize(
    ("words", "excepted", "cause"),
    [
        (["inching=no", "inching=yes"], [], "stands here twice"),
        (["inching=no", "speed_need"], [], "is not COLUMN=VALUE"),
        (["inching=no", "speed_need=fixed"], ["C-1108=yes"], "names no exception"),
        (["inching", "no"], ["C-1108="], "names no exception"),
        (["inching", "no"], ["X-1"], "not among the positions"),
        (["inching=no", "speed_need=sometimes", "tag=A"], [], "speed_need.*\n.*\n.*tag"),
        (["inching", "no"], ["C-1108=perhaps"], "perhaps"),
    ],
)
def test_what_is_wrong_in_an_answer_is_told_and_nothing_written(demo_register, words, excepted, cause):
    before = demo_register.read_bytes()
    with pytest.raises(StartrollError, match=cause):
        tried(demo_register, typed(words, "tag <> 'A-1142'", None, overwrite=False, excepted=excepted))
    assert demo_register.read_bytes() == before
