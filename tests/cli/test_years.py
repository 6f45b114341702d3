"""The commands of the annual review as they are typed: keep, concede, assign, close, compare."""

import json
from datetime import date
from pathlib import Path

import by_path
import pytest
from refusals import refused

from register.store import clock
from register.store.database import opened, writing

FIRST, LATER = ("--today", "2025-11-25"), ("--today", "2026-11-25")
WAY_ROUND = ("P-1", "bypass/critical-has-bypass")
REASON = ("--reason", "spare ordered")
BY_RK, BY_SB = ("--by", "rk"), ("--by", "sb")


@pytest.fixture(scope="session")
def years_register(tmp_path_factory, small_register):
    """The small register where no soft starter has a bypass: concession 1 asked for, 2 withdrawn."""
    path = tmp_path_factory.mktemp("years") / "plant.db"
    path.write_bytes(small_register)
    with opened(path, write=True) as db, writing(db, reason="walk"):
        db.conn.execute("UPDATE position SET criticality = 'critical', standby = 'none', service_kind = 'process'")
        db.conn.execute("INSERT INTO bypass (tag, bypass_arrangement) VALUES ('P-1', 'none'), ('P-2', 'none')")
        db.conn.execute("INSERT INTO model (model, device_kind) VALUES ('Tarn 1', 'soft starter')")
        for device, tag in (("D1", "P-1"), ("D2", "P-2")):
            db.conn.execute("INSERT INTO device (device, model, tag) VALUES (?, 'Tarn 1', ?)", [device, tag])
    how = {"until": date(2026, 6, 30), "reason": "spare ordered", "by": "rk", "today": date(2025, 11, 25)}
    for tag in ("P-1", "P-2"):
        by_path.ask(path, tag, WAY_ROUND[1], **how)
    by_path.decide(path, 2, "withdrawn", reason="mended", by="sb", today=how["today"])
    return path.read_bytes()


@pytest.fixture
def plant(plant, years_register):
    plant.write_bytes(years_register)
    return plant


def fits(ran):
    assert not ran.err
    assert max(map(len, ran.out.splitlines())) <= 80, ran.out


def test_a_year_from_keeping_to_comparing(startroll, plant):
    again = ("concede", "ask", "P-2", WAY_ROUND[1], "--until", "2026-06-30")
    ran = startroll(*again, *REASON, *BY_RK, *FIRST)
    assert (ran.code, ran.err) == (0, "") and "Concession 3 is asked for" in ran.out
    ran = startroll("concede", "approve", 1, *REASON, *BY_SB, *FIRST)
    assert ran.code == 0 and "used" in ran.out and "until 2026-06-30" in ran.out
    typed = ("actions", "assign", *WAY_ROUND, "--to", "ml", "--due", "2026-03-01", *BY_RK, *FIRST)
    assert "Action 1 is assigned to ml" in startroll(*typed).out
    assert "Action 1 is reassigned to ml" in startroll(*typed).out
    ran = startroll("audit", "--keep", *BY_RK, *FIRST)
    fits(ran)
    assert "1 of them conceded" in ran.out and "due on 2026-03-01" in ran.out

    Path("photo.jpg").write_bytes(b"x")
    typed = ("actions", "close", 1, "--file", "photo.jpg", *LATER)
    assert "closed, unchecked" in startroll(*typed).out
    ran = startroll("audit", "--keep", *BY_RK, *LATER)
    fits(ran)
    assert ran.code == 4
    assert "Void, and the finding stands again: 1" in ran.out
    assert "Closed, still failing: 1" in ran.out

    for typed, words in (
        (("audits",), "2026-11-25"),
        (("concede", "list", *LATER), "Void: 1"),
        (("actions", "list", *LATER), "Closed, still failing: 1"),
        (("compare", "1", "2"), "concession: its last day was 2026-06-30"),
        (("explain", *WAY_ROUND, *LATER), "Concession 1 void"),
    ):
        ran = startroll(*typed)
        fits(ran)
        assert ran.code == 0 and words in ran.out
        assert json.loads(startroll(*typed, "--json").out)
    made = json.loads(startroll("compare", "2025-11-25", "2026-11-25", "--json").out)
    assert made["unexplained"] == [] and made["counts"]["worse"] == {"concession": 1}


def test_what_was_kept_is_shown_again_the_same(startroll, plant):
    kept = startroll("audit", "--keep", *BY_RK, *FIRST)
    startroll("correct", "P-1", "bypass_arrangement", "two-contactor", *REASON)
    assert startroll("audit", *FIRST).out != kept.out
    again = startroll("audits", "1")
    assert (again.code, again.out) == (0, kept.out)
    assert "audit 1 of 2025-11-25, kept by rk" in again.err


def test_an_audit_as_of_a_day_says_beside_it_which_rules_it_used(startroll, plant):
    with opened(plant) as db:
        day = clock.today(db).isoformat()
    ran = startroll("audit", "--as-of", day)
    assert ran.code == 1 and ran.out == startroll("audit", "--today", day).out
    assert f"no rules were kept by {day}" in ran.err


# fmt: off
BAD = {
    "approved by its asker": (("concede", "approve", "1", *REASON, "--by", "RK"),
                              "cannot approve it", "someone else"),
    "decided twice": (("concede", "refuse", "2", *REASON, *BY_SB), "was withdrawn by sb", "ask"),
    "no such concession": (("concede", "approve", "9", *REASON), "no concession 9", "concede list"),
    "no reason": (("concede", "approve", "1", "--reason", " ", *BY_SB), "no reason", "say why"),
    "asked twice": (("concede", "ask", *WAY_ROUND, "--until", "2027-01-01", *REASON),
                    "there is concession 1 for it", "concede withdraw 1"),
    "what passes": (("concede", "ask", "P-1", "nameplate/frequency-fits-site", "--until",
                     "2027-01-01", *REASON), "nothing to concede", "startroll explain"),
    "no day": (("concede", "ask", *WAY_ROUND, "--until", "soon", *REASON),
               "'soon' is not a day", "2026-03-01"),
    "no such rule": (("actions", "assign", "P-1", "bypass/critical-has-a-way-round", "--to", "x",
                      "--due", "2027-01-01"), "no rule", "did you mean"),
    "a day past": (("actions", "assign", *WAY_ROUND, "--to", "x", "--due", "2020-01-01"),
                   "2020-01-01 is past", "name a day"),
    "no such action": (("actions", "close", "9", "--record", "bump test"), "no action 9", "list"),
    "no such audit": (("compare", "1", "2"), "no audit '1' was kept", "audit --keep"),
    "nothing kept": (("audits", "3"), "no audit '3' was kept", "audit --keep"),
    "kept as of": (("audit", "--as-of", "2025-01-01", "--keep"), "is not kept", "leave --keep"),
    "no day as of": (("audit", "--as-of", "then"), "'then' is not a day", "2026-03-01"),
    "a day to come": (("audit", "--as-of", "2999-01-01"), "has not come yet", "name a day"),
    "a day before": (("audit", "--as-of", "2001-01-01"), "no register on 2001", "name a day"),
}
# fmt: on


@pytest.mark.parametrize("name", BAD)
def test_what_is_refused_says_why_and_what_to_do_and_changes_nothing(startroll, plant, name):
    with opened(plant) as db:
        before = list(db["concession"].rows), list(db["action"].rows)
    typed, cause, remedy = BAD[name]
    day = () if typed[0] in ("audit", "audits", "compare") else ("--today", "2025-12-01")
    refused(startroll(*typed, *day), 2, "", cause, remedy)
    with opened(plant) as db:
        assert (list(db["concession"].rows), list(db["action"].rows)) == before


def test_compared_the_wrong_way_round(startroll, plant):
    for _ in range(2):
        startroll("audit", "--keep", *FIRST)
    refused(startroll("compare", "2", "1"), 2, "", "not kept after", "older one first")


def test_a_time_zone_that_is_none_is_refused(startroll, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    new = ("new", "x.db", "--site", "Fenwick Mill", "--practice", "iec", "--time-zone")
    refused(startroll(*new, "Oslo"), 2, "time_zone", "no time zone 'Oslo'", "Europe/Oslo")
    assert startroll(*new, "Europe/Oslo").code == 0
