"""Every rule by another engine: DuckDB, fed the same facts, gives the same four outcomes.

The rules' text goes through sqlglot into DuckDB's own dialect; how outcomes follow from truths is
written here anew, after W3C's Evaluation and Report Language, and not taken from the program.
"""

from __future__ import annotations

import json
import random
import sqlite3
from datetime import date

import pytest
from sqlglot import exp, parse_one

from register.columns import SUBJECTS
from register.rulebook.load.pack import load_pack
from register.rulebook.run.evaluate import evaluate
from register.rulebook.tables import facts_table

duckdb = pytest.importorskip("duckdb")

PACK = load_pack()
TODAY = date(2026, 3, 1)
LATER = "2027-06-30"
POSITIONS = 2000
TYPES = {"text": "VARCHAR", "date": "VARCHAR", "real": "DOUBLE", "integer": "BIGINT"}


def invented(subject, count):
    """Rows full of holes: a third of all values unknown, numbers near the limits that count."""
    chance = random.Random(f"{subject.name} of Kvernhalla")
    numbers = [0.0, 0.25, 0.5, 0.75, 1.0, 1.25, 3.0, 10.0, 24.0, 60.0, 90.0, 100.0, 460.0, 1500.0]
    numbers += [limit.value for limit in PACK.limits.values()]
    rows = []
    for number in range(count):
        row = {}
        for name, column in subject.columns.items():
            if chance.random() < 0.33:
                row[name] = None
            elif column.choices:
                row[name] = chance.choice(column.choices)
            elif column.kind == "date":
                row[name] = chance.choice(["2019-04-30", "2024-03-01", "2025-11-02", "2026-03-01", LATER])
            elif column.is_number:
                value = chance.choice(numbers)
                row[name] = round(value) if column.kind == "integer" else value
            else:
                row[name] = chance.choice(["10, 20", "AC-53b: 3.5-15 : 345", "yes", "MCC-1"])
        rows.append(row | {subject.key: f"{number:05d}"})
    return rows


def put(connection, subject, rows):
    names = list(subject.columns)
    marks = ", ".join("?" * len(names))
    connection.executemany(
        f"INSERT INTO {subject.relation} ({', '.join(names)}) VALUES ({marks})",
        [[row[name] for name in names] for row in rows],
    )


def in_duckdb(text):
    """A predicate of SQLite's dialect in DuckDB's, limits and the day put in as numbers."""

    def rewritten(node):
        if isinstance(node, exp.Placeholder):
            literal = (
                exp.Literal.string(str(TODAY))
                if node.name == "today"
                else exp.Literal.number(PACK.limits[node.name].value)
            )
            return literal
        name = node.name.lower() if isinstance(node, exp.Anonymous) else ""
        if name == "julianday":
            inner = node.expressions[0].transform(rewritten).sql("duckdb")
            return parse_one(f"date_diff('day', DATE '2000-01-01', CAST({inner} AS DATE))", read="duckdb")
        if isinstance(node, exp.Least | exp.Greatest):
            # DuckDB passes over NULL there, SQLite does not.
            parts = [part.transform(rewritten) for part in (node.this, *node.expressions)]
            known = " AND ".join(f"({part.sql('duckdb')}) IS NOT NULL" for part in parts)
            listed = ", ".join(part.sql("duckdb") for part in parts)
            function = "least" if isinstance(node, exp.Least) else "greatest"
            return parse_one(f"CASE WHEN {known} THEN {function}({listed}) END", read="duckdb")
        return node

    return parse_one(text, read="sqlite").transform(rewritten).sql("duckdb")


def words(rule):
    """The outcome's word, as DuckDB sees it."""
    applies = in_duckdb(rule.condition) if rule.condition else "TRUE"
    return (
        f"CASE WHEN ({applies}) IS NULL THEN 'cant-tell' WHEN NOT ({applies}) THEN 'inapplicable'"
        f" WHEN ({in_duckdb(rule.requires)}) IS NULL THEN 'cant-tell'"
        f" WHEN ({in_duckdb(rule.requires)}) THEN 'passed' ELSE 'failed' END"
    )


def done_by_today(subject, row):
    """A row less the days of checks that were not done yet."""
    checks = {c.name for c in subject.columns.values() if c.table == "record"}
    return {n: None if n in checks and v == LATER else v for n, v in row.items()}


@pytest.mark.parametrize("name", SUBJECTS)
def test_another_engine_gives_the_same_outcomes(name, tmp_path):
    subject = SUBJECTS[name]
    rules = [rule for rule in PACK.rules if rule.subject == name]
    rows = invented(subject, POSITIONS)
    ours = sqlite3.connect(":memory:")
    ours.execute(facts_table(name))
    put(ours, subject, rows)
    ours.commit()
    verdicts = evaluate(ours, PACK, today=TODAY, subject=name)

    theirs = duckdb.connect()
    theirs.execute("SET ieee_floating_point_ops = false")
    typed = ", ".join(f"{c.name} {TYPES[c.kind]}" for c in subject.columns.values())
    theirs.execute(f"CREATE TABLE {subject.relation} ({typed})")
    listed = tmp_path / "rows.json"
    listed.write_text("\n".join(json.dumps(done_by_today(subject, row)) for row in rows))
    theirs.execute(f"COPY {subject.relation} FROM '{listed}' (FORMAT json)")
    assert theirs.execute(f"SELECT count(*) FROM {subject.relation}").fetchone() == (POSITIONS,)
    selected = ", ".join(words(rule) for rule in rules)
    found = theirs.execute(f"SELECT {selected} FROM {subject.relation} ORDER BY {subject.key}").fetchall()

    seen = set()
    for column, rule in enumerate(verdicts.rules):
        own = [("passed", "failed", "cant-tell", "inapplicable")[o] for o in verdicts.outcomes[:, column]]
        other = [row[column] for row in found]
        differ = [n for n, pair in enumerate(zip(own, other, strict=True)) if pair[0] != pair[1]]
        assert not differ, (rule.id, [(rows[n], own[n], other[n]) for n in differ[:1]])
        seen |= set(own)
    assert seen >= {"passed", "failed", "cant-tell"}
