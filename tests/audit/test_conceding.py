"""Concessions in the register: asked for, decided, counted apart, and void in the next audit."""

from datetime import date

import by_path
import pytest
from by_path import explained, of_register
from years_plant import FIRST, SECOND, edit

from register.audit.outline import exit_code
from register.errors import StartrollError
from register.intake.correct import set_value
from register.store.database import opened, writing

pytestmark = pytest.mark.usefixtures("only_verdicts")

RULE = "sizing/current-covers-motor"
WAY_ROUND = "bypass/critical-has-bypass"
UNTIL = date(2026, 6, 30)


def ask(path, rule=RULE, **how):
    asked = {"until": UNTIL, "reason": "spare ordered", "by": "rk", "today": FIRST} | how
    return by_path.ask(path, asked.pop("tag", "P-1"), rule, **asked)


def decide(path, number, decision="approved", **how):
    return by_path.decide(path, number, decision, **{"reason": "until it comes", "by": "sb", "today": FIRST} | how)


def given(path, rule=RULE, **how):
    number = ask(path, rule, **how)
    decide(path, number)
    return number


def standing(path, number=1, today=FIRST):
    found = {s.concession_id: s for s in by_path.concessions(path, today=today)}
    return found[number].status, found[number].why


def test_a_conceded_finding_is_shown_marked_and_counted_apart(small):
    before = of_register(small, today=FIRST)
    given(small)
    after = of_register(small, today=FIRST)
    assert after.grades == before.grades
    assert sum(after.conceded.values()) == 1 and after.conceded["major"] == 1
    assert after.standing["major"] == before.grades["major"]["failed"] - 1
    found = {f.identity: f for f in after.findings}
    assert found[RULE, "P-1"].conceded and not found[WAY_ROUND, "P-1"].conceded
    assert explained(small, "P-1", RULE, today=FIRST).concession.concession_id == 1


def test_a_term_longer_than_the_limit_is_refused_and_the_last_day_named(small, tmp_path):
    """A year has 365 or 366 days: from 25 November 2025 on, 366 days end on 26 November 2026."""
    with pytest.raises(StartrollError, match="longer than the 366 days") as caught:
        ask(small, until=date(2026, 11, 27))
    assert "until 2026-11-26" in str(caught.value) and "concession_longest_days" in str(caught.value)
    own = (
        "{limit: concession_longest_days, site: true, value: 30, reason: two people decided it, by: rk, on: 2025-01-01}"
    )
    (tmp_path / "ours").mkdir()
    (tmp_path / "ours" / "limits.yml").write_text(f"overrides:\n  - {own}\n", encoding="utf-8")
    with pytest.raises(StartrollError, match="longer than the 30 days"):
        ask(small, until=date(2026, 1, 1), site_rules=tmp_path / "ours")
    assert ask(small, until=date(2026, 11, 26)) == 1


def test_its_asker_cannot_approve_it_and_another_can(small):
    number = ask(small)
    with pytest.raises(StartrollError, match="RK asked for concession 1 and cannot approve"):
        decide(small, number, by="RK")
    assert standing(small)[0] == "asked"
    assert decide(small, number).status == "used"
    with pytest.raises(StartrollError, match="was approved by sb"):
        decide(small, number, by="else")


def test_refused_and_withdrawn_ones_are_over(small):
    decide(small, ask(small), "refused")
    decide(small, given(small), "withdrawn", by="rk")
    assert standing(small, 1)[0] == "refused" and standing(small, 2)[0] == "withdrawn"
    with pytest.raises(StartrollError, match="was withdrawn by rk"):
        decide(small, 2)
    assert not sum(of_register(small, today=FIRST).conceded.values())


def test_all_that_is_wrong_with_an_asking_is_said_at_once(small):
    with pytest.raises(StartrollError) as wrong:
        ask(small, "nameplate/frequency-fits-site", until=date(2025, 1, 1), reason=" ", by="")
    causes = [p.cause for p in wrong.value.problems]
    assert len(causes) == 4 and "nothing to concede" in causes[2]
    ask(small)
    with pytest.raises(StartrollError, match="there is concession 1 for it"):
        ask(small)
    with pytest.raises(StartrollError, match="did you mean sizing/current-covers-motor"):
        ask(small, "sizing/current-covers-motors")


@pytest.mark.parametrize(
    ("statements", "said"),
    [
        (
            ["UPDATE device SET tag = NULL WHERE device = 'D1'", "UPDATE device SET tag = 'P-1' WHERE device = 'D2'"],
            "device was replaced: D1 → D2",
        ),
        (
            ["UPDATE motor SET tag = NULL WHERE motor = 'M1'", "UPDATE motor SET tag = 'P-1' WHERE motor = 'M2'"],
            "motor was replaced: M1 → M2",
        ),
        (["UPDATE motor SET fla_a = 66 WHERE motor = 'M1'"], "margin worsened: -1.64 A → -2.64 A"),
    ],
)
def test_it_is_void_loudly_when_the_plant_is_another(small, statements, said):
    # 66 A · (1 − 4 K · 1 %/K) = 63.36 A, by arithmetic; less 65 A or 66 A of motor.
    given(small)
    edit(small, *statements)
    report = of_register(small, today=FIRST)
    assert [f.identity for f in report.lapsed] == [(RULE, "P-1")]
    assert said in report.lapsed[0].concession.why
    assert not any(report.conceded.values())
    assert exit_code(report, grade="major", allow_unknown_pct=None) == 4


def test_a_serial_that_is_read_is_no_replacement(small):
    given(small)
    with opened(small, write=True) as db, writing(db, reason="plate cleaned"):
        set_value(db, "P-1", "motor", "M1-0042")
    assert standing(small)[0] == "used"


def test_a_smaller_motor_current_leaves_it_in_force(small):
    given(small)
    edit(small, "UPDATE motor SET fla_a = 64 WHERE motor = 'M1'")
    assert standing(small)[0] == "used"


def test_without_a_margin_any_other_value_voids_it(small):
    given(small, WAY_ROUND)
    edit(small, "UPDATE bypass SET bypass_arrangement = 'none'")
    status, why = standing(small)
    assert status == "void" and "bypass_arrangement was changed: internal only → none" in why


def test_a_changed_rule_voids_it_and_other_words_do_not(small, rules):
    given(small)
    path = rules / "sizing" / "current-covers-motor.yml"
    text = path.read_text()
    path.write_text(text.replace("title: The derated device carries", "title: A derated device carries"))
    assert standing(small)[0] == "used"
    path.write_text(text.replace("grade: major", "grade: minor"))
    assert standing(small) == ("void", "the rule was changed")
    path.unlink()
    assert standing(small) == ("void", "the rule is no longer in force")


def test_a_concession_for_a_late_check_outlives_the_passing_of_days(small):
    given(small, "commissioning/thermography-current")
    assert standing(small, today=UNTIL)[0] == "used"
    assert standing(small, today=SECOND)[0] == "void"


def test_where_it_passes_now_it_is_not_needed(small):
    given(small)
    edit(small, "UPDATE motor SET fla_a = 60 WHERE motor = 'M1'")
    assert standing(small) == ("unused", "the rule passes there now")


def test_it_cannot_be_approved_once_the_finding_is_another(small):
    number = ask(small)
    edit(small, "UPDATE motor SET fla_a = 66 WHERE motor = 'M1'")
    with pytest.raises(StartrollError, match="the margin worsened"):
        decide(small, number)
    assert standing(small, number)[0] == "asked"


def test_a_row_of_another_program_or_a_sheet_is_judged_too(small):
    edit(
        small,
        "INSERT INTO concession (rule, tag, reason, asked_by, asked_on, expires_on,"
        f" decision, decided_by, decided_on, basis) VALUES ('{RULE}', 'P-1', 'old list', 'a',"
        " '2025-01-01', '2027-01-01', 'approved', 'b', '2025-01-02', '{\"no\": 1}')",
    )
    status, why = standing(small)
    assert status == "void" and "which facts" in why
