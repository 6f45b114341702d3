"""Audits that were kept: what was judged, by what, and every verdict."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from typing import Any

from sqlite_utils import Database

from register.columns import TABLES


def register_hash(db: Database) -> str:
    """One hash of everything entered: two registers with the same are the same."""
    digest = hashlib.blake2b(digest_size=16)
    for name, table in TABLES.items():
        names = ", ".join(column.name for column in table.columns)
        order = ", ".join(table.key)
        for row in db.conn.execute(f"SELECT {names} FROM {name} ORDER BY {order}"):
            digest.update(repr((name, row)).encode())
    return digest.hexdigest()


def keep(
    db: Database,
    head: Mapping[str, Any],
    verdicts: Iterable[tuple[str, str, str]],
    findings: Iterable[Mapping[str, Any]],
) -> int:
    """Keep an audit; belongs inside `database.writing`.

    Parameters
    ----------
    head : today, program_version, pack_hash, limits, scope, rules, counts.
    verdicts : (tag, one letter a rule, `y` or `n` a rule for provisional).
    findings : tag, rule, grade, provisional, margin, detail.

    Returns
    -------
    the audit's number.
    """
    row = {"made_at": datetime.now(UTC).isoformat(timespec="seconds"),
           "register_hash": register_hash(db)} | dict(head)  # fmt: skip
    row = {k: v if isinstance(v, str) else json.dumps(v, default=str) for k, v in row.items()}
    names, marks = ", ".join(row), ", ".join("?" * len(row))
    number = db.conn.execute(
        f"INSERT INTO audit ({names}) VALUES ({marks})", list(row.values())
    ).lastrowid
    db.conn.executemany(
        "INSERT INTO verdict VALUES (?, ?, ?, ?)", ((number, *verdict) for verdict in verdicts)
    )
    db.conn.executemany(
        "INSERT INTO finding VALUES (?, ?, ?, ?, ?, ?, ?)",
        ((number, f["tag"], f["rule"], f["grade"], f["provisional"], f["margin"],
          json.dumps(f["detail"], default=str)) for f in findings),
    )  # fmt: skip
    return number
