"""Every query of the guide runs on the kept tables, and says what the report says."""

import re
from pathlib import Path

import pytest

GUIDE = Path(__file__).parents[2] / "docs" / "guide" / "fleet-tables.md"
QUERIES = re.findall(r"```sql\n(.*?)```", GUIDE.read_text(encoding="utf-8"), re.S)
duckdb = pytest.importorskip("duckdb", reason="dev extra")


@pytest.fixture
def asked(tables, monkeypatch):
    monkeypatch.chdir(tables)
    connection = duckdb.connect()
    yield lambda sql: connection.sql(sql)
    connection.close()


@pytest.mark.parametrize("sql", QUERIES, ids=lambda sql: re.sub(r"\W+", " ", sql)[:40])
def test_it_runs_and_finds_something(asked, sql):
    assert asked(sql).fetchall()


def test_what_is_known_and_what_fails_are_the_report_s_own(asked, report):
    known = dict(asked(QUERIES[0]).fetchall())
    assert known == {s.plant.name: round(s.known_pct) for s in report.league}
    failing = {rule: (plants, failed) for rule, plants, failed in asked(QUERIES[1]).fetchall()}
    told = {r.rule: (r.plants, r.failed) for r in report.rules if r.harm == "people" and r.grade == "major"}
    assert failing == told


def test_models_without_a_spare_are_the_report_s_own(asked, report):
    bare: dict[str, int] = {}
    for model, *_ in asked(QUERIES[2]).fetchall():
        bare[model] = bare.get(model, 0) + 1
    assert bare == {m.model: m.bare for m in report.models if m.lifecycle == "withdrawn" and m.bare}
