"""Facts tried out, as a table in memory that rules are run on."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from math import nan
from typing import Any

import numpy as np

from register import columns

_TYPES = {"text": "TEXT", "date": "TEXT", "real": "REAL", "integer": "INTEGER"}


def facts_table(
    names: tuple[str, ...], facts: Mapping[str, Sequence[Any]], stand_ins: np.ndarray
) -> sqlite3.Connection:
    """A table of facts in memory, a number telling its rows apart.

    What is the same in every row is kept once.
    """
    bound = {name: [nan if v is None or v != v else v for v in facts[name]] for name in names}
    same = {name: values[:1] for name, values in bound.items() if _alike(values)}
    differ = {"variant": range(len(stand_ins)), "stand_ins": stand_ins.tolist()} | {
        name: values for name, values in bound.items() if name not in same
    }
    conn = sqlite3.connect(":memory:", isolation_level=None)
    conn.execute("BEGIN")
    for table, held in (("same", same or {"sole": [nan]}), ("differ", differ)):
        typed = ", ".join(f"{name} {_type(name)}" for name in held)
        conn.execute(f"CREATE TABLE {table} ({typed})")
        marks = ", ".join("?" * len(held))
        rows = zip(*held.values(), strict=True)
        conn.executemany(f"INSERT INTO {table} VALUES ({marks})", rows)
    conn.execute("CREATE VIEW facts AS SELECT * FROM same, differ")
    conn.execute("COMMIT")
    return conn


def _alike(values: list[Any]) -> bool:
    """Whether all are the same; of NaN those are that are one and the same object."""
    return len(values) > 1 and values.count(values[0]) == len(values)


def _type(name: str) -> str:
    return _TYPES[columns.FACTS[name].kind] if name in columns.FACTS else "INTEGER"
