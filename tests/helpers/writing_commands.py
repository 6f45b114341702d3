"""Every command that writes, on the small plant, with what each needs; tests/faults kills and stops them at their writes."""

from __future__ import annotations

import shutil
from contextlib import chdir
from pathlib import Path

from on_trial import in_place

DAY = ("--today", "2026-11-25")
WHY = ("--reason", "walk of 24 November", "--by", "rk")
LIST = (
    "tag,description,power_kw,fla_a\nC-090,spare feeder,15,28\nC-091,spare feeder,15,28\nC-092,spare feeder,11,a lot\n"
)
CURVE = "speed_pct,torque_pct,current_xfla\n0,210,6.9\n50,190,6.2\n80,220,5.1\n90,260,3.9\n98.33,100,1\n100,0,0.3\n"
START = "time_s,current_a\n0,0\n0.1,120\n2,118\n4,90\n5,41\n6,40\n"
FINDING = ("C-007", "line-protection/device-withstands-fault")
ASK = ("concede", "ask", *FINDING, "--until", "2027-06-30", *WHY, *DAY)
ASSIGN = ("actions", "assign", *FINDING, "--to", "anna", "--due", "2027-03-01", "--by", "rk", *DAY)
# What is done to the small plant first, so that there is something to take back, to bring back, to decide and to close.
FIRST = "tag,description,power_kw\nC-080,typed twice,15\nC-081,typed twice,\n"
BEFORE = (
    ("take-in", "first.csv", *WHY),
    ("correct", "K-001", "fla_a", "158", *WHY),
    ("retire", "C-006", *WHY),
    ASK,
    ASSIGN,
    ("audit", *DAY),
)
CHANGES = {
    "correct": ("correct", "C-002", "fla_a", "41.2", *WHY),
    "correct to a blank": ("correct", "C-002", "fla_a", "--blank", "illegible", *WHY),
    "record": ("record", "C-002", "bump test", "passed", "--on", "2026-11-20", "--by", "rk"),
    "take-in": ("take-in", "list.csv", "--refused", "refused.xlsx", "--save-mapping", "mapping.yml", *WHY),
    "swap": ("swap", "C-002", "--out", "failed", "--cause", "burnt out", "--model", "ONV-B065E", "--serial", "Z1",
             "--on", "2026-11-24", "--by", "rk", *DAY),
    "move": ("move", "device", "O72143747", "--status", "scrapped", *WHY),
    "retire": ("retire", "C-003", *WHY),
    "bring-back": ("bring-back", "C-006", *WHY),
    "remove": ("remove", "C-081", *WHY),
    "undo": ("undo", "3", *WHY),
    "audit": ("audit", "--keep", *DAY),
    "answer": ("answer", "inching", "no", "--where", "bus = 'LV-B'", *WHY, *DAY),
    "curve": ("curve", "C-002", "curve.csv", *WHY),
    "measured": ("measured", "C-002", "start.csv", "--on", "2026-10-02", "--by", "rk"),
    "concede ask": ("concede", "ask", "P-114", "control/voltage-matches-device", "--until", "2027-06-30", *WHY, *DAY),
    "concede approve": ("concede", "approve", "1", "--reason", "seen on the walk", "--by", "anna", *DAY),
    "concede refuse": ("concede", "refuse", "1", "--reason", "it is corrected this week", "--by", "anna", *DAY),
    "concede withdraw": ("concede", "withdraw", "1", *WHY, *DAY),
    "actions assign": (*ASSIGN[:2], "P-114", "control/voltage-matches-device", *ASSIGN[4:]),
    "actions close": ("actions", "close", "1", "--file", "start.csv", "--by", "rk", *DAY),
    "merge": ("merge", "copy.db", *WHY),
    "take-round": ("take-round", "round.json", "--by", "rk"),
}  # fmt: skip
FILES = {
    "new": ("new", "made.db", "--site", "Oldmarrow Works", "--practice", "us", "--frequency", "60"),
    "backup": ("backup", "made.db"),
    "export": ("export", "made.xlsx"),
    "export to a folder": ("export", "made"),
    "report": ("report", "--html", "made.html", *DAY),
    "report as data": ("report", "--sarif", "made.sarif", "--json", "made.json", *DAY),
    "review": ("review", "--pack", "made.zip", *DAY),
    "review to a folder": ("review", "--pack", "made", *DAY),
    "round": ("round", "--to", "made.html", *DAY),
    "labels": ("labels", "--to", "made.html", *DAY),
    "sheet": ("sheet", "C-002", "--html", "made.html", *DAY),
    "due": ("due", "--until", "2027-06", "--ics", "made.ics", *DAY),
    "study": ("study", "C-002", "--picture", "made.svg"),
    "plan": ("plan", "--budget", "40000", "--to", "made.xlsx", *DAY),
    "rules pages": ("rules", "pages", "made"),
    "key": ("key", "made.key"),
}
# The register's file is no option of these.
WITHOUT_REGISTER = {"new", "rules pages", "key"}


def prepared(small: Path, folder: Path) -> Path:
    """The small plant as these commands want it, with their files beside it; returns the register's place."""
    register = Path(shutil.copy(small, folder / "plant.db"))
    for name, text in (("first.csv", FIRST), ("list.csv", LIST), ("curve.csv", CURVE), ("start.csv", START)):
        (folder / name).write_text(text, "utf-8")
    with chdir(folder):
        for command in BEFORE:
            done(command, register)
        copy = Path("copy.db")
        done(("backup", str(copy)), register)
        done(("correct", "K-009", "fla_a", "190", *WHY), copy)
    (folder / "round.json").write_text(_round(register), "utf-8")
    return register


def done(command: tuple[str, ...], register: Path) -> None:
    """Do a command in the present folder; AssertionError where it fails."""
    ended = in_place([*command, "-r", register], Path())
    assert ended.code in (0, 1), f"{command}: {ended.told}"


def _round(register: Path) -> str:
    from register.rounds.saved_file import Answer, SavedRound, saved_text
    from register.store.database import opened
    from register.store.identity import register_id

    noon = "2026-11-24T12:00:00+01:00"
    with opened(register) as db:
        motor, value = db.execute("SELECT motor, fla_a FROM motor WHERE tag = 'C-003'").fetchone()
        found = Answer("motor", "C-003", "fla_a", motor, value, "value", 29.1, "29.1", "A", "", noon, None)
        made = SavedRound(register_id(db), "page-1", "Kvernhalla", "LV-A", noon, "R. Kvernø", noon, (found,), "")
    return saved_text(made)
