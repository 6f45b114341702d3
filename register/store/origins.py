"""Where each value came from: file, sheet and cell, and the text as it was found.

A row of `source` is a sheet of one intake with the letters of its columns; `source_row` says which
of its rows a row of the register was read from; `found` keeps the cells that had to be understood
(a unit, a fraction, a word), with their text.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator
from functools import cache
from math import inf
from typing import Any

from sqlite_utils import Database

from register.columns import COLUMNS, TABLES

CELLS = ("found", "source_row", "answer")
BY_GROUP = "by group"  # with which the source of a change-set begins that answered for a group
BY_ROUND = "round "  # and of one that was answered in the plant: behind it stands the saved file
BY_PHOTO = "photograph: "  # and of one that was accepted from the photograph of a nameplate


def rename(db: Database, table: str, old: str, new: str) -> None:
    """Let the provenance of a row, and why its blanks are blank, follow its new key."""
    _rename(db, (*CELLS, "blank"), table, old, new)


def rename_cells(db: Database, table: str, old: str, new: str) -> None:
    """Let the provenance of a row follow its new key."""
    _rename(db, CELLS, table, old, new)


def _rename(db: Database, keepers: tuple[str, ...], table: str, old: str, new: str) -> None:
    for keeper in keepers:
        db.conn.execute(
            f"UPDATE OR REPLACE {keeper} SET row_key = ? WHERE table_name = ? AND row_key = ?", (new, table, old)
        )
        if table == "device":
            db.conn.execute(
                f"UPDATE OR REPLACE {keeper} SET row_key = ? || substr(row_key, ?)"
                " WHERE table_name = 'setting' AND substr(row_key, 1, ?) = ?",
                (new, len(old) + 1, len(old) + 3, f"{old} | "),
            )


# Where the rows of a table that belong to a tag are found: FROM clause, and the column that is the tag.
_OF_DEVICE = "FROM device JOIN {0} USING ({0}) WHERE device_status IS NOT 'scrapped' AND device.tag"
OF_POSITION = {
    **{table: (f"FROM {table} WHERE tag", "tag") for table in ("position", "protection", "bypass", "control")},
    "motor": ("FROM motor WHERE motor_status IS NOT 'scrapped' AND tag", "tag"),
    "device": ("FROM device WHERE device_status IS NOT 'scrapped' AND tag", "tag"),
    "bus": ("FROM position JOIN bus USING (bus) WHERE position.tag", "position.tag"),
    "model": (_OF_DEVICE.format("model"), "device.tag"),
    "setting": (
        "FROM device JOIN setting USING (device) WHERE device_status IS NOT 'scrapped' AND setting_recorded_on ="
        " (SELECT max(setting_recorded_on) FROM setting AS s WHERE s.device = device.device) AND device.tag",
        "device.tag",
    ),
}
OF_BUS = {"bus": ("FROM bus WHERE bus", "bus")}
OF_SPARE = {
    "device": ("FROM device WHERE device", "device"),
    "model": ("FROM device JOIN model USING (model) WHERE device", "device"),
}
# What a row refers to was entered there, and not with what it refers to.
REFERRING = {"model": "device", "bus": "position"}
BELONGING = {"position": OF_POSITION, "bus": OF_BUS, "device in store": OF_SPARE}


# By table and key: the origin of each column, and why a blank is blank.
Known = dict[str, dict[str, tuple[dict[str, str], dict[str, str]]]]


def origin_of(
    db: Database, tags: list[str], columns: Iterable[str], subject: str = "position", known: Known | None = None
) -> dict[tuple[str, str], str]:
    """Return (tag, column) → the cell of a sheet or the hand that a value came from, in words.

    Entered columns only, and of these the ones whose origin the register knows. `known` keeps what was
    found, for whoever asks again while nothing changes.
    """
    known = {} if known is None else known
    wanted: dict[str, list[str]] = defaultdict(list)
    for name in columns:
        column = COLUMNS[name]
        if column.origin in ("entered", "catalogue") and column.table in TABLES:
            referring = REFERRING.get(name, column.table)
            wanted[referring if referring in BELONGING[subject] else column.table].append(name)
    found: dict[tuple[str, str], str] = {}
    for table, names in wanted.items():
        keyed = list(_keyed(db, table, names, tags, subject))
        rows = known.setdefault(table, {})
        rows |= of_rows(db, table, [key for key in dict.fromkeys(key for _, key, _ in keyed) if key not in rows])
        for tag, key, values in keyed:
            cells, blanks = rows[key]
            found |= {(tag, n): cells[n] for n, v in zip(names, values, strict=True) if v is not None and n in cells}
            found |= {(tag, name): f"not known: {reason}" for name, reason in blanks.items()}
    return found


def _keyed(
    db: Database, table: str, names: list[str], tags: list[str], subject: str
) -> Iterator[tuple[str, str, tuple[Any, ...]]]:
    """(tag, key of its row of a table, the values of some columns there)."""
    own = TABLES[table].key
    chosen = ", ".join(f"{table}.{name}" for name in (*own, *names))
    if table == "site":
        rows = [(tag, *row) for row in db.execute(f"SELECT {chosen} FROM site LIMIT 1").fetchall() for tag in tags]
    elif table in BELONGING[subject]:
        clause, at = BELONGING[subject][table]
        only = "IN (SELECT value FROM json_each(?))"
        rows = db.execute(f"SELECT {at}, {chosen} {clause} {only}", [json.dumps(tags)]).fetchall()
    else:
        rows = []
    for tag, *row in rows:
        yield tag, " | ".join(map(str, row[: len(own)])), tuple(row[len(own) :])


def of_rows(db: Database, table: str, keys: list[str]) -> dict[str, tuple[dict[str, str], dict[str, str]]]:
    """For each row of a table: the origin of its columns, and why those without value have none.

    A cell counts until its value is edited; what another program edited comes after all.
    """
    if not keys:
        return {}
    cells: dict[str, dict[str, tuple[float, str]]] = {key: {} for key in keys}
    blanks: dict[str, dict[str, str]] = {key: {} for key in keys}
    asked = (table, json.dumps(keys))
    only = "table_name = ? AND row_key IN (SELECT value FROM json_each(?))"
    letters = cache(json.loads)
    for key, since, file, sheet, columns, row in db.execute(
        "SELECT row_key, change_set, source_file, sheet, letters, row_number FROM source_row"
        f" JOIN source USING (source) WHERE {only} ORDER BY source",
        asked,
    ):
        for column, letter in letters(columns).items():
            cell = f"{letter}{row}" if letter else f"row {row}"
            cells[key][column] = since, f"{file} '{sheet}'!{cell}" if sheet else f"{file} {cell}"
    for key, column, since, text in db.execute(
        f"SELECT row_key, column_name, change_set, found_text FROM found WHERE {only}", asked
    ):
        if column in cells[key] and cells[key][column][0] == since:
            cells[key][column] = since, f"{cells[key][column][1]}, there {text!r}"
    for key, edited, file, after, said in _edits(db, only, asked):
        for column in json.loads(after or "{}"):
            if cells[key].get(column, (0,))[0] < edited:
                cells[key].pop(column, None)
                if not file:
                    cells[key][column] = edited, said
    for key, column, reason in db.execute(f"SELECT row_key, column_name, reason FROM blank WHERE {only}", asked):
        blanks[key][column] = reason
    return {key: ({n: text for n, (_, text) in cells[key].items()}, blanks[key]) for key in keys}


def _edits(db: Database, only: str, asked: tuple[str, str]) -> Iterator[tuple]:
    """(key, change-set, file, values as JSON, the edit in words) of each edit, in the order made."""
    for key, after, at, change_set, author, reason, file in db.execute(
        "SELECT row_key, after, at, change_set, author, reason, source_file FROM change"
        f" LEFT JOIN change_set USING (change_set) WHERE {only} AND action = 'update' ORDER BY change_id",
        asked,
    ):
        why = f": {reason}" if reason else ""
        by_group, photo = (file or "").startswith(BY_GROUP), (file or "").startswith(BY_PHOTO)
        by_hand = by_group or photo or (file or "").startswith(BY_ROUND)
        how = "by group, " if by_group else f"from {file}, " if photo else ""
        yield (
            key,
            inf if change_set is None else change_set,
            "" if by_hand else file,
            after,
            f"entered {how}by {author or 'another program'} on {at[:10]}{why}",
        )
