"""What to collect next: every blank once, what can hurt first, limited as asked, and true of what is then decided."""

from datetime import date

import pytest
from sample_plant import Sample

from register.audit.findings import unknowns
from register.audit.session import AuditRequest, session
from register.audit.stands import EYES, OUTAGE, PANEL_OPEN
from register.columns import FACTS
from register.errors import StartrollError
from register.planning.collect.questions import to_collect

TODAY = date(2026, 11, 25)
DAY = AuditRequest(today=TODAY)


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    return Sample("small-plant", tmp_path_factory.mktemp("small"))


@pytest.fixture(scope="module")
def asked(small):
    with session(small.path, DAY, write=False) as now:
        return to_collect(now)


def test_every_blank_that_verdicts_wait_for_is_asked_once(small, asked):
    with session(small.path, DAY, write=False) as now:
        found = unknowns(now.db, now.audit())
    named = {(tag, name) for one in found for name in one.fields for tag in one.elsewhere.get(name, (one.tag,))}
    # What the register counts from its checks is asked as the check that a person can enter.
    named = {(tag, name) for tag, name in named if FACTS[name].table != "around"}
    cells = [(one.table, one.key, one.column) for one in asked.questions]
    assert len(cells) == len(set(cells)) == asked.blanks
    assert named <= {(tag, one.column) for one in asked.questions for tag in one.tags}
    assert not [one.column for one in asked.questions if one.table == "around"]
    assert asked.unknown == len(found)


def test_what_decides_whether_people_can_be_hurt_comes_first(small, asked):
    with session(small.path, DAY, write=False) as now:
        hurts = {rule.id for rule in now.pack.rules if rule.harm == "people"}
    first = [one for one in asked.questions if one.people]
    decided = {at for one in first for at in one.decides if at[1] in hurts}
    later = asked.questions[len(first) :]
    assert first and list(asked.questions[: len(first)]) == first
    assert not [at for one in later for at in one.decides if at[1] in hurts and at not in decided]


def test_each_says_where_one_stands_and_what_that_needs(asked):
    assert {one.needs for one in asked.questions} <= {EYES, PANEL_OPEN, OUTAGE}
    needs = {one.column: (one.where, one.needs) for one in asked.questions}
    assert needs["protection_kind"] == ("cubicle", PANEL_OPEN) and needs["poles"] == ("motor", EYES)


def test_area_and_filter_limit_the_positions(small, asked):
    area = next(one.area for one in asked.questions if one.area)
    with session(small.path, AuditRequest(today=TODAY, area=area), write=False) as now:
        there = to_collect(now)
    tags = {one.tag for one in asked.questions if one.area == area}
    assert there.questions and {tag for one in there.questions for tag in one.tags} <= tags
    with session(small.path, DAY, write=False) as now:
        drives = to_collect(now, where="device_kind = 'drive'", top=3)
        kinds = dict(now.db.conn.execute("SELECT tag, device_kind FROM facts"))
        with pytest.raises(StartrollError, match="unknown column"):
            to_collect(now, where="device_kin = 'drive'")
    assert len(drives.questions) == 3 and {kinds[one.tag] for one in drives.questions} == {"drive"}


def test_two_columns_of_which_none_decides_alone_are_asked_together(asked):
    paired = [one for one in asked.questions if one.together]
    assert paired
    for one in paired:
        assert set(one.together) <= {other.column for other in asked.questions if set(other.tags) & set(one.tags)}
