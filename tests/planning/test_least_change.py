"""The least change, against a plain loop that enters every combination and runs the audit."""

import os
from contextlib import contextmanager
from datetime import date
from itertools import combinations, product

import pytest
from by_path import least_changes
from sample_plant import Sample

from register.audit.judge import run
from register.facts.whatif import Variant
from register.intake.correct import set_value
from register.planning.settings.adjustable import Change, changes, is_believable
from register.planning.settings.least_change import least_change
from register.planning.trials import Trials
from register.rulebook.load.pack import load_pack
from register.store.database import writing

TODAY = date(2026, 11, 25)
PACK = load_pack()
# fmt: off
UNITS = {"current_limit_xfla": "×FLA", "locked_rotor_ratio": "×FLA", "ramp_s": "s", "fla_set_a": "A", "relay_set_a": "A",
         "device_overload_set_a": "A", "protection_rating_a": "A", "instantaneous_a": "A",
         "initial_voltage_pct": "%", "tap_pct": "%", "transition_s": "s"}
# fmt: on
# What the soft starter of a motor of 159 A full load can be set to.
DOMAIN = {
    "current_limit_xfla": (2.0, 4.25, 5.0),
    "device_trip_class": ("10", "20"),
    "device_overload_set_a": (159.0, 175.0),
    "fla_set_a": (159.0,),
}
# Read of the motor: on the least that a standard asks of it alone, no failure to start is proven.
READ = {"breakdown_torque_pct": 250.0}
SPOILT = {
    "one": {"current_limit_xfla": 1.5},
    "two that meet in a rule": {"current_limit_xfla": 1.5, "device_trip_class": "30"},
    "three that meet": {"current_limit_xfla": 1.5, "device_trip_class": "30", "device_overload_set_a": 318.0},
    "four in two groups": {
        "current_limit_xfla": 1.5,
        "device_trip_class": "30",
        "device_overload_set_a": 318.0,
        "fla_set_a": 318.0,
    },
    "not to be had": {"device_overload_set_a": 318.0, "load_breakaway_pct": 390.0},
}


class NotKept(Exception):
    """Ends a transaction whose writes are not wanted."""


@pytest.fixture(scope="module")
def plant(tmp_path_factory):
    return Sample("small-plant", tmp_path_factory.mktemp("least"))


def enter(db, tag, values):
    for name, value in values.items():
        unit = UNITS.get(name, "%" if name.endswith("_pct") else "")
        set_value(db, tag, name, value if isinstance(value, str) else f"{value!r} {unit}")


@contextmanager
def entered(db, tag, values):
    """The register as it is once these values are entered; taken back afterwards."""
    try:
        with writing(db, reason="tried"):
            enter(db, tag, values)
            yield
            raise NotKept
    except NotKept:
        pass


@contextmanager
def copied(sample):
    """The register in memory, that takes a transaction as one in a file does."""
    with sample.copy() as db:
        db.conn.isolation_level = None
        yield db


def audited(db, tag):
    made = run(db, PACK, today=TODAY, tags=[tag])
    return {rule.id: made.outcome(tag, rule.id).word for rule in made.rules}


MAJORS = {rule.id for rule in PACK.rules if rule.grade == "major" and rule.subject == "position"}


def good(before, now, goals):
    """Whether every goal is met, and no other major is worse for it."""
    met = ("passed", "inapplicable")
    worse = [
        r
        for r in MAJORS - goals
        if now[r] not in met and now[r] != before[r] and (before[r], now[r]) != ("inapplicable", "cant-tell")
    ]
    return all(now[r] in met for r in goals) and not worse


def combinations_of(domain, most):
    for size in range(1, most + 1):
        for names in combinations(domain, size):
            for values in product(*(domain[name] for name in names)):
                yield dict(zip(names, values, strict=True))


@pytest.mark.parametrize("case", SPOILT)
def test_a_plain_loop_over_all_combinations_finds_no_smaller_and_no_other_size(plant, case, only_verdicts):
    tag = "K-001"
    with copied(plant) as db:
        with writing(db, reason="spoilt"):
            enter(db, tag, READ | SPOILT[case])
        before = audited(db, tag)
        row = db.execute("SELECT * FROM setting JOIN device USING (device) WHERE tag = ?", [tag])
        now_set = dict(zip([c[0] for c in row.description], row.fetchone(), strict=True))
        options = [
            Change(name, now_set[name], value)
            for name, values in DOMAIN.items()
            for value in values
            if value != now_set[name]
        ]
        trials = Trials(db, [tag], pack=PACK, today=TODAY)
        found = least_change(trials, tag, options=options)
        goals = {r for r in MAJORS if before[r] == "failed"} - set(found.beyond)
        solving, seen = [], {r: {before[r]} for r in found.beyond}
        for values in combinations_of(DOMAIN, 2 if case == "not to be had" else 4):
            if solving and len(values) > len(solving[0]):
                break
            with entered(db, tag, values):
                now = audited(db, tag)
            for rule in seen:
                seen[rule].add(now[rule])
            if good(before, now, goals):
                solving.append(values)
    assert all(outcomes == {"failed"} for outcomes in seen.values())
    assert goals
    chosen = {c.column: c.value for c in found.changes}
    if case == "not to be had":
        assert not solving and found.leaves
        return
    assert not found.leaves and set(found.clears) == goals
    assert chosen in solving

    def far(values):
        return sum(Change(n, now_set[n], v).size for n, v in values.items())

    assert far(chosen) == pytest.approx(min(map(far, solving)))


@pytest.mark.parametrize("name", ["small-plant", "demo-plant"])
def test_what_is_forecast_is_what_the_audit_says_once_it_is_so_set(plant, demo, name, only_verdicts):
    """At every third failing position of the demo plant; STARTROLL_EXAMPLES has all of them."""
    sample, step = (plant, 1) if name == "small-plant" else (demo, 1 if "STARTROLL_EXAMPLES" in os.environ else 3)
    with copied(sample) as db:
        first = run(db, PACK, today=TODAY)
        tags = sorted({t for t, r in first.failed() if r in MAJORS})[::step]
        trials = Trials(db, tags, pack=PACK, today=TODAY)
        changed = 0
        for made in (least_change(trials, tag) for tag in tags):
            assert made.before == {r: first.outcome(made.tag, r).word for r in made.before}
            if made.changes:
                changed += 1
                with entered(db, made.tag, {c.column: c.value for c in made.changes}):
                    assert audited(db, made.tag) == made.forecast, made.tag
            assert not {r for r in MAJORS if made.forecast[r] == "failed"} - set(made.failed)
    assert changed >= (1 if name == "small-plant" else 8 // step)


def test_nothing_is_proposed_that_the_device_does_not_offer(demo):
    with demo.copy() as db:
        tags = [row["tag"] for row in db["position"].rows]
        trials = Trials(db, tags, pack=PACK, today=TODAY)
        facts, _ = trials.facts([Variant(tag) for tag in tags])
        for values in zip(*facts.values(), strict=True):
            own = {n: None if v != v else v for n, v in zip(facts, values, strict=True)}
            for change in changes(own, PACK):
                assert is_believable(change.column, change.value), change
                assert change.value != own[change.column]
                if change.column == "start_mode":
                    assert change.value in own["start_modes"]
                if change.column == "device_trip_class":
                    assert change.value in own["trip_classes"].split(", ")
                if change.column == "current_limit_xfla" and own["current_limit_max_xfla"]:
                    assert change.value <= own["current_limit_max_xfla"]
                if change.column in ("device_overload_set_a", "relay_set_a"):
                    most = own["overload_set_max_a"] or own["fla_a"]
                    assert change.value <= max(most, own["fla_a"] or 0)


def test_no_overload_is_loosened_where_the_start_itself_hurts(demo):
    """The seeded wheel that is far too heavy: a slower relay would only let the motor burn."""
    made = least_changes(demo.path, ["F-2132"], today=TODAY).at[0]
    assert "start-study/motor-heat-within" in made.settings.failed
    assert not made.settings.changes
    assert set(made.replacement.clears) == set(made.settings.failed)


def test_where_nothing_can_be_set_or_swapped_it_says_so(demo):
    made = least_changes(demo.path, ["A-2107"], today=TODAY).at[0]
    assert made.settings.changes == () and made.replacement is None
    assert made.work == made.settings.failed == ("bypass/contactor-rated-to-start",)


def test_a_dial_is_told_from_other_hardware(demo):
    made = least_changes(demo.path, ["P-2117", "C-1107", "P-2130"], today=TODAY)
    hard = {m.tag: [c.hardware for c in m.settings.changes] for m in made.at}
    assert hard == {"P-2117": [False], "C-1107": [True], "P-2130": [False, True]}


def test_what_did_not_apply_and_can_not_be_told_then_names_what_to_read(plant):
    """Once the load turns its start is judged, as far as the settings of the device are known."""
    with copied(plant) as db:
        with writing(db, reason="spoilt"):
            enter(db, "P-102", {"locked_rotor_ratio": 6.2, "start_mode": "current limit", "current_limit_xfla": 1.5})
        made = least_change(Trials(db, ["P-102"], pack=PACK, today=TODAY), "P-102")
    assert made.changes and not made.leaves
    assert {made.forecast[rule] for rule in made.opens} <= {"cant-tell"}
    assert bool(made.opens) == bool(made.to_read)
