"""Concessions and actions on a lineup and on a device in store, beside a position of the same name."""

import hashlib
import sqlite3
from datetime import date

import by_path
import pytest
from by_path import of_register
from years_plant import FIRST, SECOND, edit

from register.errors import StartrollError
from register.intake.export import export
from register.intake.sheet import read
from register.intake.take_in import apply, plan_intake
from register.intake.undo import undo
from register.maintenance.due import due_list
from register.reports.publish import rendered
from register.store.database import opened, writing

pytestmark = pytest.mark.usefixtures("only_verdicts")

LINEUP, BUS = "line-protection/lineup-withstands-fault", "bus P-1"
SHELF, SPARE = "lifecycle/spare-shelf-life", "device in store P-1"
PLACES = {LINEUP: BUS, SHELF: SPARE}
UNTIL = date(2026, 6, 30)


def ask(path, rule=LINEUP, **how):
    return by_path.ask(path, "P-1", rule, **{"until": UNTIL, "reason": "ordered", "by": "rk", "today": FIRST} | how)


def given(path, rule=LINEUP, **how):
    number = ask(path, rule, **how)
    by_path.decide(path, number, "approved", reason="until it comes", by="sb", today=FIRST)
    return number


def assign(path, rule=LINEUP):
    return by_path.assign(path, "P-1", rule, to="ml", due=date(2026, 2, 1), by="rk", today=FIRST)


def standing(path, number=1, today=FIRST):
    found = {s.concession_id: s for s in by_path.concessions(path, today=today)}
    return found[number].status, found[number].why


def state(path, today=FIRST):
    (found,) = by_path.actions(path, today=today)
    return found.state, found.at


def test_each_is_conceded_by_itself_and_counted_apart(lettered):
    before = of_register(lettered, today=FIRST)
    given(lettered), given(lettered, SHELF)
    after = of_register(lettered, today=FIRST)
    assert {f.identity for f in after.findings if f.conceded} == set(PLACES.items())
    assert after.grades == before.grades
    assert after.conceded == {"major": 1, "minor": 1, "observation": 0}
    assert [(s.subject, s.tag, s.at) for s in after.concessions] == [
        ("bus", "P-1", BUS),
        ("device in store", "P-1", SPARE),
    ]
    assert by_path.explained(lettered, "P-1", LINEUP, today=FIRST).conceded
    # An audit of an area alone judges neither lineups nor what lies in store.
    assert of_register(lettered, today=FIRST, area="Wet end").concessions == ()


@pytest.mark.parametrize(
    ("rule", "statement", "said"),
    [
        # 42 kA less 50 kA and less 51 kA, by arithmetic.
        (LINEUP, "UPDATE bus SET fault_current_ka = 51", "the margin worsened: -8 kA → -9 kA"),
        (SHELF, "UPDATE device SET last_powered_on = '2020-03-01' WHERE device = 'P-1'", "last_powered_on was changed"),
    ],
)
def test_it_is_void_when_the_facts_are_others(lettered, rule, statement, said):
    given(lettered, rule)
    edit(lettered, statement)
    report = of_register(lettered, today=FIRST)
    assert [f.identity for f in report.lapsed] == [(rule, PLACES[rule])]
    assert said in report.lapsed[0].concession.why
    with opened(lettered, write=True) as db, writing(db, reason="mistyped"):
        undo(db, db.execute("SELECT max(change_set) FROM change").fetchone()[0])
    assert standing(lettered)[0] == "used"


def test_it_is_void_when_the_day_is_past_or_the_rule_is_another(lettered, rules):
    given(lettered), given(lettered, SHELF)
    assert [standing(lettered, n, UNTIL)[0] for n in (1, 2)] == ["used", "used"]
    assert standing(lettered, 1, SECOND) == ("void", "its last day was 2026-06-30")
    path = rules / f"{LINEUP}.yml"
    text = path.read_text()
    path.write_text(text.replace("grade: major", "grade: minor"))
    assert standing(lettered, 1) == ("void", "the rule was changed")
    path.unlink()
    assert standing(lettered, 1) == ("void", "the rule is no longer in force")
    assert standing(lettered, 2)[0] == "used"


def test_better_facts_leave_it_and_where_it_passes_or_left_the_store_it_is_not_needed(lettered):
    given(lettered), given(lettered, SHELF)
    edit(lettered, "UPDATE bus SET fault_current_ka = 49")
    assert standing(lettered)[0] == "used"
    edit(lettered, "UPDATE bus SET fault_current_ka = 42")
    assert standing(lettered) == ("unused", "the rule passes there now")
    edit(lettered, "UPDATE device SET tag = 'P-2', device_status = 'in service' WHERE device = 'P-1'")
    assert standing(lettered, 2) == ("unused", "it is not in store now")


def test_it_keeps_to_a_lineup_and_a_spare_that_are_renamed(lettered):
    given(lettered), given(lettered, SHELF)
    edit(
        lettered,
        "UPDATE bus SET bus = 'MCC-9' WHERE bus = 'P-1'",
        "UPDATE device SET device = 'S-0042' WHERE device = 'P-1'",
    )
    found = {s.at: s.status for s in by_path.concessions(lettered, today=FIRST)}
    assert found == {"bus MCC-9": "used", "device in store S-0042": "used"}
    past = by_path.register_as_of(lettered, FIRST)
    assert not past["concession"].count  # all of it was entered after that day


def test_what_cannot_be_asked_for_is_refused(lettered):
    with pytest.raises(StartrollError, match="longer than the 366 days"):
        ask(lettered, until=date(2027, 6, 30))
    with pytest.raises(StartrollError, match="there is no bus 'P-2'"):
        by_path.ask(lettered, "P-2", LINEUP, until=UNTIL, reason="x", by="rk", today=FIRST)
    ask(lettered)
    with pytest.raises(StartrollError, match="there is concession 1 for it"):
        ask(lettered)
    edit(lettered, "UPDATE bus SET fault_current_ka = 42")
    with pytest.raises(StartrollError, match="does not fail at bus P-1"):
        ask(lettered)


@pytest.mark.parametrize(
    ("rule", "mend"),
    [
        (LINEUP, "UPDATE bus SET lineup_withstand_ka = 65"),
        (SHELF, "UPDATE device SET last_powered_on = '2025-12-01' WHERE device = 'P-1'"),
    ],
)
def test_an_action_is_followed_until_an_audit_confirms_it(lettered, tmp_path, rule, mend):
    photo = tmp_path / "plate.jpg"
    photo.write_bytes(b"plate")
    assert assign(lettered, rule) == (1, True) and assign(lettered, rule) == (1, False)
    assert state(lettered) == ("open", PLACES[rule]) and state(lettered, SECOND)[0] == "overdue"
    none = "has no record of a thermography" if rule == LINEUP else "has no records"
    with pytest.raises(StartrollError, match=f"{PLACES[rule]} {none}"):
        by_path.close(lettered, 1, by="ml", record="thermography", today=FIRST)
    made = by_path.close(lettered, 1, by="ml", file=photo, today=FIRST)
    assert hashlib.sha256(b"plate").hexdigest()[:12] in made.evidence
    assert state(lettered)[0] == "closed, unchecked"
    of_register(lettered, today=FIRST, keep_as="rk")
    assert state(lettered)[0] == "closed, still failing"
    edit(lettered, mend)
    assert of_register(lettered, today=date(2026, 1, 5), keep_as="rk").actions[0].state == "closed, confirmed"
    assert state(lettered)[0] == "closed, confirmed"


def test_a_comparison_counts_them_conceded_and_not_better(lettered):
    of_register(lettered, today=FIRST, keep_as="rk")
    given(lettered), given(lettered, SHELF)
    was = of_register(lettered, today=FIRST, keep_as="rk").concessions
    made = by_path.compare(lettered, "1", "2")
    assert {(d.rule, d.tag, d.kind, d.cause) for d in made.differences} == {
        (rule, at, "conceded", "concession") for rule, at in PLACES.items()
    }
    assert (made.conceded_before, made.conceded_after) == (0, 2)
    by_path.decide(lettered, 1, "withdrawn", reason="mended", by="sb", today=FIRST)
    assert by_path.again(lettered, "2").report.concessions == was


def test_reports_and_the_due_list_show_what_they_are_about(lettered):
    given(lettered, SHELF), assign(lettered), assign(lettered, SHELF)
    report = of_register(lettered, today=FIRST)
    page = rendered(report, "html").decode()
    assert page.count(f"<bdi>{SPARE}</bdi><br><code>{SHELF}</code>") == 2  # conceded, and assigned
    assert f"<bdi>{BUS}</bdi><br><code>{LINEUP}</code>" in page
    with opened(lettered) as db:
        found = due_list(db, today=FIRST, until=UNTIL).items
        assert {(i.kind, i.tag, i.bus) for i in found if i.kind != "task"} == {
            ("action", BUS, "P-1"),
            ("action", SPARE, ""),
            ("concession", SPARE, ""),
        }
        of_lineup = due_list(db, today=FIRST, until=UNTIL, bus="P-1").items
        assert {i.tag for i in of_lineup if i.kind != "task"} == {BUS}
        assert not [i for i in due_list(db, today=FIRST, until=UNTIL, area="Wet end").items if i.kind != "task"]


def test_other_programs_see_who_corrects_them(lettered):
    assign(lettered), given(lettered, SHELF)
    of_register(lettered, today=FIRST, keep_as="rk")
    with opened(lettered) as db:
        open_ = db.execute("SELECT rule, assigned_to FROM findings_open WHERE tag = 'P-1'").fetchall()
    assert (LINEUP, "ml") in open_ and SHELF not in dict(open_)
    assert [who for rule, who in open_ if rule != LINEUP] == [None] * (len(open_) - 1)


def test_they_are_exported_and_taken_in_again(lettered, tmp_path):
    given(lettered), given(lettered, SHELF), assign(lettered)
    by_path.ask(lettered, "P-1", "bypass/critical-has-bypass", until=UNTIL, reason="x", by="rk", today=FIRST)
    with opened(lettered, write=True) as db:
        folder = export(db, tmp_path / "out")
        same = plan_intake(db, read(folder))
        kept = [list(db[table].rows) for table in ("concession", "action")]
        with writing(db, reason="lost"):
            db.conn.execute("DELETE FROM concession")
            db.conn.execute("DELETE FROM action")
        again = plan_intake(db, read(folder))
        apply(db, again, reason="found again")
        assert [list(db[table].rows) for table in ("concession", "action")] == kept
    assert len(kept[0]) == 3 and len(kept[1]) == 1
    for plan in (same, again):
        assert plan.problems() == [] and plan.changed == ()
    assert not any(same.added.values())


def test_a_row_about_nothing_about_two_things_or_about_an_unknown_one_is_refused(lettered, tmp_path):
    (tmp_path / "list.csv").write_text(
        "tag,bus,device,rule,reason,asked by,asked on,expires on\n"
        ",P-1,,r/x,why,a,2025-01-01,2025-06-01\n"
        "P-1,P-1,,r/x,why,a,2025-01-01,2025-06-01\n"
        ",,,r/x,why,a,2025-01-01,2025-06-01\n"
        ",MCC-77,,r/x,why,a,2025-01-01,2025-06-01\n",
        encoding="utf-8",
    )
    with opened(lettered) as db:
        plan = plan_intake(db, read(tmp_path / "list.csv"))
    assert {table: len(keys) for table, keys in plan.added.items() if keys} == {"concession": 1}
    causes = " | ".join(r.cause for r in plan.refused)
    assert len(plan.refused) == 3, causes
    assert "about one thing" in causes and "there is no bus 'MCC-77'" in causes


@pytest.mark.parametrize("columns", ["tag, bus", "rule"])
def test_no_program_can_write_a_row_about_nothing_or_about_two_things(lettered, columns):
    values = ", ".join("'P-1'" for _ in columns.split(", "))
    with pytest.raises(sqlite3.IntegrityError, match="CHECK"):
        edit(
            lettered,
            f"INSERT INTO action ({columns.replace('rule', 'task')}, against_rule, assigned_to, assigned_on, due_on)"
            f" VALUES ({values}, 'r/x', 'a', '2025-01-01', '2025-01-02')",
        )
