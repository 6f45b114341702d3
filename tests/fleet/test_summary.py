"""One register's summary: the same as an audit of it says, and the register as it was."""

import gzip
import hashlib
import re
import shutil
import sqlite3
from collections import Counter
from pathlib import Path

import pytest
from fleet_made import DAY, rows

from register.audit.findings import unknowns, unopened
from register.audit.report import fields_to_read
from register.audit.session import AuditRequest, session
from register.facts.standard_tables import load_tables
from register.fleet.asked import Asked
from register.fleet.joined import MARK
from register.fleet.places import Place, found
from register.fleet.summary import summaries
from register.planning.years.failure_rates import rates
from register.store.database import opened, writing
from register.text import visible

OLDER = sorted((Path(__file__).parents[1] / "store" / "data").glob("*.db.gz"))
COUNTS = ("failed", "passed", "cant_tell", "inapplicable")
ASKED = Asked(today=DAY)
LIMITS = """overrides:
  - {{limit: inspection_days, site: true, value: {}, reason: tried, by: rk, on: 2026-01-10}}
"""


def of(paths, asked=ASKED):
    return summaries([Place(str(path), path) for path in paths], asked, {})


def digest(path):
    return hashlib.sha256(path.read_bytes()).hexdigest(), path.stat().st_mtime_ns


def counted(summary, by="own"):
    told = Counter()
    for row in rows(summary, "verdicts"):
        if row["by"] == by:
            told.update({(row["subject"], row["rule"], name): row[name] for name in COUNTS})
    return +told


def audited(path, site_rules=None):
    """What an audit of that register alone says: the verdicts counted, and each finding's margin."""
    with session(path, AuditRequest(today=DAY, site_rules=site_rules), write=False) as asked:
        audit = asked.audit()
        verdicts = Counter(
            (table.subject, rule.id, audit.outcome(tag, rule.id).word.replace("-", "_").replace("'", ""))
            for table in audit.tables
            for rule in table.rules
            for tag in table.tags
        )
        return verdicts, {(f.rule, f.tag, f.subject): f.margin for f in unopened(asked.db, audit)}


@pytest.fixture(scope="module")
def summed(made):
    """Plants judged in one scan, among them copies of one and the same."""
    paths = sorted(made.glob("*.db"))
    return dict(zip(paths, of(paths), strict=True))


def test_judged_side_by_side_as_judged_alone(summed):
    for path, summary in summed.items():
        verdicts, margins = audited(path)
        assert counted(summary) == verdicts
        findings = {(f["rule"], f["tag"], f["subject"]): f["margin"] for f in rows(summary, "findings")}
        assert findings == pytest.approx(margins)


def test_a_blank_that_does_not_apply_and_a_group_of_any_size_change_nothing(plants):
    paths = sorted(plants.glob("*.db"))[:4]
    with opened(paths[2], write=True) as db, writing(db, reason="walk", author="rk"):
        tag = db.conn.execute("SELECT min(tag) FROM position WHERE cable_length_m IS NULL").fetchone()[0]
        blank = {"table_name": "position", "row_key": tag, "column_name": "cable_length_m", "reason": "not applicable"}
        db["blank"].insert(blank)
    together = of(paths)
    assert counted(together[2]) == audited(paths[2])[0]
    assert [one.tables for one in together] == [of([path])[0].tables for path in paths]


def test_every_field_that_an_audit_asks_for_is_among_the_unknown(summed):
    path, summary = next(iter(summed.items()))
    with session(path, AuditRequest(today=DAY), write=False) as asked:
        fields = fields_to_read(u for u in unknowns(asked.db, asked.audit()) if u.subject == "position")
    told = {row["field"]: row["verdicts"] for row in rows(summary, "unknown")}
    assert fields
    for field in fields:
        assert told.get(field.column, 0) > 0, field.column


def test_failures_add_up_to_those_of_the_store(summed):
    for path, summary in summed.items():
        told = Counter()
        for row in rows(summary, "failures"):
            told[row["kind"], row["high_voltage"]] += row["failures"]
        with opened(path) as db:
            expected = {key: rate.failures for key, rate in rates(db, tables=load_tables(), today=DAY).items()}
        assert {key: told[key] for key in expected} == expected


def test_no_register_is_changed(plants):
    paths = sorted(plants.glob("*.db"))
    connection = sqlite3.connect(paths[0])  # its facts are stale, and an audit would build them in the file
    connection.execute("UPDATE facts_state SET change_id = 0, method_hash = 'another'")
    connection.commit()
    connection.close()
    before = [digest(path) for path in paths]
    assert rows(of(paths)[0], "verdicts")
    assert [digest(path) for path in paths] == before
    assert sorted(plants.iterdir()) == paths


@pytest.mark.parametrize("packed", OLDER, ids=lambda path: path.name)
def test_a_register_of_an_earlier_version_is_judged_and_stays_as_it_is(packed, tmp_path):
    path = tmp_path / "old.db"
    path.write_bytes(gzip.decompress(packed.read_bytes()))
    before = digest(path)
    (summary,) = of([path])
    assert rows(summary, "plants")[0]["reason"] is None
    assert rows(summary, "verdicts")
    assert digest(path) == before


def test_a_write_that_was_cut_off_is_undone_in_a_copy_only(plants):
    path = min(plants.glob("*.db"))
    whole = of([path])[0].tables
    writer = sqlite3.connect(path, isolation_level=None)
    writer.execute("PRAGMA cache_size = 5")
    writer.execute("BEGIN IMMEDIATE")
    writer.execute("UPDATE position SET description = hex(randomblob(300)), area = 'elsewhere'")
    cut = path.with_name("cut.db")
    for ending in ("", "-journal"):
        shutil.copyfile(f"{path}{ending}", f"{cut}{ending}")
    writer.execute("ROLLBACK")
    writer.close()
    before = digest(cut)
    assert cut.read_bytes() != path.read_bytes(), "the write reached the file before it was cut off"
    assert of([cut])[0].tables["verdicts"] == whole["verdicts"]
    assert digest(cut) == before and cut.with_name("cut.db-journal").exists()


def _cut(path):
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def _zeroed(path):
    data = bytearray(path.read_bytes())
    connection = sqlite3.connect(path)
    page = connection.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'device'").fetchone()[0]
    size = connection.execute("PRAGMA page_size").fetchone()[0]
    connection.close()
    data[(page - 1) * size : page * size] = bytes(size)
    path.write_bytes(data)


def _of_later_form(path):
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA user_version = 999")
    connection.close()


BROKEN = {
    "cut": (_cut, "damaged|no sound"),
    "a page of zeros": (_zeroed, "damaged|no sound"),
    "a text": (lambda path: path.write_text("tag,power\n" * 50), "register"),
    "empty": (lambda path: path.write_bytes(b""), "no register"),
    "of a later version": (_of_later_form, "later version"),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_register_that_cannot_be_judged_is_a_row_and_stops_no_other(plants, name):
    spoil, word = BROKEN[name]
    paths = sorted(plants.glob("*.db"))[:3]
    whole = of(paths)
    spoil(paths[1])
    told = of(paths)
    head = rows(told[1], "plants")[0]
    assert re.search(word, head["reason"]) and head["place"] == str(paths[1])
    assert "did not foresee" not in head["reason"]
    assert set(told[1].tables) == {"plants"}
    assert [one.tables for one in told[::2]] == [one.tables for one in whole[::2]]


def test_a_plant_is_judged_by_its_own_rules_and_by_those_of_the_fleet(plants):
    paths = sorted(plants.glob("*.db"))[:2]
    own, common = paths[1].with_name(f"{paths[1].stem}.site-rules"), plants.parent / "fleet-rules"
    for folder, value in ((own, 3000), (common, 1)):
        folder.mkdir()
        (folder / "limits.yml").write_text(LIMITS.format(value), encoding="utf-8")
    with found([str(plants)]) as places:
        told = summaries(places[:2], Asked(today=DAY, fleet_rules=common), {})
    for path, summary, rules in zip(paths, told, (None, own), strict=True):
        assert counted(summary) == audited(path, rules)[0]
        assert counted(summary, "fleet") == audited(path, common)[0] != counted(summary)
        assert bool(rows(summary, "plants")[0]["own_rules"]) is (rules is not None)


def test_the_mark_between_registers_is_no_sign_that_an_entry_may_hold():
    assert visible(f"P-1{MARK}") != f"P-1{MARK}"
