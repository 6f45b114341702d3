"""What the sheets say against what the register knows: rows added, values changed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import Any

from sqlite_utils import Database

from register.columns import TABLES
from register.intake import notes
from register.intake.match import Residents
from register.intake.merge_rows import ALIKE, alike
from register.intake.plan import Change, Key, Rows
from register.intake.records import NATURAL

EXACT = 1e-12


def known_rows(db: Database, name: str, residents: Residents) -> dict[Key, dict[str, Any]]:
    """Every row of a table by its key, under the names it will have."""
    table = TABLES[name]
    columns = [c.name for c in table.columns]
    cursor = db.execute(f"SELECT {', '.join(columns)} FROM {name}")
    renamed = {t for t, _, _ in residents.renamed}
    holders = [
        c.name for c in table.columns if (c.references or name) in renamed and (c.references or c.name in table.key)
    ]
    found: dict[Key, dict[str, Any]] = {}
    count: Counter[Key] = Counter()
    for row in cursor:
        values = dict(zip(columns, row, strict=True))
        for holder in holders:
            owner = TABLES[name].column(holder).references or name
            values[holder] = residents.present(owner, values[holder])
        if name in NATURAL:
            stem = tuple(values[n] for n in NATURAL[name])
            count[stem] += 1
            found[(*stem, count[stem])] = values
        else:
            found[tuple(values[n] for n in table.key)] = values
    return found


def compare(
    name: str, rows: Rows, known: dict[Key, dict[str, Any]], place: Callable[[str, Key, str], str]
) -> tuple[list[Key], list[Change], int]:
    """(keys of new rows, changes, how many rows say nothing new)."""
    added, changed, unchanged = [], [], 0
    for key, values in rows.values.items():
        before = known.get(key)
        if before is None:
            added.append(key)
            continue
        same = True
        for column, value in values.items():
            old = before[column]
            if column == "position_notes" and old and not rows.verbatim:
                value = notes.joined(old, value)
            if old == value:
                continue
            tolerance = ALIKE if (key, column) in rows.found else EXACT
            if alike(old, value, tolerance):
                continue
            same = False
            changed.append(Change(name, key, column, old, value, place(name, key, column)))
        unchanged += same
    return added, changed, unchanged
