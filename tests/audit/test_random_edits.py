"""Whatever is edited between two audits, no difference is left without a cause, and none has one
that was not touched."""

import os
import shutil
from datetime import date, timedelta

import by_path
from by_path import of_register
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from years_plant import FIRST, SMALL, edit

from register.errors import StartrollError
from register.resources import rules_folder
from register.store.database import create

SITE = {
    "site": "Oldmarrow Works",
    "practice": "us",
    "site_frequency_hz": 60.0,
    "site_ambient_c": 44.0,
    "site_altitude_m": 200.0,
    "time_zone": "UTC",
}

tags = st.sampled_from(["P-1", "P-2", "P-3"])
numbers = st.sampled_from(["NULL", 20.0, 63.0, 65.0, 66.0])
DATA = st.one_of(
    st.builds("UPDATE motor SET fla_a = {0} WHERE motor = 'M1'".format, numbers),
    st.builds("UPDATE model SET rated_current_a = {0}".format, numbers),
    st.builds(
        "UPDATE position SET criticality = {1} WHERE tag = '{0}'".format,
        tags,
        st.sampled_from(["NULL", "'critical'", "'ordinary'"]),
    ),
    st.builds(
        "UPDATE position SET ambient_c = {1} WHERE tag = '{0}'".format, tags, st.sampled_from(["NULL", "30", "48"])
    ),
    st.builds(
        "UPDATE bypass SET bypass_arrangement = {0}".format, st.sampled_from(["NULL", "'none'", "'two-contactor'"])
    ),
    st.builds(
        "UPDATE OR IGNORE motor SET tag = '{0}' WHERE motor = 'M2' AND EXISTS"
        " (SELECT 1 FROM position WHERE position.tag = '{0}')".format,
        st.sampled_from(["P-1", "P-2"]),
    ),
    st.just("INSERT OR IGNORE INTO position (tag, criticality) VALUES ('P-3', 'critical')"),
    st.just("DELETE FROM position WHERE tag = 'P-2' AND NOT EXISTS (SELECT 1 FROM motor WHERE motor.tag = 'P-2')"),
)
RULES = st.sampled_from(
    [
        ("limits.yml", "value: 3\n", "value: 1.02\n", "limit"),
        ("limits.yml", "value: 366\n", "value: 1000\n", "limit"),
        ("assumptions.yml", "stands_in: 40\n", "stands_in: 20\n", "assumed value"),
        ("sizing/current-covers-motor.yml", "grade: major", "grade: minor", "rule"),
        (
            "sizing/current-covers-motor.yml",
            "margin: derated_current_a - fla_a",
            "margin: derated_current_a - 2 * fla_a",
            "rule",
        ),
        ("bypass/critical-has-bypass.yml", "applies: criticality = 'critical'\n", "", "rule"),
    ]
)
OF_DATA = {"data", "value lost", "became judgeable", "no longer judgeable", "position added", "position retired"}
PHASES = (Phase.explicit, Phase.reuse, Phase.generate)
SLOW = settings(
    max_examples=int(os.environ.get("STARTROLL_EXAMPLES", "5")),
    deadline=None,
    phases=PHASES,
    suppress_health_check=list(HealthCheck),
)
THEMES = ("sizing", "bypass", "commissioning", "tables")


@given(
    before=st.lists(DATA, max_size=3),
    between=st.lists(DATA, max_size=3),
    changes=st.lists(RULES, max_size=2, unique_by=lambda c: c[:2]),
    days=st.sampled_from([0, 400]),
    concession=st.booleans(),
)
@SLOW
def test_nothing_is_left_unexplained(
    tmp_path_factory, monkeypatch, only_verdicts, before, between, changes, days, concession
):
    place = tmp_path_factory.mktemp("years")
    rules, path = place / "rules", place / "plant.db"
    shutil.copytree(rules_folder(), rules)
    for theme in rules.iterdir():
        if theme.is_dir() and theme.name not in THEMES:
            shutil.rmtree(theme)
    monkeypatch.setattr("register.rulebook.load.pack.rules_folder", lambda: rules)
    create(path, SITE)
    edit(path, *SMALL, *before)
    if concession:
        _concede(path)
    of_register(path, today=FIRST, keep_as="rk")
    edit(path, *between)
    for name, old, new, _ in changes:
        file = rules / name
        text = file.read_text()
        file.write_text(text.replace(old, new, 1))
    if not _sound(path, FIRST + timedelta(days=days)):
        return
    made = by_path.compare(path, "1", "2")
    assert made.unexplained == ()
    touched = {change[3] for change in changes}
    touched |= OF_DATA if between else set()
    touched |= {"day"} if days else set()
    touched |= {"concession"} if concession else set()
    assert {d.cause for d in made.differences} <= touched
    assert made.findings_after - made.findings_before == len(made.of_kind("new")) - len(made.of_kind("gone"))


def _concede(path):
    try:
        number = by_path.ask(
            path,
            "P-1",
            "sizing/current-covers-motor",
            until=date(2026, 6, 30),
            reason="spare ordered",
            by="rk",
            today=FIRST,
        )
    except StartrollError:
        return
    by_path.decide(path, number, "approved", reason="until then", by="sb", today=FIRST)


def _sound(path, day):
    """Keep the second audit; False where the changed rule no longer keeps its own examples."""
    try:
        of_register(path, today=day, keep_as="rk")
    except StartrollError:
        return False
    return True
