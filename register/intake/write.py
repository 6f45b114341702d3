"""A plan written into the register: one transaction, one change-set."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from sqlite_utils import Database

from register.columns import TABLES
from register.errors import IntakeError, Problem
from register.intake import origins
from register.intake.match import ASSETS
from register.intake.plan import Applied, Change, Key, Plan, key_text
from register.intake.records import NATURAL
from register.store.database import writing
from register.store.origins import rename


def state(db: Database) -> int:
    """The number of the last change: a plan holds for the register it was made on."""
    return db.execute("SELECT COALESCE(MAX(change_id), 0) FROM change").fetchone()[0]


def apply(db: Database, plan: Plan, *, author: str = "", reason: str, all_or_nothing: bool = False) -> Applied:
    """Write a plan; all of it lands or none.

    Raises IntakeError when the register changed since the plan was made, or, with
    `all_or_nothing`, when anything was refused or is in doubt.
    """
    if all_or_nothing and plan.problems():
        raise IntakeError(plan.problems(), summary="Nothing was taken in.")
    files = list(dict.fromkeys(s.file for s in plan.sheets))
    hashes = list(dict.fromkeys(s.hash for s in plan.sheets))
    with writing(
        db,
        reason=reason,
        author=author,
        source_file=", ".join(files),
        source_hash=hashes[0] if len(hashes) == 1 else ", ".join(h[:12] for h in hashes),
    ) as change_set:
        if state(db) != plan.state:
            raise IntakeError(Problem("the register was changed after the plan was made", "plan again"))
        db.conn.execute("PRAGMA defer_foreign_keys = ON")
        _rename(db, plan)
        _vacate(db, plan)
        added = sum(_insert(db, plan, table) for table in TABLES if plan.added.get(table))
        _update(db, plan.changed)
        origins.keep(db, plan, change_set)
        _blanks(db, plan, author)
    rows = {(c.table, c.key) for c in plan.changed}
    return Applied(change_set, added, len(rows))


def _rename(db: Database, plan: Plan) -> None:
    for table, old, new in plan.renamed:
        db.conn.execute(f"UPDATE {table} SET {table} = ? WHERE {table} = ?", (new, old))
        rename(db, table, old, new)


def _vacate(db: Database, plan: Plan) -> None:
    """Free the positions that one asset leaves and another takes in the same intake."""
    for asset in ASSETS:
        moves = [c for c in plan.changed if c.table == asset and c.column == "tag" and c.before]
        gone = [c for c in plan.changed if c.table == asset and c.column == f"{asset}_status" and c.after == "scrapped"]
        db.conn.executemany(f"UPDATE {asset} SET tag = NULL WHERE {asset} = ?", [c.key for c in moves])
        db.conn.executemany(f"UPDATE {asset} SET {asset}_status = 'scrapped' WHERE {asset} = ?", [c.key for c in gone])


def _insert(db: Database, plan: Plan, table: str) -> int:
    values = plan.rows[table].values
    rows = [values[key] for key in plan.added[table]]
    present = set().union(*rows)
    names = [c.name for c in TABLES[table].columns if c.name in present]
    marks = ", ".join("?" * len(names))
    db.conn.executemany(
        f"INSERT INTO {table} ({', '.join(names)}) VALUES ({marks})",
        ([row.get(name) for name in names] for row in rows),
    )
    return len(rows)


def _update(db: Database, changed: tuple[Change, ...]) -> None:
    by_row: dict[tuple[str, Key], dict[str, Any]] = defaultdict(dict)
    for change in changed:
        by_row[change.table, change.key][change.column] = change.after
    batches: dict[tuple[str, tuple[str, ...]], list[tuple]] = defaultdict(list)
    for (table, key), values in by_row.items():
        where = (*key[:-1], key[-1] - 1) if table in NATURAL else key
        batches[table, tuple(values)].append((*values.values(), *where))
    for (table, names), rows in batches.items():
        sets = ", ".join(f"{name} = ?" for name in names)
        db.conn.executemany(f"UPDATE {table} SET {sets} WHERE {_where(table)}", rows)


def _where(table: str) -> str:
    if table not in NATURAL:
        return " AND ".join(f"{name} = ?" for name in TABLES[table].key)
    same = " AND ".join(f"{name} IS ?" for name in NATURAL[table])
    ident = f"{table}_id"
    return f"{ident} = (SELECT {ident} FROM {table} WHERE {same} ORDER BY {ident} LIMIT 1 OFFSET ?)"


def _blanks(db: Database, plan: Plan, author: str) -> None:
    """Keep why a value is missing, as long as it is; forget it when the value is there."""
    for table, rows in plan.rows.items():
        if table in NATURAL:
            continue
        where = _where(table)
        for (key, column), reason in rows.blanks.items():
            if key not in rows.values or column in rows.values[key]:
                continue
            db.conn.execute(
                "INSERT OR REPLACE INTO blank SELECT ?, ?, ?, ?, date('now'), ? WHERE EXISTS"
                f" (SELECT 1 FROM {table} WHERE {where} AND {column} IS NULL)",
                (table, key_text(key), column, reason, author, *key),
            )
    stale = db.execute("SELECT table_name, row_key, column_name FROM blank").fetchall()
    for table, row, column in stale:
        key_sql = " || ' | ' || ".join(TABLES[table].key)
        known = db.conn.execute(
            f"SELECT 1 FROM {table} WHERE {key_sql} = ? AND {column} IS NOT NULL", (row,)
        ).fetchone()
        if known:
            db.conn.execute(
                "DELETE FROM blank WHERE table_name = ? AND row_key = ? AND column_name = ?", (table, row, column)
            )
