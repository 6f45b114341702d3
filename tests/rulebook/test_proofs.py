"""Each proof finds what it is there to find: planted rules that hide, that are dead, that gape."""

from __future__ import annotations

import io
import sqlite3
from dataclasses import replace

import pytest
from rich.console import Console

from register.errors import RuleError
from register.reports.terminal.rules import proved
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Override
from register.rulebook.proofs.dead_rules import dead
from register.rulebook.proofs.limit_gaps import gaps
from register.rulebook.proofs.monotone import monotone
from register.rulebook.proofs.proofs import PROOFS, prove
from register.rulebook.proofs.unit_mistakes import accepted
from register.rulebook.tables import facts_table


def memory():
    connection = sqlite3.connect(":memory:")
    connection.execute(facts_table())
    return connection


def altered(small, name="overload/set-within", **more):
    rule = replace(small.rule(name), practice="any", margin="", **more)
    return replace(small, rules=(rule,))


@pytest.mark.parametrize(
    "requires",
    [
        "coalesce(overload_set_a, 0) <= overload_set_max_a",
        "overload_set_a IS NULL OR overload_set_a <= overload_set_max_a",
    ],
)
def test_a_flip_is_told_with_the_one_blank_that_does_it(small, requires):
    pack = altered(small, requires=requires, columns=("overload_place", "overload_set_a", "overload_set_max_a"))
    (flip,) = monotone(pack, lambda: sqlite3.connect(":memory:"), trials=2000, seed=1)
    # By hand: only filling the setting can turn what counted as set to nothing into a failure.
    assert set(flip.filled) == {"overload_set_a"}
    assert (flip.before.word, flip.after.word) == ("passed", "failed")
    assert flip.row["overload_set_a"] is None and flip.times > 1
    assert flip.filled["overload_set_a"] > flip.row["overload_set_max_a"]
    assert "overload_set_a is unknown" in str(flip)


def test_a_rule_that_nothing_can_fail_or_meet_is_found(small):
    columns = ("fla_a",)
    for requires, told in (
        ("fla_a > 5 OR fla_a <= 5", "is always true: it never fails"),
        ("fla_a > 5 AND fla_a < 5", "is never met: whatever it applies to fails"),
    ):
        pack = altered(small, requires=requires, applies="", columns=columns)
        assert dead(pack, memory(), trials=500, seed=1) == {"overload/set-within": told}
    pack = altered(small, requires="fla_a > 5", applies="fla_a > 9 AND fla_a < 8", columns=columns)
    assert "never applies" in dead(pack, memory(), trials=500, seed=1)["overload/set-within"]


def test_a_site_s_limit_can_make_a_rule_dead(small):
    limits = dict(small.limits)
    low, high = (replace(limits["oversize_ratio"], name=n, value=v) for n, v in (("low", 1.0), ("high", 2.0)))
    pack = altered(
        small,
        requires="size_ratio >= :low AND size_ratio <= :high",
        applies="",
        columns=("size_ratio",),
        limits=("low", "high"),
    )
    pack = replace(pack, limits={"low": low, "high": high})
    assert dead(pack, memory(), trials=500, seed=1) == {}
    over = Override("low", "site", "", 3.0, "a slip", "rk", "2026-01-01")
    spoilt = replace(pack, overrides=(over,))
    assert "never met" in dead(spoilt, memory(), trials=500, seed=1)["overload/set-within"]


def banded(small, *applies):
    rule = replace(small.rules[0], practice="any", margin="", limits=("oversize_ratio",), requires="slip_pct < 5")
    return replace(small, rules=tuple(replace(rule, id=f"r/{n}", applies=text) for n, text in enumerate(applies)))


@pytest.mark.parametrize(
    ("applies", "hole"),
    [
        (("power_kw < 5", "power_kw >= 7.5"), "between 5 kW and 7.5 kW"),
        (("power_kw < 5", "power_kw > 5"), "just 5 kW"),
        (("power_kw BETWEEN 1 AND 5", "6 < power_kw AND phases = 3"), "between 5 kW and 6 kW"),
        # The limit is 3.
        (("size_ratio < 2", ":oversize_ratio <= size_ratio"), "between 2 and 3"),
        (("power_kw < 5", "power_kw >= 5"), None),
        (("power_kw <= 6", "power_kw > 5"), None),
        (("power_kw > 5", "power_kw > 9"), None),
        (("power_kw < 2", "power_kw BETWEEN 2 AND 4", "power_kw > 4"), None),
        (("power_kw < 5", "fla_a >= 7"), None),
    ],
)
def test_gaps_between_bands_are_found(small, applies, hole):
    found = [text for _, text in gaps(banded(small, *applies))]
    column = "size_ratio" if "size_ratio" in applies[0] else "power_kw"
    assert found == ([f"no rule judges slip_pct where {column} is {hole}"] if hole else [])


def test_rules_of_other_requirements_do_not_gape(small):
    pack = banded(small, "power_kw < 5", "power_kw > 9")
    one, other = pack.rules
    assert gaps(replace(pack, rules=(one, replace(other, requires="ramp_s > 1")))) == []


def test_a_column_of_another_unit_is_refused_everywhere():
    pack = load_pack()
    connection = sqlite3.connect(":memory:")
    for subject in ("position", "bus", "device in store"):
        connection.execute(facts_table(subject))
    count, through = accepted(pack, connection)
    assert count > 100 and through == []


def test_a_ratio_against_a_bare_number_is_no_slip_that_could_be_seen(small):
    pack = altered(small, requires="fla_a / rated_current_a < 3", applies="")
    assert accepted(pack, memory()) == (0, [])


def test_all_proofs_of_the_pack_hold_and_say_what_was_tried():
    proofs = prove(load_pack(), trials=500)
    assert [proof.name for proof in proofs] == list(PROOFS)
    assert [proof.faults for proof in proofs] == [()] * len(proofs)
    (planted,) = [n for p in proofs if p.name == "monotone" for n in p.notes if "planted" in n]
    assert "coalesce" in planted and "is caught" in planted and "becomes" in planted


def test_survivors_are_listed_with_the_score(small):
    rule = small.rule("overload/set-within")
    weak = replace(small, rules=(replace(rule, examples=rule.examples[:1] + rule.examples[2:]),))
    (proof,) = prove(weak, only=["mutation"])
    assert [text for _, text in proof.faults] == [
        "overload/set-within: no example notices: requires: overload_set_a <= overload_set_max_a"
        " becomes overload_set_a < overload_set_max_a"
    ] or len(proof.faults) > 1
    assert "score" in proof.notes[0] and "100.0" not in proof.notes[0]


def test_an_unknown_proof_is_said_with_the_nearest(small):
    with pytest.raises(RuleError, match="did you mean 'mutation'"):
        prove(small, only=["mutations"])


def test_the_report_fits_80_columns(small):
    out = io.StringIO()
    console = Console(file=out, width=80, highlight=False)
    console.print(proved(prove(altered(small, requires="coalesce(overload_set_a, 0) <= 5"), trials=500)))
    assert max(map(len, out.getvalue().splitlines())) <= 80
    assert "becomes" in out.getvalue() and "things are wrong" in out.getvalue()
