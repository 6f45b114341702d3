"""A copy of a register whose own triggers do nothing: one that is only read is opened several times as quick.

SQLite takes every trigger apart when a file is opened, which takes longer than reading all else of a small register.
Here the schema's rows are read from the bytes of the file, by SQLite's file format (sqlite.org/fileformat2.html,
sections 1.6, 2.1 and 2.3), and held against the texts that this program writes. Only where every trigger and view is
this program's own to the letter are the triggers' bodies put behind a comment sign; else nothing is changed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

HEADER_BYTES = 100
INNER, LEAF = 5, 13
UTF_8 = 1
# Bytes of a value by its serial type; a text's are told by the type itself.
_BYTES = {0: 0, 1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8, 7: 8, 8: 0, 9: 0}
_FIRST_TEXT = 13


@dataclass(frozen=True, slots=True)
class Row:
    """A row of the schema; `at` is where its SQL begins in the file, `room` how much of it lies there in one piece."""

    kind: str
    name: str
    table: str
    sql: str
    at: int
    room: int


def quiet(data: bytes, own: Mapping[str, str]) -> bytearray | None:
    """The bytes of a register with triggers that do nothing; None where any trigger or view is not as it should be.

    Parameters
    ----------
    data : the bytes of the whole file.
    own : the SQL of each trigger and view that this program makes, by name.
    """
    try:
        rows = list(_rows(data))
    except (IndexError, KeyError, ValueError):  # what is damaged is told by who opens it
        return None
    shown = {row.name: row for row in rows if row.kind in ("trigger", "view")}
    foreign = any(row.kind == "trigger" and row.name not in own for row in rows)
    if foreign or any(name not in shown or shown[name].sql != sql for name, sql in own.items()):
        return None
    made = bytearray(data)
    for row in shown.values():
        if row.kind == "trigger":
            sql = f"CREATE TRIGGER {row.name} AFTER INSERT ON {row.table} BEGIN SELECT 1;END/*".encode()
            if len(sql) <= row.room and "*/" not in row.sql:
                made[row.at : row.at + len(sql)] = sql
    return made


def _rows(data: bytes) -> Iterator[Row]:
    size = int.from_bytes(data[16:18], "big")
    size = 65536 if size == 1 else size
    if size < 512 or data[56:60] != UTF_8.to_bytes(4, "big"):
        raise ValueError("no text in UTF-8")
    waiting, seen = [1], set()
    while waiting:
        page = waiting.pop()
        if page in seen or not 0 < page <= len(data) // size:
            raise ValueError("pages in a circle, or beyond the end")
        seen.add(page)
        begin = (page - 1) * size
        head = begin + (HEADER_BYTES if page == 1 else 0)
        kind, cells = data[head], _whole(data, head + 3, 2)
        if kind not in (INNER, LEAF):
            raise ValueError("no page of a table")
        first = head + (12 if kind == INNER else 8)
        places = [begin + _whole(data, first + 2 * n, 2) for n in range(cells)]
        if kind == INNER:
            waiting += [*(_whole(data, place, 4) for place in places), _whole(data, head + 8, 4)]
        else:
            yield from (_row(data, place, size, size - data[20]) for place in places)


def _row(data: bytes, place: int, size: int, usable: int) -> Row:
    length, at = _varint(data, place)
    _, at = _varint(data, at)
    most, least = usable - 35, (usable - 12) * 32 // 255 - 23
    held = length
    if length > most:
        held = least + (length - least) % (usable - 4)
        held = held if held <= most else least
    payload = bytearray(data[at : at + held])
    page = _whole(data, at + held, 4) if held < length else 0
    while len(payload) < length:
        if not 0 < page <= len(data) // size:
            raise ValueError("a row that is cut off")
        begin = (page - 1) * size
        payload += data[begin + 4 : begin + min(usable, 4 + length - len(payload))]
        page = _whole(data, begin, 4)
    end, where = _varint(payload, 0)
    values, begin = [], end
    while where < end:
        serial, where = _varint(payload, where)
        count = (serial - _FIRST_TEXT) // 2 if serial >= _FIRST_TEXT and serial % 2 else _BYTES[serial]
        values.append((begin, payload[begin : begin + count] if serial >= _FIRST_TEXT else b""))
        begin += count
    (_, kind), (_, name), (_, table), _, (sql_at, sql) = values
    return Row(kind.decode(), name.decode(), table.decode(), sql.decode(), at + sql_at, held - sql_at)


def _whole(data: bytes | bytearray, at: int, count: int) -> int:
    if at + count > len(data):
        raise ValueError("beyond the end")
    return int.from_bytes(data[at : at + count], "big")


def _varint(data: bytes | bytearray, at: int) -> tuple[int, int]:
    """A number of one to nine bytes, and where what follows it begins."""
    value = 0
    for n in range(8):
        byte = data[at + n]
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            return value, at + n + 1
    return value << 8 | data[at + 8], at + 9
