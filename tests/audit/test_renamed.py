"""Registers from before a rule or a word of a closed list was renamed: nothing in them is lost."""

import json
from datetime import date

import pytest
from by_path import actions, again, ask, assign, compare, concessions, decide, explained, of_register
from years_plant import FIRST, edit

from register.columns.renamed import RULES, VALUES
from register.rulebook.load.files import files_in, hash_of, in_folders
from register.rulebook.load.kept_files import present_form
from register.rulebook.load.pack import load_pack
from register.store.database import opened, writing

pytestmark = pytest.mark.usefixtures("only_verdicts")

OLD, NEW = "bypass/critical-has-way-round", "bypass/critical-has-bypass"


def before(path, sql, *values):
    """Write to the register what an older program would have written."""
    with opened(path, write=True) as db, writing(db, reason="of an older program", author="rk"):
        db.conn.execute(sql, values)


def old_form(files):
    """The files of a pack as they were: old ids and words, one title."""
    made = {}
    ids, (words,) = {new: old for old, new in RULES.items()}, VALUES.values()
    for path, data in files.items():
        for new, old in ids.items():
            path = path.replace(f"/{new}.yml", f"/{old}.yml")
        lines = data.decode().splitlines(keepends=True)
        text = "".join(line for line in lines if not line.startswith("title_failed:"))
        for old, new in words.items():
            text = text.replace(new, old)
        made[path] = text.encode()
    return made


def keep_old(path, number):
    """Make of a kept audit one that an older program kept: its rules, its ids."""
    pack = load_pack()
    files = old_form(files_in(pack.folder, None))
    with opened(path, write=True) as db, writing(db, reason="of an older program", author="rk"):
        from register.store.packs import keep_pack

        keep_pack(db, hash_of(files), files)
        rules = json.loads(db.execute("SELECT rules FROM audit WHERE audit_id = ?", [number]).fetchone()[0])
        rules = json.dumps([OLD if rule == NEW else rule for rule in rules])
        db.conn.execute("UPDATE audit SET pack_hash = ?, rules = ? WHERE audit_id = ?", [hash_of(files), rules, number])
        db.conn.execute("UPDATE finding SET rule = ? WHERE rule = ?", [OLD, NEW])


def test_a_concession_under_the_old_id_still_holds(small):
    number = ask(small, "P-1", NEW, until=date(2026, 6, 30), reason="r", by="rk", today=FIRST)
    decide(small, number, "approved", reason="r", by="sb", today=FIRST)
    before(small, "UPDATE concession SET rule = ?", OLD)
    (standing,) = concessions(small, today=FIRST)
    assert (standing.rule, standing.status) == (NEW, "used")
    assert of_register(small, today=FIRST).conceded["major"] == 1


def test_an_action_under_the_old_id_goes_on(small):
    assign(small, "P-1", NEW, to="ml", due=date(2026, 2, 1), by="rk", today=FIRST)
    before(small, "UPDATE action SET against_rule = ?", OLD)
    (followed,) = actions(small, today=FIRST)
    assert (followed.rule, followed.state) == (NEW, "open")
    assign(small, "P-1", NEW, to="sb", due=date(2026, 3, 1), by="rk", today=FIRST)
    assert len(actions(small, today=FIRST)) == 1  # the same action, reassigned


def test_a_kept_audit_under_the_old_id_is_compared_and_made_again(small):
    of_register(small, today=FIRST, keep_as="rk")
    keep_old(small, 1)
    of_register(small, today=FIRST, keep_as="rk")
    made = compare(small, "1", "2")
    assert made.differences == () and (NEW, "P-1") in made.persisting
    rewound = again(small, "1").report
    assert NEW in {finding.rule for finding in rewound.findings}


def test_rules_kept_before_there_were_two_titles_say_not_met(small):
    files = old_form(files_in(load_pack().folder, None))
    with in_folders(present_form(files)) as (folder, site):
        pack = load_pack(folder, site)
    now = load_pack()
    assert [rule.id for rule in pack.rules] == [rule.id for rule in now.rules]
    assert [rule.requires for rule in pack.rules] == [rule.requires for rule in now.rules]
    assert pack.rule(NEW).title_failed == f"Not met: {now.rule(NEW).title}"


def test_broken_kept_files_are_left_as_they_are():
    files = {"pack/a/b.yml": b"title: [", "pack/c/d.yml": b"\xff", "pack/tables/t.csv": b"a,b\n"}
    made = present_form(files)
    assert {path: made[path] for path in files} == files
    # Only tables are put beside them, and only those that this version's calculations ask for.
    assert made.keys() - files.keys() == {path for path in files_in(load_pack().folder, None) if "/tables/" in path}


@pytest.mark.parametrize("rule", [OLD, NEW])
def test_the_old_id_may_still_be_typed(small, rule):
    assert explained(small, "P-1", rule, today=FIRST).rule == NEW


def test_a_concession_on_a_renamed_word_is_not_void(small):
    edit(
        small,
        "UPDATE position SET surge_risk = 'yes', load_kind = 'conveyor' WHERE tag = 'P-1'",
        "INSERT OR IGNORE INTO setting (device, setting_recorded_on) SELECT device, '2025-01-01' FROM device WHERE tag = 'P-1'",
        "UPDATE setting SET stop_mode = 'ramp for pumps'",
    )
    rule = "settings/stop-mode-fits"
    number = ask(small, "P-1", rule, until=date(2026, 6, 30), reason="r", by="rk", today=FIRST)
    decide(small, number, "approved", reason="r", by="sb", today=FIRST)
    before(small, "UPDATE concession SET basis = replace(basis, 'ramp for pumps', 'pump stop')")
    (standing,) = concessions(small, today=FIRST)
    assert standing.status == "used", standing.why
