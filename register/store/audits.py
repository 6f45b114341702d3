"""Audits that were kept: what was judged, by what, and every verdict."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlite_utils import Database

from register.columns import TABLES
from register.columns.renamed import rule_now
from register.errors import Problem, StartrollError
from register.store.as_of import Point
from register.store.rows import add as add_row

WORDS_AS_JSON = ("limits", "scope", "rules", "counts")


@dataclass(frozen=True, slots=True)
class KeptAudit:
    """The head of an audit that was kept; `point` is the state of the register that it judged."""

    audit_id: int
    made_at: str
    made_by: str
    today: str
    point: Point
    program_version: str
    method_hash: str
    pack_hash: str
    register_hash: str
    limits: dict[str, Any]
    scope: dict[str, Any]
    rules: tuple[str, ...]
    counts: dict[str, dict[str, int]]

    @property
    def name(self) -> str:
        """As people speak of it: `audit 3 of 2026-11-25`."""
        return f"audit {self.audit_id} of {self.today}"


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
    head : made_by, today, change_set, program_version, method_hash, pack_hash, limits, scope,
        rules, counts.
    verdicts : (tag, one letter a rule, `y` or `n` a rule for provisional).
    findings : tag, rule, grade, provisional, margin, detail.

    Returns
    -------
    the audit's number.
    """
    last = db.execute("SELECT coalesce(max(change_id), 0) FROM change").fetchone()[0]
    row = {
        "made_at": datetime.now(UTC).isoformat(timespec="seconds"),
        "change_id": last,
        "register_hash": register_hash(db),
    } | dict(head)
    row |= {name: json.dumps(row[name], default=str) for name in WORDS_AS_JSON}
    number = add_row(db, "audit", row)
    # A row for every position: here the library's own insert_all takes twice as long.
    db.conn.executemany("INSERT INTO verdict VALUES (?, ?, ?, ?)", ((number, *verdict) for verdict in verdicts))
    db.table("finding").insert_all(
        {name: f[name] for name in ("tag", "rule", "grade", "provisional", "margin")}
        | {"audit_id": number, "detail": json.dumps(f["detail"], default=str)}
        for f in findings
    )
    return number


def kept_audits(db: Database) -> list[KeptAudit]:
    """Every audit that was kept, oldest first."""
    return [_head(row) for row in db.table("audit").rows_where(order_by="audit_id")]


def _head(row: dict[str, Any]) -> KeptAudit:
    row |= {name: json.loads(row[name]) for name in WORDS_AS_JSON}
    row["point"] = Point(row.pop("change_id"), row.pop("change_set"))
    row["rules"] = tuple(map(rule_now, row["rules"]))
    return KeptAudit(**row)


def kept_audit(db: Database, name: str) -> KeptAudit:
    """The audit of that number, or the last one of that day; StartrollError if none is."""
    known = kept_audits(db)
    found = [a for a in known if name in (str(a.audit_id), a.today)]
    if found:
        return found[-1]
    kept = ", ".join(f"{a.audit_id} ({a.today})" for a in known[-6:])
    remedy = f"kept are: {kept}" if kept else "startroll audit --keep keeps one"
    raise StartrollError(Problem(f"no audit {name!r} was kept", remedy))


def verdicts_of(db: Database, audit: KeptAudit) -> dict[str, str]:
    """Tag → a letter for each of the audit's rules."""
    sql = "SELECT tag, outcomes FROM verdict WHERE audit_id = ? ORDER BY tag"
    return dict(db.execute(sql, [audit.audit_id]).fetchall())


def findings_of(db: Database, audit: KeptAudit) -> dict[tuple[str, str], dict[str, Any]]:
    """(rule, tag) → the finding as it was kept."""
    sql = "SELECT rule, tag, detail FROM finding WHERE audit_id = ?"
    rows = db.execute(sql, [audit.audit_id])
    found = ((rule_now(rule), tag, json.loads(detail)) for rule, tag, detail in rows)
    return {(rule, tag): detail | {"rule": rule} for rule, tag, detail in found}
