"""One value or one asset changed by hand: checked by the dictionary, kept in the history.

Both functions belong inside `database.writing`, which says who makes the change and why.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from register.columns import COLUMNS, SUBJECTS, TABLES, Column, nearest
from register.columns.units import RIVALS
from register.errors import Problem, StartrollError
from register.intake.cells import Cell, Manner, read_column
from register.intake.match import names_of, unidentified, unmarked_anew
from register.intake.slips import refuse_ahead, refuse_slip
from register.intake.vocabulary import nearest as nearest_word
from register.store import clock, origins
from register.store.queries import AT_TAG, STANDING, is_lineup, key_text, rows_at
from register.text import shown

if TYPE_CHECKING:
    from sqlite_utils import Database

ASKED = {
    "unit": "a number without a unit; {}?",
    "decimal": "is that a decimal mark, or one that parts thousands?",
    "dates": "day first or month first?",
}
REASONS = ("not surveyed", "illegible", "not published", "not applicable")


def set_value(
    db: Database, tag: str, name: str, text: str | None, *, blank_reason: str | None = None, sure: bool = True
) -> tuple[str, str]:
    """Set one value at a position; a row that is not there yet is made.

    Parameters
    ----------
    tag : the position; for a column of its lineup, the lineup's name does too.
    name : a column of the position, or of what is installed there.
    text : the value as a person writes it, with or without unit; None makes it unknown.
    blank_reason : why there is no value.
    sure : take a number that looks like a slip too.

    Returns
    -------
    (before, after) : both as people read them.

    Raises StartrollError for an unknown tag or column, and for a value not to be believed.
    """
    column = settable(name)
    at, rows = _place(db, tag, column)
    value, reason = _understood(column, text, blank_reason)
    refuse_ahead(db, name, value)
    if not sure and at is not None:
        refuse_slip(db, at, column, value)
    if column.references and value is not None:
        _refers(db, column, value)
    if name in TABLES[column.table].key or column.required:
        _names(db, column, value)
    row = rows.get(column.table) or _made(db, column.table, tag, rows)
    table = TABLES[column.table]
    key = key_text(table, row)
    where = " AND ".join(f"{part} = ?" for part in table.key)
    db.conn.execute(f"UPDATE {table.name} SET {name} = ? WHERE {where}", [value, *(row[k] for k in table.key)])
    if name in table.key:
        origins.rename(db, table.name, row[name], value)
        key = str(value)
    _note_blank(db, table.name, key, name, reason)
    after = f"unknown ({reason})" if reason else shown(value, column.unit)
    return shown(row[name], column.unit), after


def _place(db: Database, tag: str, column: Column) -> tuple[str | None, dict[str, dict[str, Any]]]:
    """The position at which a column is set, and its rows; of a lineup one on it, or None and its own row alone."""
    if column.table != "bus" or not is_lineup(db, tag):
        return tag, rows_at(db, tag)
    found = db.execute("SELECT min(tag) FROM position WHERE bus = ?", [tag]).fetchone()[0]
    if found is not None:
        return found, rows_at(db, found)
    return None, {"bus": next(db.query("SELECT * FROM bus WHERE bus = ?", [tag]))}


def believed(name: str, text: str) -> Any:
    """What a value would be once entered in that column; None for a word that says it is unknown.

    Raises StartrollError as `set_value` does, for an unknown column or a value not to be believed.
    """
    return _understood(settable(name), text, None)[0]


def pairs(texts: Iterable[str], option: str) -> tuple[dict[str, str], list[Problem]]:
    """Columns and values from `column=value`, and what is not so written or is given twice."""
    found: dict[str, str] = {}
    problems = []
    for text in texts:
        name, mark, value = (part.strip() for part in text.partition("="))
        if not (name and mark and value):
            problems.append(Problem(f"{text!r} is no column and value", "write it as current_limit_xfla=3.5", option))
            continue
        if name in found:
            problems.append(Problem(f"{name} is given twice", "keep one of them", option))
        found[name] = value
    return found, problems


def settable(name: str) -> Column:
    """The column of that name, as it is set at a position; StartrollError where there is none, or it cannot be set."""
    # At a position these two say which bus feeds it and of which type its device is.
    holder = {"bus": "position", "model": "device"}.get(name)
    column = TABLES[holder].column(name) if holder else COLUMNS.get(name)
    if column is None:
        near = nearest(name)
        hint = f"did you mean {COLUMNS[near].described()}?" if near else "see docs/columns.md"
        raise StartrollError(Problem(f"there is no column {name!r}", hint))
    if column.table not in TABLES or column.table in ("record", "event", "concession", "action"):
        if column.origin == "derived":
            why, remedy = ("is worked out", "correct what stands behind it; startroll explain names it")
        else:
            why, remedy = f"belongs to a {column.table}", "startroll record enters a check"
        raise StartrollError(Problem(f"{name} {why} and cannot be set", remedy))
    if name == "tag":
        raise StartrollError(Problem("a tag cannot be set this way", "startroll move moves assets"))
    return column


def _understood(column: Column, text: str | None, blank_reason: str | None) -> tuple[Any, str]:
    if (not text) == (blank_reason is None):
        raise StartrollError(
            Problem(
                "give either a value or the reason why there is none", f"--blank takes one of: {', '.join(REASONS)}"
            )
        )
    if blank_reason is not None:
        if blank_reason not in REASONS:
            raise StartrollError(Problem(f"{blank_reason!r} is no reason for a blank", f"one of: {', '.join(REASONS)}"))
        return None, blank_reason
    read = read_column([text], Manner(column))
    cell = read.special.get(0)
    if cell is not None and (cell.question == "words" or cell.also):
        near = nearest_word(column, text or "")
        cell = Cell(text=cell.text, cause=f"no word of {column.name}", remedy=_one_of(column, near))
    if cell is not None and cell.blank:
        return None, cell.blank
    if cell is not None and (cell.cause or cell.question or cell.value is None):
        asked = ASKED.get(cell.question, "").format(" or ".join(RIVALS.get(column.unit, ())))
        cause = cell.cause or asked or "that could mean several things"
        raise StartrollError(
            Problem(f"{column.name}: {text!r}: {cause}", cell.remedy or f"expected: {_expected(column)}")
        )
    return read.values[0], ""


def _one_of(column: Column, near: str | None) -> str:
    if not column.choices:
        return f"expected: {_expected(column)}"
    return (f"did you mean {near}? else one of: " if near else "one of: ") + ", ".join(column.choices)


def _expected(column: Column) -> str:
    if column.choices:
        return " | ".join(column.choices)
    if column.is_number and column.low is not None and column.high is not None:
        return f"{column.low:g} to {column.high:g} {column.unit}".strip()
    return {"date": "a day, 2026-03-01"}.get(column.kind, "text")


def _refers(db: Database, column: Column, value: Any) -> None:
    owner = TABLES[column.references]
    found = db.conn.execute(f"SELECT 1 FROM {owner.name} WHERE {owner.key[0]} = ?", [value]).fetchone()
    if found is None:
        raise StartrollError(
            Problem(f"the register has no {owner.name} {value!r}", f"take it in first: {owner.sentence}")
        )


def _names(db: Database, column: Column, value: Any) -> None:
    """Refuse to leave a name unknown, or to give one that another has."""
    if value is None:
        raise StartrollError(Problem(f"{column.name} cannot be unknown: {column.sentence}", "give it another value"))
    table = TABLES[column.table]
    found = db.conn.execute(f"SELECT 1 FROM {table.name} WHERE {column.name} = ?", [value])
    if table.key == (column.name,) and found.fetchone():
        raise StartrollError(
            Problem(
                f"there is a {table.name} {value!r} already", f"startroll move {table.name} {value!r} --to TAG moves it"
            )
        )


def _made(db: Database, table: str, tag: str, rows: dict[str, dict[str, Any]]) -> dict[str, Any]:
    """A new, bare row of a table that belongs to a position."""
    if table in AT_TAG:
        bare: dict[str, Any] = {"tag": tag}
    elif table in STANDING:
        bare = {table: unmarked_anew(table, tag, names_of(db, table)), "tag": tag}
    elif table == "bus":
        raise StartrollError(Problem(f"the bus of {tag} is not known", f"startroll correct {tag} bus"))
    else:
        device = rows.get("device") or _made(db, "device", tag, rows)
        if table == "setting":
            today = clock.today(db).isoformat()
            bare = {"device": device["device"], "setting_recorded_on": today}
        else:
            bare = {"model": unidentified(tag)}
    names, marks = ", ".join(bare), ", ".join("?" * len(bare))
    db.conn.execute(f"INSERT INTO {table} ({names}) VALUES ({marks})", list(bare.values()))
    if table == "model":
        db.conn.execute("UPDATE device SET model = ? WHERE device = ?", [bare["model"], device["device"]])
    return dict.fromkeys(c.name for c in TABLES[table].columns) | bare


def _note_blank(db: Database, table: str, key: str, name: str, reason: str) -> None:
    where = "table_name = ? AND row_key = ? AND column_name = ?"
    db.conn.execute(f"DELETE FROM blank WHERE {where}", [table, key, name])
    if reason:
        db.conn.execute(
            "INSERT INTO blank (table_name, row_key, column_name, reason, noted_on) VALUES (?, ?, ?, ?, ?)",
            [table, key, name, reason, clock.today(db).isoformat()],
        )


def move(
    db: Database, asset: str, serial: str, tag: str | None, *, on: str | None = None, status: str | None = None
) -> str:
    """Move a motor or a device to a position, or (tag None) away from one.

    Raises StartrollError when there is no such asset or position, or another is installed.
    """
    if asset not in STANDING:
        raise StartrollError(Problem(f"{asset!r} does not move", "motor or device"))
    row = next(db.query(f"SELECT * FROM {asset} WHERE {asset} = ?", [serial]), None)
    if row is None:
        raise StartrollError(Problem(f"there is no {asset} {serial!r}", "startroll show TAG"))
    day = _understood(COLUMNS[f"{asset}_installed_on"], on or clock.today(db).isoformat(), None)[0]
    refuse_ahead(db, f"{asset}_installed_on", day)
    word = status or ("in service" if tag else "in store")
    _understood(COLUMNS[STANDING[asset]], word, None)
    if tag is not None:
        there = rows_at(db, tag).get(asset)
        if there is not None and there[asset] != serial:
            raise StartrollError(
                Problem(
                    f"{asset} {there[asset]} is installed at {tag}",
                    f"move it away first: startroll move {asset} {there[asset]!r}",
                )
            )
    values = {"tag": tag, STANDING[asset]: word}
    if tag is not None:
        values[f"{asset}_installed_on"] = day
    elif asset == "device":
        values["stored_since"] = day
    sets = ", ".join(f"{name} = ?" for name in values)
    db.conn.execute(f"UPDATE {asset} SET {sets} WHERE {asset} = ?", [*values.values(), serial])
    before = row["tag"] or row[STANDING[asset]] or "nowhere"
    return f"{asset} {serial}: {before} → {tag or word}, {day}"


def add_record(
    db: Database,
    tag: str,
    kind: str,
    result: str,
    *,
    subject: str = "position",
    on: str | None = None,
    by: str = "",
    note: str = "",
    value: float | None = None,
    unit: str = "",
) -> str:
    """Enter that a check was done at a position, or of the lineup `tag` where the `subject` is `bus`; it is said back.

    Raises StartrollError when there is no such position or lineup, kind or result, the day is not a date, or a
    value has no unit.
    """
    if subject == "bus":
        is_lineup(db, tag, lineup=True)
    else:
        rows_at(db, tag)
    if (value is None) != (not unit):
        raise StartrollError(
            Problem("a value and its unit belong together", "give both: --value 2.1 --unit s", "--value")
        )
    values = {"record_kind": kind, "result": result, "done_on": on or clock.today(db).isoformat()}
    row = {name: _understood(COLUMNS[name], text, None)[0] for name, text in values.items()}
    refuse_ahead(db, "done_on", row["done_on"])
    row |= {SUBJECTS[subject].key: tag, "done_by": by or None, "note": note or None}
    row |= {"value": value, "value_unit": unit or None}
    names, marks = ", ".join(row), ", ".join("?" * len(row))
    db.conn.execute(f"INSERT INTO record ({names}) VALUES ({marks})", list(row.values()))
    measured = "" if value is None else f", {value:g} {unit}"
    return f"{SUBJECTS[subject].named(tag)}: {row['record_kind']} {row['result']}{measured}, {row['done_on']}"
