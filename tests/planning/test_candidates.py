"""Candidates are judged as the audit would judge them, and ranked as all of them would be."""

import os
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from random import Random

import numpy as np
import pytest
from by_path import candidates, for_failed
from sample_plant import Sample

from register.audit.judge import run
from register.columns import TABLES
from register.facts.base import BASE
from register.intake.replace_device import Swap, swap
from register.planning.replace.candidates import MAJOR, Finder, failed_positions
from register.planning.replace.dependent_rules import BROUGHT, is_repeated
from register.planning.trials import Trials
from register.rulebook.load.pack import load_pack
from register.store.database import create, opened, writing

TODAY = date(2026, 11, 25)
SITE = {
    "site": "Oldmarrow Works",
    "practice": "us",
    "site_frequency_hz": 60.0,
    "site_altitude_m": 120.0,
    "site_ambient_c": 38.0,
}
# 100 hp, 460 V: 124 A. Source: NFPA 70-2023, Table 430.250.
# fmt: off
MOTOR = dict(motor="M-1", tag="P-1", power_kw=74.57, motor_voltage_v=460, phases=3,
             motor_frequency_hz=60, poles=4, speed_rpm=1780, fla_a=124, service_factor=1.15,
             efficiency_pct=95.4, power_factor=0.87)
# fmt: on
PLANT = (
    ("bus", dict(bus="MCC-1", bus_voltage_v=480, fault_current_ka=22)),
    (
        "position",
        dict(
            tag="P-1", bus="MCC-1", load_kind="centrifugal pump", ambient_c=35, device_place="indoor", starts_per_hour=2
        ),
    ),
    ("motor", MOTOR),
    (
        "protection",
        dict(tag="P-1", protection_kind="inverse-time breaker", protection_rating_a=250, overload_place="device"),
    ),
    ("control", dict(tag="P-1", control_voltage_v=120, control_scheme="hardwired")),
)


def model(name, rated_a, **more):
    return "model", dict(
        model=name,
        device_kind="soft starter",
        rated_current_a=rated_a,
        device_overload="built in",
        overload_min_a=0.4 * rated_a,
        overload_max_a=rated_a,
        trip_classes="10, 20",
        device_control_voltage_v=120,
        lifecycle="current",
        derate_above_c=40,
        derate_pct_per_c=2,
        voltage_min_v=380,
        voltage_max_v=500,
        start_modes="current limit",
        line_protection_kind="fuse or breaker",
        line_protection_max_a=300,
    ) | more


def device(serial, of, **more):
    return "device", dict(device=serial, model=of) | more


@pytest.fixture
def plant(tmp_path):
    """A register of one pump of 100 hp; told what else to insert, it gives its file."""
    path = tmp_path / "plant.db"
    create(path, SITE)

    def filled(*rows):
        with opened(path, write=True) as db, writing(db, reason="walk", author="rk"):
            for table, row in (*PLANT, *rows):
                db[table].insert(row)
        return path

    return filled


def finder(db, tags, **more):
    return Finder(db, tags, pack=load_pack(), today=TODAY, **more)


def tags_of(db):
    return [row[0] for row in db.execute("SELECT tag FROM position ORDER BY tag")]


class _Undone(Exception):
    pass


@contextmanager
def swapped(db, judged):
    """The register as it is once a candidate was really put in, until the end of the block."""
    candidate, tag = judged.candidate, judged.variant.tag
    coming = dict(stored=candidate.serial) if candidate.stored else dict(model=candidate.model, serial="NEW-1")
    asked = Swap(tag=tag, out="failed", cause="tried", values=judged.settings, **coming)
    try:
        with writing(db, reason="tried", author="test"):
            swap(db, asked, today=TODAY)
            yield
            raise _Undone
    except _Undone:
        pass


def differences(db, pack, judged):
    """The rules whose outcome, or what it rests on, differs from what the audit then says, doubts aside."""
    tag = judged.variant.tag
    with swapped(db, judged):
        audit = run(db, pack, today=TODAY, tags=[tag])
    return [
        (tag, judged.candidate.name, rule.id)
        for rule in audit.verdicts.rules
        if ((tag, rule.id) not in audit.doubts.by_safe and audit.outcome(tag, rule.id) != judged.outcomes[rule.id])
        or audit.is_provisional(tag, rule.id) != (rule.id in judged.provisional or (tag, rule.id) in audit.doubts.of)
    ]


def test_with_nothing_changed_a_trial_says_what_the_audit_says(sample):
    pack = load_pack()
    with opened(sample.path) as db:
        audit = run(db, pack, today=TODAY)
        now = Trials(db, tags_of(db), pack=pack, today=TODAY).now.verdicts
    assert [rule.id for rule in now.rules] == [rule.id for rule in audit.verdicts.rules]
    # A trial takes what is entered at its word; what the audit doubts, and judges by the safe side, is its own.
    places = [[(tag, rule.id) for rule in now.rules] for tag in audit.verdicts.tags]
    doubted = np.array([[place in audit.doubts.of for place in row] for row in places])
    by_safe = np.array([[place in audit.doubts.by_safe for place in row] for row in places])
    assert (by_safe <= doubted).all() and not doubted.all()
    assert (now.outcomes == audit.verdicts.outcomes)[~by_safe].all()
    assert ((now.provisional | doubted) == audit.provisional).all()


def test_the_first_candidate_put_in_is_audited_as_forecast(sample, only_verdicts):
    """At every ninth position of the demo plant, every other of the small one; STARTROLL_EXAMPLES has all of them."""
    pack = load_pack()
    step = 1 if "STARTROLL_EXAMPLES" in os.environ else 9 if sample.folder.name == "demo-plant" else 2
    with opened(sample.path, write=True) as db:
        run(db, pack, today=TODAY)  # the facts, so that each swap touches only its own
        tags = tags_of(db)[::step]
        ranked = finder(db, tags).ranked(tags)
        wrong = [one for r in ranked for one in differences(db, pack, r.candidates[0])]
    assert len(ranked) == len(tags) and not wrong


def test_so_is_any_other_candidate(demo, only_verdicts):
    chance, pack = Random(7), load_pack()
    with opened(demo.path, write=True) as db:
        run(db, pack, today=TODAY)
        tags = chance.sample(tags_of(db), 25 if "STARTROLL_EXAMPLES" in os.environ else 6)
        found = finder(db, tags)
        picked = found.judged([(tag, chance.choice(found.candidates)) for tag in tags])
        assert not [one for judged in picked for one in differences(db, pack, judged)]


def test_the_search_ranks_as_if_every_candidate_had_been_fully_judged(sample):
    with opened(sample.path) as db:
        tags = Random(3).sample(tags_of(db), 8)
        found = finder(db, tags)
        for tag, ranked in zip(tags, found.ranked(tags, top=4), strict=True):
            whole = sorted(found.judged([(tag, o) for o in found.candidates]), key=lambda c: c.rank)
            assert [c.candidate.name for c in ranked.candidates] == [c.candidate.name for c in whole[:4]]
            failing = set.intersection(*(set(c.majors) for c in whole))
            assert set(ranked.never) <= failing
            first = ranked.candidates[0]
            assert first.fits or failing == set(ranked.never)
            assert (first.fits and first.candidate.obtainable) == any(c.fits and c.candidate.obtainable for c in whole)


def test_every_failed_device_gets_a_candidate_or_the_plain_statement(sample):
    with opened(sample.path) as db:
        failed = failed_positions(db)
    made = for_failed(sample.path, today=TODAY)
    assert [one.tag for one in made] == failed
    for one in made:
        assert one.best or (one.never and "No candidate that can be had passes" in one.statement)
        assert not one.best or (one.best.fits and one.best.obtainable and not one.best.fails)


def test_the_demo_plant_s_failed_device_is_replaced_from_store(demo):
    (one,) = for_failed(demo.path, today=TODAY)
    assert one.best.where == "in store" and not one.best.other_changes


def test_a_device_smaller_than_the_motor_fails_and_a_larger_one_passes(plant):
    # By hand: 105 A < 124 A ≤ 135 A, at 35 °C and 120 m, below where either is derated.
    path = plant(model("SS-105", 105, price=100), model("SS-135", 135, price=900))
    made = candidates(path, "P-1", today=TODAY)
    first, second = made.candidates
    assert (first.model, second.model) == ("SS-135", "SS-105")
    small = {against.rule: against.sentence for against in second.fails}
    assert "sizing/current-covers-motor" in small and "124 A" in small["sizing/current-covers-motor"]
    assert "sizing/current-covers-motor" not in {against.rule for against in first.fails}


def test_store_goes_before_the_catalogue_time_before_price_price_before_changes(plant):
    path = plant(
        model("SS-A", 135, lead_time_days=7, price=900),
        model("SS-B", 135, lead_time_days=28, price=100),
        model("SS-C", 135, lead_time_days=28, price=200),
        model("SS-OLD", 135, lifecycle="withdrawn", successor="SS-A", lead_time_days=1, price=1),
        model("SS-X", 135, price=100),
        device("S-1", "SS-C", device_status="in store"),
    )
    made = candidates(path, "P-1", today=TODAY, top=9)
    assert [c.serial or c.model for c in made.candidates] == ["S-1", "SS-A", "SS-B", "SS-C", "SS-X", "SS-OLD"]
    assert "can't be bought" in made.candidates[-1].where
    assert made.best.serial == "S-1" and made.tried == 6 and made.tried_stored == 1
    only = candidates(path, "P-1", today=TODAY, in_store=True)
    assert [c.serial for c in only.candidates] == ["S-1"]


def test_what_is_unknown_of_a_device_is_no_pass_and_names_what_to_read(plant):
    path = plant(model("SS-135", 135), model("SS-Q", 135, overload_max_a=None, price=1))
    known, unknown = candidates(path, "P-1", today=TODAY).candidates
    assert (known.model, unknown.model) == ("SS-135", "SS-Q")
    read = {a.rule: a.to_read for a in unknown.cant_tell}
    assert "overload_max_a" in read["sizing/sensing-sees-motor"]
    assert all(fields for fields in read.values())


def test_an_unknown_delivery_is_never_above_what_lies_in_store_and_passes_as_much(plant):
    path = plant(
        model("SS-135", 135), model("SS-Q", 135, overload_max_a=None), device("S-1", "SS-Q", device_status="in store")
    )
    first, *others = candidates(path, "P-1", today=TODAY, top=9).candidates
    assert first.serial == "S-1" and len(first.cant_tell) > len(others[0].cant_tell)
    assert [c.model for c in others] == ["SS-135", "SS-Q"]


def test_its_like_in_store_goes_before_what_is_better_known_and_comes_in_days(plant):
    rows = [
        model("SS-135", 135, lead_time_days=3, price=900),
        model("SS-Q", 135, overload_max_a=None),
        device("S-1", "SS-Q", device_status="in store"),
    ]
    path = plant(*rows)
    unlike = candidates(path, "P-1", today=TODAY).candidates[0]
    assert unlike.model == "SS-135"  # no device is known there, so nothing is of its kind
    with opened(path, write=True) as db, writing(db, reason="walk", author="rk"):
        db["device"].insert(dict(device="D-1", model="SS-135", tag="P-1", device_status="failed"))
    first, second, *_ = candidates(path, "P-1", today=TODAY).candidates
    assert (first.serial, second.model) == ("S-1", "SS-135")
    assert len(first.cant_tell) > len(second.cant_tell)


def test_it_agrees_with_a_plan_or_says_why_not(plant):
    path = plant(
        model("SS-A", 135, lead_time_days=7, price=900),
        model("SS-B", 135, lead_time_days=28, price=100),
        device("D-1", "SS-A", tag="P-1", device_status="in service"),
    )
    made = candidates(path, "P-1", today=TODAY)
    assert made.candidates[0].model == "SS-A"
    assert "takes a new SS-B" in made.plan and "by price" in made.plan
    with opened(path, write=True) as db, writing(db, reason="walk", author="rk"):
        db["device"].insert(dict(device="S-1", model="SS-A", device_status="in store"))
    assert "leaves the store alone" in candidates(path, "P-1", today=TODAY).plan
    with opened(path, write=True) as db, writing(db, reason="walk", author="rk"):
        db.execute("UPDATE device SET device_status = 'failed' WHERE device = 'D-1'")
    with opened(path, write=True) as db, writing(db, reason="walk", author="rk"):
        db.execute("UPDATE model SET price = NULL WHERE model = 'SS-B'")
    made = candidates(path, "P-1", today=TODAY)
    assert made.candidates[0].serial == "S-1" and "the same: S-1 from store" in made.plan


def test_power_is_told_in_horsepower_first_where_the_site_s_practice_is_us(plant):
    path = plant(model("SS-135", 135))
    assert candidates(path, "P-1", today=TODAY).motor.startswith("100 hp (74.6 kW), 460 V")


def test_what_a_device_has_changed_is_named_with_both_sides(plant):
    path = plant(
        model("SS-135", 135, device_control_voltage_v=24, line_protection_max_a=200),
        model("AL-150", 150, device_kind="across-the-line", device_overload="none"),
        device("D-1", "AL-150", tag="P-1", device_status="failed"),
    )
    made = candidates(path, "P-1", today=TODAY)
    needed = next(c.other_changes for c in made.candidates if c.model == "SS-135")
    assert "control voltage: 120 V there, 24 V asked" in needed
    assert "line protection: 250 A there, at most 200 A permitted" in needed
    assert any(line.startswith("way of starting: across-the-line there") for line in needed)


def test_a_fault_of_the_position_is_told_as_its_own(plant):
    # Two changes that no device corrects: no line protection, and a hoist's overload left out.
    path = plant(model("SS-135", 135), model("SS-160", 160))
    with opened(path, write=True) as db, writing(db, reason="walk", author="rk"):
        db.execute("UPDATE protection SET protection_kind = 'none'")
    made = candidates(path, "P-1", today=TODAY)
    own = {never.rule for never in made.never if never.own}
    assert made.best is None and "line-protection/present" in own
    assert "Whatever is installed here fails" in made.statement


def test_a_device_out_of_store_is_one_spare_fewer_and_that_is_repeated(plant):
    rows = [model("SS-135", 135), *(device(f"S-{n}", "SS-135", device_status="in store") for n in range(2))]
    path = plant(*rows)
    with opened(path) as db:
        found = finder(db, ["P-1"])
        counts = {o.name: found.catalogue.at("P-1", o).changes["spares_in_store"] for o in found.candidates}
    assert counts == {"S-0": 1, "S-1": 1, "SS-135": 2}
    rules = {rule.id: rule for rule in load_pack().rules}
    assert is_repeated(rules["lifecycle/critical-has-spare"])
    assert not is_repeated(rules["sizing/current-covers-motor"])


def test_what_a_device_brings_replaces_all_that_stood_there(demo):
    with opened(demo.path) as db:
        tags = tags_of(db)[:1]
        found = finder(db, tags)
        for candidate in found.candidates:
            assert set(found.catalogue.at(tags[0], candidate).changes) >= BROUGHT & set(BASE) - {
                "relay_set_a",
                "relay_reset",
            }
    assert {c.name for c in TABLES["setting"].columns} <= BROUGHT


def test_a_search_shared_among_processes_finds_the_same(tmp_path, monkeypatch):
    demo = Sample("demo-plant", tmp_path)
    with opened(demo.path, write=True) as db:
        tags = tags_of(db)[::15]
        with writing(db, reason="a bad night", author="test"):
            marks = ", ".join("?" * len(tags))
            failed = [
                row[0]
                for row in db.execute(
                    f"SELECT device FROM device WHERE tag IN ({marks}) AND device_status <> 'scrapped'", tags
                )
            ]
            db.execute(
                f"UPDATE device SET device_status = 'failed' WHERE device IN ({', '.join('?' * len(failed))})", failed
            )
    alone = for_failed(demo.path, today=TODAY)
    monkeypatch.setattr("register.planning.replace.of_register.FEW", 2)
    monkeypatch.setattr("register.planning.replace.of_register.cores", lambda: 2)
    assert for_failed(demo.path, today=TODAY) == alone
    assert len(alone) > 6


def test_verdicts_on_trial_rules_and_the_site_s_own_limits_hold(plant):
    path = plant(model("SS-135", 135))
    pack = load_pack()
    with opened(path) as db:
        (one,) = Finder(db, ["P-1"], pack=replace(pack, rules=pack.rules[:5]), today=TODAY).judged(
            [("P-1", finder(db, ["P-1"]).candidates[0])]
        )
    counted = [r for r in pack.rules[:5] if not pack.on_trial(r, TODAY.isoformat())]
    assert len(counted) < 5, "one of them is on trial"
    assert set(one.outcomes) == {rule.id for rule in counted if rule.subject == "position"}
    assert set(one.failed) == {MAJOR, "minor", "observation"}
