"""One answer for a group: what is filled, what is left alone, what an audit then says, and taken back."""

import json
import shutil
from datetime import date

import pytest

from register.audit.session import AuditRequest, session
from register.audit.stands import stand
from register.errors import StartrollError
from register.facts.whatif import entered as entered_at
from register.intake.correct import set_value
from register.intake.undo import undo
from register.planning.group_answers import answer_group
from register.planning.group_filter import EVERYWHERE, select
from register.planning.group_proposals import NEVER_WIDE, proposals
from register.planning.group_request import GroupAnswer
from register.rulebook.model import Outcome
from register.store.database import opened, writing
from register.store.history import position_history

DAY = AuditRequest(today=date(2026, 11, 25))


def one(column, value, where=EVERYWHERE, **more):
    return GroupAnswer({column: value}, where, **more)


INCHING = one("inching", "no", "device_kind = 'across-the-line'")
OF_TABLES = ("position", "motor", "device", "model", "setting", "protection", "bypass", "control", "bus", "blank")


@pytest.fixture
def register(sample, tmp_path):
    return shutil.copy(sample.path, tmp_path / "plant.db")


@pytest.fixture
def demo_register(demo, tmp_path):
    return shutil.copy(demo.path, tmp_path / "demo.db")


def tried(path, asked):
    with session(path, DAY, write=False) as now:
        return answer_group(now, asked, reason="", dry=True)


def kept(path, asked, reason="walk"):
    with session(path, DAY, write=True) as now:
        return answer_group(now, asked, reason=reason, author="rk")


def audited(path):
    """(tag, rule) → outcome and whether it is provisional, of a whole audit of the file."""
    with session(path, DAY, write=False) as now:
        audit = now.audit()
        return {
            (table.subject, tag, rule.id): (Outcome(int(table.outcomes[row, col])), bool(table.provisional[row, col]))
            for table in audit.tables
            for row, tag in enumerate(table.tags)
            for col, rule in enumerate(table.rules)
        }


def entered(path):
    with opened(path) as db:
        return {name: db.conn.execute(f"SELECT * FROM {name} ORDER BY 1, 2, 3").fetchall() for name in OF_TABLES}


def column_of(path, name, table="position"):
    with opened(path) as db:
        return dict(db.conn.execute(f"SELECT tag, {name} FROM {table}"))


# Kinds of devices and blanks counted in the tables themselves, not in the facts that the filter reads.
ACROSS = (
    "SELECT position.tag FROM position JOIN device ON device.tag = position.tag AND device_status IS NOT 'scrapped'"
    " JOIN model ON model.model = device.model WHERE device_kind = 'across-the-line'"
)


def test_what_is_filled_is_what_a_count_in_the_tables_says(register):
    with opened(register) as db:
        selected = {tag for (tag,) in db.conn.execute(ACROSS)}
        blank = {tag for (tag,) in db.conn.execute(f"{ACROSS} AND inching IS NULL")}
    before = column_of(register, "inching")
    made = kept(register, INCHING)
    assert set(made.selected) == selected and set(made.filled) == blank and blank
    after = column_of(register, "inching")
    assert {tag for tag in after if after[tag] != before[tag]} == blank
    assert {after[tag] for tag in blank} == {"no"}
    assert set(made.parts[0].kept) == selected - blank


def test_nothing_is_overwritten_unless_asked(demo_register):
    before = column_of(demo_register, "inching")
    jogged = {tag for tag, value in before.items() if value == "yes"}
    made = kept(demo_register, INCHING)
    assert set(made.parts[0].differing) == jogged and jogged and not made.parts[0].overwritten
    assert all(column_of(demo_register, "inching")[tag] == "yes" for tag in jogged)
    over = kept(demo_register, one("inching", "no", INCHING.where, overwrite=True))
    assert set(over.parts[0].overwritten) == jogged and not over.filled and not over.parts[0].differing
    assert all(column_of(demo_register, "inching")[tag] == "no" for tag in jogged)


def test_a_dry_run_changes_no_byte(register):
    before = register.read_bytes()
    made = tried(register, INCHING)
    assert made.filled and made.change_set is None
    assert register.read_bytes() == before


@pytest.mark.parametrize(
    "asked",
    [
        INCHING,
        one("hazardous_area", "yes", "load_kind <> 'other'"),
        one("bypass_arrangement", "none", "device_kind = 'across-the-line'"),
        one("overload_place", "relay", "tag <> ''", overwrite=True),
        one("initial_voltage_pct", "40 %", "device_kind = 'soft starter'"),
        one("short_circuit_rating_ka", "5 kA", "device_kind = 'soft starter'", overwrite=True),
    ],
    ids=lambda asked: next(iter(asked.values)),
)
def test_a_dry_run_tells_what_audits_before_and_after_find(demo_register, asked):
    told = tried(demo_register, asked)
    before = audited(demo_register)
    made = kept(demo_register, asked)
    after = audited(demo_register)
    moved = told.verdicts
    failed = [key for key in after if after[key][0] is Outcome.FAILED and before[key][0] is not Outcome.FAILED]
    unknown = {key for key in before if before[key][0] is Outcome.CANT_TELL}
    now_unknown = {key for key in after if after[key][0] is Outcome.CANT_TELL}
    assert moved.decided == len(unknown - now_unknown) and moved.opened == len(now_unknown - unknown)
    assert moved.provisional == sum(after[key][1] for key in failed)
    assert moved.firm == len(failed) - moved.provisional
    passed = {key for key in after if after[key][0] is Outcome.PASSED and before[key][0] is not Outcome.PASSED}
    assert moved.passed == len(passed)
    assert moved.decided + len(failed) + moved.passed > 0
    assert (made.parts, made.verdicts) == (told.parts, moved)
    assert made.examples == told.examples and len(told.examples) == 3


def test_undone_the_register_is_as_it_was(register):
    before, verdicts = entered(register), audited(register)
    number = kept(register, INCHING).change_set
    assert entered(register) != before
    with opened(register, write=True) as db, writing(db, reason="wrong group"):
        undo(db, number)
    assert entered(register) == before and audited(register) == verdicts


def test_one_change_set_with_reason_and_source(demo_register):
    made = kept(demo_register, INCHING, reason="walk of 24 November")
    with opened(demo_register) as db:
        last = list(position_history(db, made.filled[0]))[-1]
        count = db.conn.execute("SELECT count(*) FROM change WHERE change_set = ?", [made.change_set]).fetchone()[0]
    assert (last.author, last.reason, last.after) == ("rk", "walk of 24 November", "no")
    assert last.source_file == f"by group: {INCHING.where}"
    assert count == len(made.filled)


def test_where_nothing_is_blank_no_change_set_is_made(demo_register):
    kept(demo_register, INCHING)
    with opened(demo_register) as db:
        sets = db.conn.execute("SELECT count(*) FROM change_set").fetchone()
    again = kept(demo_register, INCHING)
    assert not again.filled and again.change_set is None and again.parts[0].kept
    with opened(demo_register) as db:
        assert db.conn.execute("SELECT count(*) FROM change_set").fetchone() == sets


def test_unknown_is_not_true_and_is_counted(demo_register):
    with opened(demo_register, write=True) as db, writing(db, reason="plate gone"):
        tag = db.conn.execute("SELECT tag FROM position WHERE load_kind = 'conveyor' ORDER BY 1").fetchone()[0]
        set_value(db, tag, "load_kind", None, blank_reason="not surveyed")
    for where in ("load_kind = 'conveyor'", "load_kind <> 'conveyor'", "NOT load_kind = 'conveyor'"):
        made = tried(demo_register, one("inching", "no", where))
        assert tag in made.untold and tag not in made.selected
        blank = sum(value is None for value in column_of(demo_register, "load_kind").values())
        assert len(made.untold) == blank


def test_what_is_noted_as_not_applicable_is_left_so(demo_register):
    tag = tried(demo_register, INCHING).filled[0]
    with opened(demo_register, write=True) as db, writing(db, reason="seen"):
        set_value(db, tag, "inching", None, blank_reason="not applicable")
    made = kept(demo_register, INCHING)
    assert made.parts[0].not_applicable == (tag,) and tag not in made.filled
    assert column_of(demo_register, "inching")[tag] is None


def test_positions_that_share_what_is_filled_are_told(demo_register):
    with opened(demo_register) as db:
        model, tag = db.conn.execute(
            "SELECT model, min(device.tag) FROM device JOIN model USING (model) WHERE starts_per_hour_max IS NULL"
            " AND device_status = 'in service' GROUP BY model HAVING count(*) > 2 ORDER BY 1"
        ).fetchone()
        others = {t for (t,) in db.conn.execute("SELECT tag FROM device WHERE model = ? AND tag <> ?", [model, tag])}
    made = tried(demo_register, one("starts_per_hour_max", "10", f"tag = '{tag}'"))
    assert made.filled == (tag,) and set(made.parts[0].elsewhere) == others and made.parts[0].shared == "device model"


def test_of_one_area(demo_register):
    area = column_of(demo_register, "area")
    made = tried(demo_register, one("inching", "no", INCHING.where, area="Pulp house"))
    assert made.filled and {area[tag] for tag in made.selected} == {"Pulp house"}
    with pytest.raises(StartrollError, match="did you mean 'Pulp house'"):
        tried(demo_register, one("inching", "no", INCHING.where, area="Pulp hose"))


@pytest.mark.parametrize(
    ("where", "told"),
    [
        ("load_knd = 'mill'", "unknown column 'load_knd'"),
        ("load_kind = 'mil'", "none of the words"),
        ("fla_a > 'x'", "a number is compared with a text"),
        ("fla_a >", "finish the expression"),
        ("fla_a", "a truth is wanted here"),
        ("", "no expression"),
        ("load_kind IS NULL", "turns unknown into known"),
        ("coalesce(inching, 'no') = 'no'", "turns unknown into known"),
        ("CASE WHEN fla_a > 3 THEN 1 = 1 ELSE 1 = 2 END", "turns unknown into known"),
        ("tag <> ''; DROP TABLE position", "two expressions stand side by side"),
        ("tag IN (SELECT tag FROM position)", "stands without quotes"),
        ("load_extension('x') = 1", "not among what a rule may use"),
        ("1 = 1) OR (1 = 1", "is not understood here"),
        ("fla_a > :limit", "write its value"),
        ("(" * 5000 + "fla_a > 1" + ")" * 5000, "write it plainer"),
    ],
)
def test_a_filter_that_will_not_do(demo_register, where, told):
    before = entered(demo_register)
    with pytest.raises(StartrollError, match=told) as caught:
        kept(demo_register, one("inching", "no", where))
    assert all(p.place == "--where" and p.cause and p.remedy for p in caught.value.problems)
    assert entered(demo_register) == before
    with opened(demo_register) as db:
        assert db.conn.execute("SELECT max(change_set) FROM change_set").fetchone() == (1,)


@pytest.mark.parametrize(
    ("column", "value", "told"),
    [
        ("inchin", "no", "did you mean inching"),
        ("inching", "perhaps", "one of: yes, no"),
        ("ramp_s", "9000 s", "ramp_s"),
        ("ambient_c", "20", "°F or °C"),
        ("motor", "M1", "names one motor"),
        ("tag", "P-1", "cannot be set"),
        ("start_outcome", "starts", "is worked out"),
        ("trip_test_on", "2026-01-01", "belongs to a record"),
        ("inching", "unknown", "says that the value is unknown"),
        ("bus", "MCC-99", "no bus"),
    ],
)
def test_a_value_not_to_be_believed(demo_register, column, value, told):
    with pytest.raises(StartrollError, match=told):
        kept(demo_register, one(column, value, INCHING.where, overwrite=True))
    with opened(demo_register) as db:
        assert db.conn.execute("SELECT max(change_set) FROM change_set").fetchone() == (1,)


def test_hostile_text_stays_text(demo_register):
    hostile = "'); DROP TABLE position; -- [bold]x[/bold]"
    made = kept(demo_register, one("motor_enclosure", hostile, "load_kind = 'centrifugal pump'"), reason=hostile)
    held = column_of(demo_register, "motor_enclosure", "motor")
    assert made.filled and {held[tag] for tag in made.filled} == {hostile}


def test_a_real_run_needs_its_reason(demo_register):
    with pytest.raises(StartrollError, match="needs its reason"):
        kept(demo_register, INCHING, reason=" ")


def test_every_group_proposed_can_be_pasted(register):
    with session(register, DAY, write=False) as now:
        found = proposals(now)
        assert 0 < len(found) <= 20
        held = entered_at(now.db, [tag for (tag,) in now.db.conn.execute("SELECT tag FROM position")])
        for group in found:
            chosen = set(select(now.db, group.where, today=now.today).tags)
            assert group.columns and group.verdicts >= group.decides >= 1
            for column in group.columns:
                blank = {tag for tag in chosen if held[tag][column.column] is None}
                assert set(column.blank) <= blank and len(column.blank) >= 2
                assert sum(count for _, count in column.known) <= len(chosen - blank)
                assert stand(column.column).at == group.read_at


def test_proposals_of_an_area_stay_there(demo_register):
    area = column_of(demo_register, "area")
    with session(demo_register, AuditRequest(today=DAY.today, area="Pulp house"), write=False) as now:
        found = proposals(now, most=5)
    assert found and {area[tag] for group in found for column in group.columns for tag in column.blank} == {
        "Pulp house"
    }


@pytest.fixture(scope="module")
def proposed(demo):
    """All that is proposed for the demo plant."""
    with session(demo.path, DAY, write=False) as now:
        return proposals(now, most=200)


def test_json_of_a_proposal_is_plain(proposed):
    from register.reports.json_data import plain, written

    data = json.loads(written(plain(proposed[:1])))
    assert {"read_at", "where", "area", "columns", "verdicts", "majors", "decides"} == data[0].keys()
    assert {"column", "blank", "known", "choices", "unit"} <= data[0]["columns"][0].keys()


def test_what_can_hurt_someone_is_never_proposed_for_a_whole_plant(proposed):
    far = [one for one in proposed if "area =" not in one.where and "bus =" not in one.where]
    wide = {column.column for one in far for column in one.columns}
    assert wide and not wide & NEVER_WIDE
    assert {column.column for one in proposed for column in one.columns} & NEVER_WIDE
