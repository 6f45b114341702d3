"""A roll-up without names, of plants that share spares, have rules of their own, or cannot be judged: no name gets out."""

import io
import re
import shutil
import zipfile
from dataclasses import replace
from html import unescape

import pytest
from fleet_made import DAY
from rich.console import Console

from register import columns
from register.fleet.asked import Asked
from register.fleet.rollup import roll_up
from register.reports.fleet.document import page
from register.reports.fleet.workbook import workbook
from register.reports.json_data import plain, written
from register.reports.terminal.fleet import fleet as shown
from register.store.database import opened, writing

RULE = """title: {title}
title_failed: {title} is not so
grade: major
harm: production
practice: any
takes: [reading]
requires: cable_length_m <= 0.5
finding: "The cable is {{cable_length_m}} long."
why: The works of Ombrecliff have asked for it.
action: Ask at Ombrecliff.
basis: ["common practice"]
examples:
  - {{is: passed, cable_length_m: 0.5}}
  - {{is: failed, cable_length_m: 0.6}}
  - {{is: cant-tell}}
"""
TITLE = "Every cable is as Ombrecliff’s drive maker wants it"
SECRET = ("Ombrecliff", "ombre-cable", "drive maker wants", "Ask at", "secret reason", "A. Nonym")


@pytest.fixture(scope="module")
def spread(made, tmp_path_factory):
    """The fleet in two folders; one plant with rules and limits of its own, a copy of one, one that is damaged."""
    folder = tmp_path_factory.mktemp("company-of-ombrecliff")
    for number, path in enumerate(sorted(made.glob("*.db"))):
        (folder / f"region-{number % 2}").mkdir(exist_ok=True)
        shutil.copyfile(path, folder / f"region-{number % 2}" / f"ombrecliff-works-{number}.db")
    first, second, third, *_ = sorted(folder.rglob("*.db"))
    rules = first.with_name(f"{first.stem}.site-rules")
    (rules / "ombre-cable").mkdir(parents=True)
    (rules / "ombre-cable" / "as-wanted.yml").write_text(RULE.format(title=TITLE), encoding="utf-8")
    (rules / "taken-in.yml").write_text(
        "- {rule: ombre-cable/as-wanted, reason: secret reason, by: A. Nonym, on: 2026-01-01}\n", encoding="utf-8"
    )
    (rules / "limits.yml").write_text(
        "overrides:\n  - {limit: inspection_days, site: true, value: 3000, reason: secret reason, by: A. Nonym, on: 2026-01-10}\n",
        encoding="utf-8",
    )
    with opened(first, write=True) as db, writing(db, reason="walked", author="A. Nonym"):
        db.conn.execute("UPDATE position SET cable_length_m = 40")
    shutil.copyfile(second, second.with_name("copy-of-ombrecliff.db"))
    shutil.copyfile(third, third.with_name("damaged-ombrecliff.db"))
    third.with_name("damaged-ombrecliff.db").write_bytes(third.read_bytes()[:5000])
    return folder


@pytest.fixture(scope="module")
def asked():
    return Asked(today=DAY, days_between=(1.0, 4.0))


def told(report):
    """Everything that is handed on, as text."""
    console = Console(file=io.StringIO(), width=400)
    console.print(shown(report, show_all=True))
    with zipfile.ZipFile(io.BytesIO(workbook(report))) as archive:
        book = "\n".join(archive.read(name).decode("utf-8", "replace") for name in archive.namelist())
    return {
        "page": unescape(page(report)),
        "workbook": unescape(book),
        "JSON": written(plain(replace(report, rates_file=b""))),
        "screen": console.file.getvalue(),
    }


def names_in(folder, report):
    """Whatever tells a plant: names of sites, files and folders, tags, areas, buses, serials, register numbers."""
    found = {str(folder), folder.name, *SECRET, *(part.name for part in folder.rglob("*"))}
    found |= {word for one in report.league for word in (one.plant.name, one.plant.key)}
    for path in sorted(folder.rglob("*.db")):
        if "damaged" in path.name:
            continue
        with opened(path) as db:
            for table in columns.TABLES.values():
                keys = [key for key in table.key if key in ("tag", "bus", "device", "motor")]
                for name in {*keys, *({"area", "site", "description"} & {c.name for c in table.columns})}:
                    found |= {row[0] for row in db.conn.execute(f"SELECT DISTINCT {name} FROM {table.name}")}
            found |= {row[0] for row in db.conn.execute("SELECT register_id FROM identity")}
    return {word for word in found if word}


def named(words, text):
    """Which words stand in a text, each by itself: not as a part of a longer word."""
    inside = [word for word in words if word in text]
    return [word for word in inside if re.search(rf"(?<!\w){re.escape(word)}(?!\w)", text)]


def test_no_name_of_a_plant_gets_out(spread, asked):
    open_ = roll_up([str(spread)], asked)
    secret = names_in(spread, open_)
    assert open_.shared and open_.twins and open_.refused, "the fleet has what is to be hidden"
    assert [one.place for one in open_.refused] == [str(path) for path in spread.rglob("damaged*.db")]
    assert any(TITLE in row.title for row in open_.rules)
    leaks = {form: named(secret, text) for form, text in told(open_).items()}
    assert all(leaks.values()), "the search finds names where they are"
    hidden = told(roll_up([str(spread)], asked, confidential=True))
    assert {form: named(secret, text) for form, text in hidden.items()} == {form: [] for form in hidden}
    assert all("Plant 1" in text for text in hidden.values())


def test_what_is_shared_is_told_by_number(spread, asked):
    open_, hidden = (roll_up([str(spread)], asked, confidential=secret) for secret in (False, True))
    number = {one.plant.name: f"Plant {n}" for n, one in enumerate(open_.league, 1)}
    assert [tuple(number[name] for name in one.plants) for one in open_.shared] == [one.plants for one in hidden.shared]
    assert [(one.failed, one.cells) for one in open_.rules] == [(one.failed, one.cells) for one in hidden.rules]
