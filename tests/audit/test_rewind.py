"""An audit made again: the same bytes, whatever was changed since in register, rules and limits."""

import json
import sqlite3
from datetime import date
from io import StringIO

import by_path
import pytest
from by_path import of_register
from by_path import register_as_of as as_of
from rich.console import Console
from years_plant import FIRST, edit

from register.errors import RegisterDamaged, StartrollError
from register.intake.correct import set_value
from register.intake.take_in import take_in
from register.reports import json_data
from register.reports.terminal import report as terminal
from register.rulebook.load.files import files_in, hash_of, in_folders
from register.store import clock
from register.store.database import opened, writing

DAY = date(2024, 11, 25)


def printed(report):
    """The bytes of a report: the terminal's, and the JSON."""
    out = StringIO()
    terminal.show(report, Console(file=out, width=80), most=None)
    return out.getvalue() + json.dumps(json_data.report(report), default=str)


def played(path, day="2024-11-24T12:00:00"):
    """Let all that was done so far have been done on that day."""
    connection = sqlite3.connect(path)
    connection.execute("UPDATE change SET at = ?", [f"{day}.000Z"])
    connection.execute("UPDATE change_set SET made_on = ?", [f"{day}+00:00"])
    connection.execute("UPDATE audit SET made_at = ?", [f"{day}+00:00"])
    connection.commit()
    connection.close()


def everything_changes(path, rules, tmp_path):
    """Values, serials, assets, cells, rules, limits, assumed values, concessions: all another."""
    with opened(path, write=True) as db:
        tags = [r[0] for r in db.execute("SELECT tag FROM motor WHERE tag > '' AND fla_a > 1")]
    with opened(path, write=True) as db, writing(db, reason="read again", author="zz"):
        set_value(db, tags[0], "fla_a", "31.4159 A")
        set_value(db, tags[1], "fla_a", None, blank_reason="illegible")
        set_value(db, tags[2], "motor", "M-NEW-1")
        for sql in (
            "UPDATE model SET rated_current_a = rated_current_a / 3",
            "UPDATE bus SET fault_current_ka = NULL",
            "DELETE FROM bypass",
            "UPDATE site SET site_ambient_c = 49.1",
        ):
            db.conn.execute(sql)
    sheet = tmp_path / "later.csv"
    sheet.write_text(f"Tag,FLA,Area\n{tags[3]},77.7,Elsewhere\n{tags[4]},66.6,Elsewhere\n")
    take_in(path, [sheet], reason="a later list", author="zz")
    limits = rules / "limits.yml"
    limits.write_text(limits.read_text().replace("value: 3\n", "value: 1.1\n"))
    (rules / "overload" / "present.yml").unlink()
    standing = rules / "assumptions.yml"
    standing.write_text(standing.read_text().replace("stands_in: 40\n", "stands_in: 20\n"))
    table = rules / "tables" / "full-load-current.csv"
    table.write_text(table.read_text().replace("7.6", "9.9"))


@pytest.mark.dear
@pytest.mark.parametrize("plant", ["small", "demo"])
def test_a_day_comes_back_byte_for_byte_with_the_rules_kept_on_it(plant, request, rules, tmp_path):
    path = request.getfixturevalue(plant)
    was = printed(of_register(path, today=DAY, keep_as="rk"))
    played(path)
    if plant == "demo":
        everything_changes(path, rules, tmp_path)
    else:
        edit(path, "UPDATE motor SET fla_a = 1.0 / 3", "DELETE FROM bypass")
        (rules / "overload" / "present.yml").unlink()
    rewound = by_path.of_day(path, DAY)
    assert printed(rewound.report) == was
    assert "as kept with audit 1 of 2024-11-25" in rewound.notes[0]
    assert printed(of_register(path, today=DAY)) != was
    assert printed(by_path.again(path, "1").report) == was
    assert len(by_path.again(path, str(DAY)).notes) == 1


def test_an_audit_on_concessions_comes_back_as_they_stood(small):
    number = by_path.ask(small, "P-1", "sizing/current-covers-motor", until=DAY, reason="r", by="rk", today=DAY)
    by_path.decide(small, number, "approved", reason="r", by="sb", today=DAY)
    was = of_register(small, today=DAY, keep_as="rk")
    assert sum(was.conceded.values()) == 1
    by_path.decide(small, number, "withdrawn", reason="mended", by="sb", today=DAY)
    assert printed(by_path.again(small, "1").report) == printed(was)


def test_a_day_without_kept_rules_says_which_are_used(small):
    played(small)
    notes = by_path.of_day(small, DAY).notes
    assert "no rules were kept by 2024-11-25" in notes[0]
    with pytest.raises(StartrollError, match="has not come yet"):
        by_path.of_day(small, date(2999, 1, 1))
    with pytest.raises(StartrollError, match="no register on 2020-01-01\n  name a day from 2024-11-24"):
        by_path.of_day(small, date(2020, 1, 1))


def test_verdicts_that_come_out_otherwise_than_kept_are_said(small):
    of_register(small, today=FIRST, keep_as="rk")
    connection = sqlite3.connect(small)
    connection.execute("UPDATE verdict SET outcomes = 'P' || substr(outcomes, 2)")
    connection.execute("UPDATE audit SET method_hash = 'another', program_version = '0.0.9'")
    connection.commit()
    notes = " ".join(by_path.again(small, "1").notes)
    assert "another program (0.0.9)" in notes and "2 verdicts come out otherwise" in notes


def test_rules_are_kept_once_and_a_flipped_byte_is_found(small):
    for _ in range(3):
        of_register(small, today=FIRST, keep_as="rk")
    with opened(small, write=True) as db:
        assert db["audit"].count == 3
        assert db.execute("SELECT count(DISTINCT pack_hash) FROM pack_file").fetchone()[0] == 1
        db.execute("UPDATE content SET bytes = CAST(replace(bytes, 'a', 'e') AS BLOB)")
    with pytest.raises(RegisterDamaged, match="no longer what was kept"):
        by_path.again(small, "2")


def test_the_hash_of_rules_follows_every_file_they_judge_by(rules):
    files = files_in(rules, None)
    assert {"pack/assumptions.yml", "pack/limits.yml", "pack/tables/code-letters.csv"} <= set(files)
    hashes = {hash_of(files | {path: files[path] + b" "}) for path in files}
    assert len(hashes) == len(files) and hash_of(files) not in hashes


@pytest.mark.parametrize("path", ["pack/../../x.yml", "/etc/x.yml", "pack\\..\\x.yml", "x.yml"])
def test_a_register_cannot_write_outside_the_folder_of_its_rules(path):
    with pytest.raises(RegisterDamaged, match="leads out"), in_folders({path: b"x"}):
        pass


def test_numbers_come_back_to_the_last_digit(small):
    value = 100.0 / 3
    edit(small, f"UPDATE motor SET fla_a = {value!r} WHERE motor = 'M1'")
    played(small)
    edit(small, "UPDATE motor SET fla_a = 1 WHERE motor = 'M1'")
    row = as_of(small, DAY).execute("SELECT fla_a FROM motor WHERE motor = 'M1'").fetchone()
    assert row[0] == value


def test_the_day_ends_when_it_ends_on_site(small):
    # Denver is seven hours behind UTC in November (IANA data base).
    with opened(small) as db:
        assert clock.end_of(db, DAY) == "2024-11-26T07:00:00"
        assert clock.day_of(db, "2024-11-26T06:59:59+00:00") == DAY
    edit(small, "UPDATE motor SET fla_a = 50 WHERE motor = 'M1'")
    for instant, there in (("2024-11-26T06:59:59", 50.0), ("2024-11-26T07:00:00", 65.0)):
        connection = sqlite3.connect(small)
        connection.execute("UPDATE change SET at = '2024-01-01T00:00:00.000Z'")
        connection.execute(
            "UPDATE change SET at = ? WHERE change_id = (SELECT max(change_id) FROM change)", [f"{instant}.000Z"]
        )
        connection.commit()
        sql = "SELECT fla_a FROM motor WHERE motor = 'M1'"
        assert as_of(small, DAY).execute(sql).fetchone()[0] == there


def test_a_time_zone_that_is_none_is_refused(small):
    edit(small, "UPDATE site SET time_zone = 'Middle/Earth'")
    with pytest.raises(StartrollError, match="no time zone 'Middle/Earth'"):
        of_register(small)
