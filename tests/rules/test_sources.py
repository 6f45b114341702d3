"""How each clause was seen is said as data, and few rules rest on memory alone."""

from datetime import date

import pytest

from register.audit.judge import run
from register.audit.verify import to_verify
from register.columns import source
from register.columns.source import SEEN, Source
from register.facts.assumptions import load_assumptions
from register.facts.standard_tables import load_tables
from register.rulebook.load.pack import load_pack

PACK = load_pack()
READ = {"text", "commentary", "handbook"}


def test_every_source_of_the_pack_says_how_it_was_seen():
    limits = [limit.basis for limit in PACK.limits.values()]
    assumed = [a.basis for a in load_assumptions(PACK.folder / "assumptions.yml")]
    for each in (*(s for rule in PACK.rules for s in rule.basis), *limits, *assumed):
        assert each.seen in SEEN, each
        assert "from memory" not in each.clause, "that is what `seen` is for"
    assert all(table.seen in SEEN for table in load_tables().values())


def test_at_most_25_rules_rest_on_memory_alone():
    leaning = [
        rule.id
        for rule in PACK.rules
        if any(s.to_verify for s in rule.basis) and not any(s.seen in READ for s in rule.basis)
    ]
    assert len(leaning) <= 25, leaning


@pytest.mark.parametrize(
    ("text", "seen", "verify"),
    [
        ("common practice; once a year", "common practice", False),
        ("IEC 60529 (from memory)", "memory", True),
        ("NFPA 70-2023, 110.9", source.NOT_STATED, True),
    ],
)
def test_a_plain_text_of_before_is_still_read(text, seen, verify):
    assert (source.plain(text).seen, source.plain(text).to_verify) == (seen, verify)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("{clause: a, seen: hearsay}", "'hearsay' is no way of seeing a clause"),
        ("{clause: a}", "does not say seen"),
        ("{seen: text}", "does not say clause"),
        ("{clause: a, seen: text, page: 4}", "unknown key 'page'"),
        ("[a]", "this says no source"),
    ],
)
def test_a_source_that_is_wrong_is_told(text, told):
    import yaml

    blamed = []
    source.read(yaml.compose(text), lambda node, cause, remedy: blamed.append(cause))
    assert any(told in cause for cause in blamed), blamed


def test_a_report_lists_each_clause_to_be_verified_once(demo_audit):
    found = to_verify(demo_audit, load_tables())
    clauses = [v.clause for v in found]
    assert len(clauses) == len(set(clauses)) > 5
    assert any(clause.startswith("NEMA MG 1, 12.49") for clause in clauses), "an assumed stall time rests on it"
    assert {v.seen for v in found} == {"memory"}
    assert [v.failed_majors for v in found] == sorted((v.failed_majors for v in found), reverse=True)


@pytest.fixture(scope="module")
def demo_audit(tmp_path_factory):
    import sys
    from pathlib import Path

    sys.path.insert(0, str(Path(__file__).parents[1] / "samples"))
    from sample_plant import Sample

    with Sample("demo-plant", tmp_path_factory.mktemp("demo")).copy() as db:
        return run(db, PACK, today=date(2026, 11, 25))


def test_a_source_reads_as_a_sentence():
    assert str(Source("430.22", "text", "p. 7")) == "430.22 (the standard's own text: p. 7)"
