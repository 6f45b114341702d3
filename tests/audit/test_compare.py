"""Two audits of the demo plant a year apart: between them the plant, the rules, the limits, the
assumed values and the concessions change, each where this page says, and each cause has to be found.
"""

import csv
import shutil
import sqlite3
from datetime import date

import by_path
import pytest
from by_path import of_register
from shortcuts import verdicts_only
from years_plant import FIRST, SECOND, edit

import register
from register.errors import StartrollError
from register.resources import rules_folder, samples_folder
from register.rulebook.load.pack import load_pack
from register.rulebook.tables import CHECK_DAYS
from register.store.database import opened

pytestmark = pytest.mark.usefixtures("only_verdicts")

WAY, CARRIES = "bypass/critical-has-bypass", "sizing/current-covers-motor"
STOP, SPEED = "control/emergency-stop-hardwired", "application/variable-speed-needs-drive"
STARTS, COIL = "duty/starts-known-for-bypassed", "control/voltage-matches-device"
RESTART, ALTITUDE = "control/restart-by-itself-guarded", "sizing/altitude-within"
OVERSIZE = "sizing/not-far-oversized"
SET = "overload/set-within-nameplate"
BUMP = "commissioning/bump-tested"
NEW_RULE = "overload/of-our-own"

OWN = """\
title: The overload is set at all
title_failed: The overload is not set
grade: observation
practice: any
applies: overload_place = 'relay'
requires: overload_set_a > 1000
finding: "It is set at {overload_set_a}."
why: For a test.
action: None.
basis: ["common practice"]
examples:
  - {is: failed, overload_place: relay, overload_set_a: 1000}
  - {is: passed, overload_place: relay, overload_set_a: 1001}
  - {is: cant-tell, overload_place: relay, overload_set_a: null}
  - {is: inapplicable, overload_place: device, overload_set_a: 5}
"""


def seeded():
    """The first position of the demo plant, for each rule, at which the plant was made to fail it."""
    with (samples_folder() / "demo-plant" / "seeded.csv").open(encoding="utf-8", newline="") as file:
        return {row["rule"]: row["tag"] for row in reversed(list(csv.DictReader(file)))}


AT = seeded()


def replaced(path, old, new):
    text = path.read_text()
    assert old in text, (path, old)
    path.write_text(text.replace(old, new, 1))


def new_pack(rules):
    replaced(rules / "pack.yml", '"0.1"', '"0.2"')
    (rules / f"{NEW_RULE}.yml").write_text(OWN)
    (rules / f"{ALTITUDE}.yml").unlink()
    replaced(rules / f"{RESTART}.yml", "grade: major", "grade: minor")
    limits = rules / "limits.yml"
    text = limits.read_text()
    at = text.index("oversize_ratio:")
    limits.write_text(text[:at] + text[at:].replace("value: 3", "value: 1.5", 1))
    replaced(rules / "assumptions.yml", "stands_in: 40\n", "stands_in: 20\n")


def concede(path, tag, rule, until, today):
    number = by_path.ask(path, tag, rule, until=until, reason="spare ordered", by="rk", today=today)
    by_path.decide(path, number, "approved", reason="until then", by="sb", today=today)


def one(path, sql):
    with opened(path) as db:
        return db.execute(sql).fetchone()[0]


@pytest.fixture(scope="module")
def two_years(demo_bytes, tmp_path_factory):
    """The comparison, and the position each named edit was made at; made once, and only read."""
    folder = tmp_path_factory.mktemp("two-years")
    demo, rules = folder / "demo.db", folder / "rules"
    demo.write_bytes(demo_bytes)
    shutil.copytree(rules_folder(), rules)
    with pytest.MonkeyPatch.context() as patch, verdicts_only():
        patch.setattr("register.rulebook.load.pack.rules_folder", lambda: rules)
        return _two_years(demo, rules)


def _two_years(demo, rules):
    # The main of MCC-51 is above its feeder's ampacity and above what its motors permit; its bars carry it.
    edit(demo, "UPDATE bus SET bus_rating_a = 2000, feeder_ampacity_a = 800 WHERE bus = 'MCC-51'")
    concede(demo, AT[SPEED], SPEED, date(2026, 6, 30), FIRST)
    concede(demo, AT[STARTS], STARTS, date(2026, 11, 26), FIRST)
    of_register(demo, today=FIRST, keep_as="rk")
    at = {
        "new by data": one(demo, "SELECT min(tag) FROM control WHERE emergency_stop = 'hardwired'"),
        "judgeable": one(demo, "SELECT min(tag) FROM control WHERE emergency_stop IS NULL"),
    }
    edit(
        demo,
        f"UPDATE bypass SET bypass_arrangement = 'two-contactor' WHERE tag = '{AT[WAY]}'",
        f"UPDATE motor SET fla_a = fla_a * 1.03 WHERE tag = '{AT[CARRIES]}'",
        f"UPDATE motor SET fla_a = fla_a * 1.001 WHERE tag = '{AT[SET]}'",
        f"UPDATE control SET emergency_stop = 'network' WHERE tag IN ('{at['new by data']}', '{at['judgeable']}')",
        f"UPDATE control SET emergency_stop = NULL WHERE tag = '{AT[STOP]}'",
        "INSERT INTO position (tag, criticality, standby, service_kind) VALUES ('X-1', 'critical', 'none', 'process')",
        "INSERT INTO bypass (tag, bypass_arrangement) VALUES ('X-1', 'none')",
        "INSERT INTO device (device, model, device_status, tag)"
        " SELECT 'D-X1', model, 'in service', 'X-1' FROM device JOIN model USING (model)"
        " WHERE device_kind = 'soft starter' LIMIT 1",
        *(
            f"DELETE FROM {table} WHERE tag = '{AT[BUMP]}'"
            for table in ("record", "event", "protection", "bypass", "control")
        ),
        f"UPDATE motor SET tag = NULL WHERE tag = '{AT[BUMP]}'",
        f"UPDATE device SET tag = NULL WHERE tag = '{AT[BUMP]}'",
        f"DELETE FROM position WHERE tag = '{AT[BUMP]}'",
        "INSERT INTO device (device, model, device_status) SELECT 'D-NEW', model,"
        f" 'in store' FROM device WHERE tag = '{AT[STARTS]}'",
        f"UPDATE device SET tag = NULL WHERE tag = '{AT[STARTS]}'",
        f"UPDATE device SET tag = '{AT[STARTS]}', device_status = 'in service' WHERE device = 'D-NEW'",
    )
    new_pack(rules)
    concede(demo, AT[COIL], COIL, date(2027, 3, 1), SECOND)
    of_register(demo, today=SECOND, keep_as="rk")
    return by_path.compare(demo, "1", "2"), at


def test_two_audits_a_year_apart_compare_with_every_cause_right(two_years):
    made, at = two_years
    found = {(d.rule, d.tag): d for d in made.differences}
    expected = {
        (WAY, AT[WAY]): ("gone", "data", "bypass_arrangement none → two-contactor"),
        (CARRIES, AT[CARRIES]): ("worse", "data", "fla_a"),
        (SET, AT[SET]): ("better", "data", "fla_a"),
        (STOP, at["new by data"]): ("new", "data", "emergency_stop hardwired → network"),
        (STOP, at["judgeable"]): ("new", "became judgeable", "emergency_stop unknown → network"),
        (STOP, AT[STOP]): ("gone", "no longer judgeable", "emergency_stop network → unknown"),
        (WAY, "X-1"): ("new", "position added", ""),
        (BUMP, AT[BUMP]): ("gone", "position retired", ""),
        (ALTITUDE, AT[ALTITUDE]): ("gone", "rule", "the rule was taken out"),
        (RESTART, AT[RESTART]): ("better", "rule", "grade: major → minor"),
        (SPEED, AT[SPEED]): ("worse", "concession", "its last day was 2026-06-30"),
        (STARTS, AT[STARTS]): ("worse", "concession", "the device was replaced"),
        (COIL, AT[COIL]): ("conceded", "concession", "approved by sb on 2026-11-25"),
    }
    told = {pair: (found[pair].kind, found[pair].cause) for pair in expected}
    assert told == {pair: (kind, cause) for pair, (kind, cause, _) in expected.items()}
    for pair, (_, _, detail) in expected.items():
        assert detail in found[pair].detail
    assert made.unexplained == ()


def test_what_was_edited_nowhere_has_no_cause_in_the_data(two_years):
    made, at = two_years
    edited = {AT[rule] for rule in (WAY, SET, CARRIES, STOP, STARTS, BUMP)} | {"X-1", *at.values()}
    # A lineup's limit and the places of a spare hang on what its positions are known to be.
    counted = {(d.tag, d.cause) for d in made.differences if " " in d.tag and d.cause != "rule"}
    assert ("bus MCC-51", "no longer judgeable") in counted  # X-1 may stand on any bus
    causes = {}
    for d in made.differences:
        if d.tag not in edited and " " not in d.tag and d.cause != "concession":
            causes.setdefault(d.cause, set()).add(d.rule)
    assert set(causes) == {"limit", "rule", "assumed value", "day"}
    assert causes["limit"] == {OVERSIZE}
    assert causes["rule"] == {NEW_RULE, ALTITUDE, RESTART}
    assert causes["assumed value"] <= {"sizing/current-covers-motor", "sizing/derated-margin", "sizing/ambient-within"}
    # A check counts from its day on, so what reads one depends on the day of the audit too.
    aging = {rule.id for rule in load_pack().rules if rule.reads_today or CHECK_DAYS.intersection(rule.columns)}
    assert {"bypass/bypass-tested", "commissioning/thermography-current"} <= causes["day"] <= aging
    limit = next(d for d in made.differences if d.cause == "limit")
    assert ":oversize_ratio 3 → 1.5 (pack" in limit.detail
    assert {d.kind for d in made.differences if d.cause == "limit"} == {"new", "worse"}


def test_the_numbers_add_up(two_years):
    made, _ = two_years
    kinds = {kind: len(made.of_kind(kind)) for kind in ("new", "gone", "worse", "better", "conceded")}
    assert made.findings_after == made.findings_before + kinds["new"] - kinds["gone"]
    both = made.findings_before - kinds["gone"]
    assert len(made.persisting) == both - kinds["worse"] - kinds["better"] - kinds["conceded"]
    assert (made.conceded_before, made.conceded_after) == (2, 1)
    assert sum(sum(c.values()) for c in made.counts.values()) == len(made.differences)


def test_a_verdict_that_another_program_gave_is_the_program_s(small):
    for _ in range(2):
        of_register(small, today=FIRST, keep_as="rk")
    assert by_path.compare(small, "1", "2").differences == ()
    connection = sqlite3.connect(small)
    connection.execute("UPDATE verdict SET outcomes = '-' || substr(outcomes, 2) WHERE audit_id = 1 AND tag = 'P-1'")
    connection.commit()
    made = by_path.compare(small, "1", "2")
    assert [d.cause for d in made.unexplained] == [""]
    connection.execute("UPDATE audit SET method_hash = 'x', program_version = '0.0.9' WHERE audit_id = 1")
    connection.commit()
    made = by_path.compare(small, "1", "2")
    assert [(d.cause, d.detail) for d in made.differences] == [("program", f"0.0.9 → {register.__version__}")]


def test_a_site_s_own_limit_is_a_limit(small, tmp_path):
    site = tmp_path / "site"
    site.mkdir()
    edit(small, "UPDATE motor SET fla_a = 30 WHERE motor = 'M1'")
    of_register(small, today=FIRST, keep_as="rk")
    (site / "limits.yml").write_text(
        "overrides:\n  - {limit: oversize_ratio, area: Wet end, value: 1.5, reason: small loads,"
        " by: rk, on: 2025-11-25}\n"
    )
    of_register(small, today=FIRST, site_rules=site, keep_as="rk")
    made = by_path.compare(small, "1", "2")
    assert [(d.kind, d.cause) for d in made.differences] == [("new", "limit")]
    assert "3 → 1.5 (area Wet end: small loads" in made.differences[0].detail


def test_stand_ins_left_out_are_the_cause_of_what_cannot_be_told(small):
    of_register(small, today=FIRST, keep_as="rk")
    of_register(small, today=FIRST, keep_as="rk", measured_only=True)
    made = by_path.compare(small, "1", "2")
    assert {d.cause for d in made.differences} == {"assumed value"}
    assert (CARRIES, "P-1") in {(d.rule, d.tag) for d in made.of_kind("gone")}


def test_where_a_margin_moved_by_two_things_the_larger_is_the_cause(small, rules):
    edit(small, "UPDATE motor SET fla_a = 20 WHERE motor = 'M1'")
    of_register(small, today=FIRST, keep_as="rk")
    # The ratio goes from 3.3 to 6.6 by the motor; the limit from 3 to 3.1 by the pack.
    edit(small, "UPDATE motor SET fla_a = 10 WHERE motor = 'M1'")
    limits = rules / "limits.yml"
    text = limits.read_text()
    at = text.index("oversize_ratio:")
    limits.write_text(text[:at] + text[at:].replace("value: 3", "value: 3.1", 1))
    of_register(small, today=FIRST, keep_as="rk")
    found = {d.rule: d for d in by_path.compare(small, "1", "2").differences}
    assert (found[OVERSIZE].kind, found[OVERSIZE].cause) == ("worse", "data")


def test_an_audit_that_was_not_kept_is_refused_with_those_that_were(small):
    of_register(small, today=FIRST, keep_as="rk")
    with pytest.raises(StartrollError, match="no audit '7' was kept\n  kept are: 1"):
        by_path.compare(small, "1", "7")


def test_a_value_taken_back_for_which_a_stand_in_steps_in_is_lost_and_not_mended(demo):
    of_register(demo, today=FIRST, keep_as="rk")
    edit(demo, f"UPDATE position SET altitude_m = NULL WHERE tag = '{AT[ALTITUDE]}'")
    of_register(demo, today=FIRST, keep_as="rk")
    made = by_path.compare(demo, "1", "2")
    found = next(d for d in made.differences if (d.rule, d.tag) == (ALTITUDE, AT[ALTITUDE]))
    assert (found.kind, found.cause) == ("gone", "value lost")
    assert " → unknown (" in found.detail and "m stands in)" in found.detail and made.unexplained == ()
