"""The values to be verified on site: drawn by the register's hash, as on file, each as likely as any other."""

from collections import Counter

import pytest
from sample_plant import Sample

from register.audit.values_to_check import MOST, READ_ON_SITE, values_to_check
from register.intake.export import tables_as_csv
from register.store.database import opened


@pytest.fixture(scope="module")
def register(tmp_path_factory):
    return Sample("small-plant", tmp_path_factory.mktemp("small")).path


def drawn(path, seed=None, **named):
    with opened(path, write=False) as db:
        return values_to_check(db, tables_as_csv(db) if seed is None else {"a": seed}, **named)


def test_as_many_as_show_with_95_pct_confidence_that_95_pct_are_right():
    # The chance that n values drawn are all right where only 95 % are: 0.95^n (binomial distribution).
    assert 0.95**MOST < 0.05 < 0.95 ** (MOST - 1)


def test_the_same_register_gives_the_same_draw_and_another_value_another(register):
    once, again, other = drawn(register), drawn(register), drawn(register, seed=b"another")
    assert once == again and len(once.drawn) == min(MOST, once.of)
    assert other.drawn != once.drawn and other.of == once.of


def test_each_is_as_on_file_and_none_comes_twice(register):
    every = drawn(register, most=10**6)
    assert len(every.drawn) == every.of == len({(v.tag, v.key, v.column.name) for v in every.drawn})
    assert {v.column.table for v in every.drawn} <= set(READ_ON_SITE)
    with opened(register, write=False) as db:
        currents = dict(db.execute("SELECT tag, fla_a FROM motor WHERE tag IS NOT NULL AND fla_a IS NOT NULL"))
    assert {v.tag: v.value for v in every.drawn if v.column.name == "fla_a"} == currents


def test_no_value_is_likelier_than_another(register):
    of = drawn(register).of
    most, draws = of // 4, 200
    with opened(register, write=False) as db:
        each = [values_to_check(db, {"a": b"%d" % n}, most=most).drawn for n in range(draws)]
    counts = Counter((v.tag, v.key, v.column.name) for one in each for v in one)
    # Each is drawn about a quarter of the times; six standard deviations of the binomial distribution are 37.
    assert len(counts) == of
    assert all(abs(count - draws * most / of) < 37 for count in counts.values())
