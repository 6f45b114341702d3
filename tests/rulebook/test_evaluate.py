"""Outcomes against an evaluator of our own for three-valued logic, written without SQL.

Reference: Kleene's strong three-valued logic, which SQL follows (ISO/IEC 9075-2, truth tables of
AND, OR, NOT; from memory).
"""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from register.errors import RuleError
from register.rulebook.model import Outcome, Rule, Verdicts
from register.rulebook.run.evaluate import evaluate
from register.rulebook.run.explain import explain, unknown_columns
from register.rulebook.run.guard import guarded
from register.rulebook.tables import facts_table

TODAY = date(2026, 3, 1)
NUMBERS = ("fla_a", "overload_set_a", "relay_set_a")
WORDS = ("device_kind", "inverter_duty")
CHOICES = {"device_kind": ("drive", "soft starter"), "inverter_duty": ("yes", "no")}

comparisons = st.tuples(
    st.sampled_from(["<", "<=", ">", ">=", "=", "<>"]),
    st.sampled_from(NUMBERS),
    st.sampled_from(NUMBERS) | st.integers(0, 3),
)
words = st.sampled_from(WORDS).flatmap(
    lambda name: st.tuples(st.sampled_from(["=", "<>"]), st.just(name), st.sampled_from(CHOICES[name]).map(repr))
)
between = st.tuples(st.just("between"), st.sampled_from(NUMBERS), st.integers(0, 2), st.integers(0, 3))
smaller = st.tuples(st.just("min"), st.sampled_from(NUMBERS), st.sampled_from(NUMBERS), st.integers(0, 3))
predicates = st.recursive(
    comparisons | words | between | smaller,
    lambda inner: st.tuples(st.just("not"), inner) | st.tuples(st.sampled_from(["and", "or"]), inner, inner),
    max_leaves=8,
)
rows = st.fixed_dictionaries(
    {name: st.none() | st.integers(0, 3) for name in NUMBERS}
    | {name: st.none() | st.sampled_from(CHOICES[name]) for name in WORDS}
)


def sql(tree):
    match tree:
        case ("not", inner):
            return f"NOT ({sql(inner)})"
        case ("and" | "or" as word, left, right):
            return f"({sql(left)} {word.upper()} {sql(right)})"
        case ("between", name, low, high):
            return f"{name} BETWEEN {low} AND {high}"
        case ("min", one, other, bound):
            return f"min({one}, {other}) < {bound}"
        case (operator, left, right):
            return f"{left} {operator} {right}"


def truth(tree, row):
    """True, False or None."""
    match tree:
        case ("not", inner):
            inside = truth(inner, row)
            return None if inside is None else not inside
        case ("and", left, right):
            both = {truth(left, row), truth(right, row)}
            return False if False in both else None if None in both else True
        case ("or", left, right):
            both = {truth(left, row), truth(right, row)}
            return True if True in both else None if None in both else False
        case ("between", name, low, high):
            return None if row[name] is None else low <= row[name] <= high
        case ("min", one, other, bound):
            pair = (row[one], row[other])
            return None if None in pair else min(pair) < bound
        case (operator, left, right):
            a = row[left]
            b = row.get(right, right) if isinstance(right, str) else right
            b = b.strip("'") if isinstance(b, str) else b
            if a is None or b is None:
                return None
            return {
                "<": a < b if operator[0] in "<>" and operator != "<>" else None,
                "=": a == b,
                "<>": a != b,
                "<=": a == b or _less(a, b),
                ">": _less(b, a),
                ">=": a == b or _less(b, a),
            }[operator]


def _less(a, b):
    return isinstance(a, int) and a < b


def expected(applies, requires, row):
    where = True if applies is None else truth(applies, row)
    if where is None:
        return Outcome.CANT_TELL
    if not where:
        return Outcome.INAPPLICABLE
    holds = truth(requires, row)
    return Outcome.CANT_TELL if holds is None else Outcome.PASSED if holds else Outcome.FAILED


def connected(many):
    connection = sqlite3.connect(":memory:")
    connection.execute(facts_table())
    for number, row in enumerate(many):
        names = ["tag", *row]
        connection.execute(
            f"INSERT INTO facts ({', '.join(names)}) VALUES ({', '.join('?' * len(names))})",
            [f"P-{number}", *row.values()],
        )
    return connection


@settings(max_examples=200, deadline=None)
@given(applies=st.none() | predicates, requires=predicates, many=st.lists(rows, min_size=1, max_size=9))
def test_outcomes_are_those_of_three_valued_logic(small, applies, requires, many):
    rule = replace(
        small.rules[0],
        practice="any",
        margin="",
        applies=(applies and sql(applies)) or "",
        requires=sql(requires),
        limits=(),
        columns=NUMBERS + WORDS,
    )
    pack = replace(small, rules=(rule,))
    connection = connected(many)
    verdicts = evaluate(connection, pack, today=TODAY)
    wanted = [expected(applies, requires, row) for row in many]
    assert [Outcome(int(o)) for o in verdicts.outcomes[:, 0]] == wanted
    opened = explain(connection, pack, rule, verdicts.tags, today=TODAY)
    assert [e.outcome for e in opened] == wanted
    for explanation, row in zip(opened, many, strict=True):
        unknown = explanation.unknown_columns
        assert bool(unknown) == (explanation.outcome is Outcome.CANT_TELL)
        assert all(row[name] is None for name in unknown)
    alone = unknown_columns(connection, pack, rule, verdicts.tags, today=TODAY)
    assert alone == {e.tag: e.unknown_columns for e in opened if e.unknown_columns}


def test_many_rules_fill_several_words_and_keep_their_order(small):
    """70 rules need three integers; each rule is true of its own position only."""
    rules = tuple(
        replace(small.rules[0], id=f"r/{n}", practice="any", applies="", requires=f"fla_a = {n}", margin="", limits=())
        for n in range(70)
    )
    connection = connected([{"fla_a": n} for n in range(70)])
    verdicts = evaluate(connection, replace(small, rules=rules), today=TODAY)
    order = [int(tag[2:]) for tag in verdicts.tags]
    assert list(verdicts.tags) == sorted(verdicts.tags)
    assert (verdicts.outcomes[np.argsort(order)] == 1 - np.eye(70)).all()
    assert verdicts.column("r/69") == 69
    assert verdicts.outcomes.dtype == np.uint8


def test_outcomes_of_a_rule_sum_to_the_positions(small, facts):
    many = [
        {"overload_place": p, "overload_set_a": a, "overload_set_max_a": 80, "practice": practice}
        for p in (None, "none", "relay")
        for a in (None, 70, 90)
        for practice in ("us", "iec")
    ]
    verdicts = evaluate(facts(*many), small, today=TODAY)
    own = verdicts.outcomes[:, verdicts.column("overload/set-within")]
    counts = {o: int((own == o).sum()) for o in Outcome}
    # By hand: 9 of iec and 3 of us with place none do not apply; 3 of us have no place; of the
    # three left one has no setting, one is within, one above.
    assert counts == {Outcome.INAPPLICABLE: 12, Outcome.CANT_TELL: 4, Outcome.PASSED: 1, Outcome.FAILED: 1}


def test_only_some_positions_and_none(small, facts):
    connection = facts({}, {}, {})
    assert evaluate(connection, small, today=TODAY, tags=["P-2", "P-0", "P-9"]).tags == ("P-0", "P-2")
    empty = evaluate(connection, small, today=TODAY, tags=[])
    assert isinstance(empty, Verdicts)
    assert empty.outcomes.shape == (0, 3)


def test_stand_ins_come_along(small, facts):
    verdicts = evaluate(facts({"stand_ins": 5}, {}), small, today=TODAY)
    assert verdicts.stand_ins.tolist() == [5, 0]


def test_the_day_is_the_one_given(small, facts):
    connection = facts({"bypass_test_on": "2025-03-01"})
    for day, outcome in ((date(2026, 3, 2), Outcome.PASSED), (date(2026, 3, 3), Outcome.FAILED)):
        verdicts = evaluate(connection, small, today=day)
        assert verdicts.outcomes[0, verdicts.column("duty/tested")] == outcome


@pytest.mark.parametrize(
    ("row", "limit", "layer", "outcome"),
    [
        ({"tag": "P-7", "area": "pulp"}, 2, "position P-7", Outcome.FAILED),
        ({"tag": "P-7", "area": None}, 2, "position P-7", Outcome.FAILED),
        ({"tag": "P-1", "area": "pulp"}, 5, "area pulp", Outcome.PASSED),
        ({"tag": "P-1", "area": "wood"}, 4, "site", Outcome.FAILED),
        # Were the area known, its own value might hold.
        ({"tag": "P-1", "area": None}, None, "area", Outcome.CANT_TELL),
    ],
)
def test_the_nearest_limit_wins(sited, facts, row, limit, layer, outcome):
    connection = facts(row | {"device_kind": "drive", "size_ratio": 4.5})
    rule = sited.rule("overload/not-oversized")
    verdicts = evaluate(connection, sited, today=TODAY)
    assert verdicts.outcomes[0, verdicts.column(rule.id)] == outcome
    (opened,) = explain(connection, sited, rule, [row["tag"]], today=TODAY)
    assert opened.outcome is outcome
    assert opened.limits["oversize_ratio"][:2] == (limit, layer)
    if limit is None:
        assert opened.unknown_columns == ("area",)
    else:
        assert "A. Planner" in opened.limits["oversize_ratio"][2]


def test_rules_can_only_read(small, facts):
    connection = facts({})
    with pytest.raises(sqlite3.DatabaseError, match=r"not authorized|prohibited"), guarded(connection, deadline_s=9):
        connection.execute("DELETE FROM facts")
    with pytest.raises(sqlite3.DatabaseError, match="not authorized"), guarded(connection, deadline_s=9):
        connection.execute("SELECT randomblob(9)")
    connection.execute("DELETE FROM facts")


def test_a_rule_that_runs_on_is_stopped_and_named(small):
    # min() of a thousand numbers, many times over, is slow enough to overrun no time at all.
    slow = " + ".join(["abs(fla_a)"] * 800) + " > 0"
    rules = (
        replace(small.rules[0], id="r/quick", requires="fla_a > 0", limits=()),
        replace(small.rules[0], id="r/slow", requires=slow, limits=()),
    )
    connection = connected([{"fla_a": 1.0}] * 3000)
    with pytest.raises(RuleError, match="r/slow") as caught:
        evaluate(connection, replace(small, rules=rules), today=TODAY, deadline_s=0.01)
    assert caught.value.exit_code == 2
    connection.execute("SELECT count(*) FROM facts")


def test_a_failed_verdict_is_explained_in_full(small, facts):
    connection = facts({"overload_place": "device", "overload_set_a": 90, "overload_set_max_a": 81.25})
    (opened,) = explain(connection, small, small.rule("overload/set-within"), ["P-0"], today=TODAY)
    assert opened.outcome is Outcome.FAILED
    (clause,) = opened.clauses
    assert (clause.text, clause.valued, clause.truth) == (
        "overload_set_a <= overload_set_max_a",
        "90 A <= 81.25 A",
        False,
    )
    assert (opened.margin, opened.margin_unit) == (-8.75, "A")
    assert opened.sentence == "Overload set at 90 A; this nameplate permits 81.2 A."
    assert opened.values == {
        "overload_place": "device",
        "overload_set_a": 90,
        "overload_set_max_a": 81.25,
        "practice": "us",
    }


def test_the_sides_of_a_choice_and_the_limit_are_told(small, facts):
    connection = facts({"device_kind": "drive", "size_ratio": 4.5})
    (opened,) = explain(connection, small, small.rule("overload/not-oversized"), ["P-0"], today=TODAY)
    assert [(c.valued, c.truth) for c in opened.clauses] == [
        ("either NOT 'drive' IN ('soft starter', 'drive')", False),
        ("or 4.5 <= 3", False),
    ]
    assert opened.limits == {"oversize_ratio": (3, "pack", "common practice")}
    assert opened.sentence == "The device is 4.5 times the motor; at most 3 is asked."


def test_what_does_not_apply_is_told_by_its_condition(small, facts):
    connection = facts({"overload_place": "none"}, {"overload_place": None}, {"practice": "iec"})
    rule = small.rule("overload/set-within")
    no, unknown, iec = explain(connection, small, rule, ["P-0", "P-1", "P-2"], today=TODAY)
    assert [c.valued for c in no.clauses] == ["'us' = 'us'", "'none' <> 'none'"]
    assert (no.outcome, no.margin) == (Outcome.INAPPLICABLE, None)
    assert unknown.unknown_columns == ("overload_place",)
    assert iec.outcome is Outcome.INAPPLICABLE


def test_a_known_side_of_a_choice_asks_for_nothing(small, facts):
    rule = replace(
        small.rules[0],
        applies="",
        margin="",
        limits=(),
        finding="",
        requires="(fla_a > 1 OR ramp_s > 1) AND relay_set_a > 1",
        columns=("fla_a", "ramp_s", "relay_set_a"),
        finding_columns=(),
    )
    (opened,) = explain(facts({"fla_a": 2}), small, rule, ["P-0"], today=TODAY)
    assert opened.unknown_columns == ("relay_set_a",)


def test_a_division_by_zero_leads_to_what_was_divided(small, facts):
    rule = replace(
        small.rules[0],
        applies="",
        margin="",
        limits=(),
        finding="",
        requires="fla_a / ct_primary_a > 1",
        columns=("fla_a", "ct_primary_a"),
        finding_columns=(),
    )
    (opened,) = explain(facts({"fla_a": 2, "ct_primary_a": 0}), small, rule, ["P-0"], today=TODAY)
    assert opened.outcome is Outcome.CANT_TELL
    assert opened.unknown_columns == ("fla_a", "ct_primary_a")


def test_a_margin_that_speaks_of_another_clause_is_left_out(small, facts):
    rule = replace(
        small.rules[0],
        applies="",
        limits=(),
        finding="",
        margin="overload_set_a - fla_a",
        requires="inverter_duty = 'yes' AND fla_a <= overload_set_a",
        finding_columns=(),
        columns=("inverter_duty", "fla_a", "overload_set_a"),
        margin_columns=(),
    )
    row = {"inverter_duty": "no", "fla_a": 5, "overload_set_a": 9}
    (opened,) = explain(facts(row), small, rule, ["P-0"], today=TODAY)
    assert (opened.outcome, opened.margin) == (Outcome.FAILED, None)


def test_unknown_values_are_called_so(small, facts):
    rule: Rule = small.rule("overload/set-within")
    (opened,) = explain(facts({"overload_place": "relay"}), small, rule, ["P-0"], today=TODAY)
    assert opened.clauses[0].valued == "unknown <= unknown"
    assert opened.sentence == "Overload set at unknown; this nameplate permits unknown."
    assert opened.unknown_columns == ("overload_set_a", "overload_set_max_a")
