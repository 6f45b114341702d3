"""What the register knows: positions in a list, one position whole, where a value came from."""

from __future__ import annotations

from difflib import get_close_matches
from os.path import commonprefix
from typing import Any

from sqlite_utils import Database

from register.columns import TABLES, Table
from register.errors import Problem, StartrollError

# How the row of a table is found from a tag: itself, or by way of what is installed there.
AT_TAG = ("position", "protection", "bypass", "control")
STANDING = {"motor": "motor_status", "device": "device_status"}


def positions(db: Database, *, area: str | None = None, bus: str | None = None) -> list[dict[str, Any]]:
    """Every position, with what is installed there; of one area or one bus, if asked, which may have none.

    Raises StartrollError when the area or the bus is not in the register.
    """
    for table, column, wanted in (("position", "area", area), ("bus", "bus", bus)):
        if wanted is not None:
            known = [r[0] for r in db.execute(f"SELECT DISTINCT {column} FROM {table}")]
            _known(wanted, [k for k in known if k is not None], column)
    return list(
        db.query(
            "SELECT position.tag, description, area, bus, criticality, load_kind, power_kw, fla_a,"
            " device_kind, device.model, device_status, (SELECT practice FROM site) AS practice FROM position"
            " LEFT JOIN motor ON motor.tag = position.tag AND motor_status IS NOT 'scrapped'"
            " LEFT JOIN device ON device.tag = position.tag AND device_status IS NOT 'scrapped'"
            " LEFT JOIN model ON model.model = device.model"
            " WHERE (:area IS NULL OR area = :area) AND (:bus IS NULL OR bus = :bus)"
            " ORDER BY position.tag",
            {"area": area, "bus": bus},
        )
    )


def _known(wanted: str, among: list[str], noun: str) -> None:
    if wanted not in among:
        near = get_close_matches(wanted, among, n=1, cutoff=0.6)
        hint = f"did you mean {near[0]!r}? " if near else ""
        alike = sorted(among, key=lambda name: (-len(commonprefix([name, wanted])), name))  # noqa: RUF071
        listed = ", ".join(sorted(alike[:8]))
        more = "" if len(among) <= 8 else f" and {len(among) - 8} more"
        raise StartrollError(Problem(f"there is no {noun} {wanted!r}", f"{hint}known: {listed}{more}"))


def is_lineup(db: Database, name: str, *, lineup: bool = False) -> bool:
    """Whether a name that may be a position's or a lineup's is the lineup's; a position of that name goes first.

    Parameters
    ----------
    lineup : it is meant for a lineup, whatever else has that name.

    Raises StartrollError when it is meant for a lineup and there is none.
    """
    found = db.execute("SELECT 1 FROM bus WHERE bus = ?", [name]).fetchone() is not None
    if lineup and not found:
        _known(name, [row[0] for row in db.execute("SELECT bus FROM bus")], "lineup")
    return lineup or (found and db.execute("SELECT 1 FROM position WHERE tag = ?", [name]).fetchone() is None)


def position_or_lineup(db: Database, name: str, *, lineup: bool = False) -> str:
    """The table, position or bus, of what a name is about; as `is_lineup`, but it must be there.

    Raises StartrollError with the names nearest to it, of both.
    """
    if is_lineup(db, name, lineup=lineup):
        return "bus"
    tags, buses = ([row[0] for row in db.execute(sql)] for sql in ("SELECT tag FROM position", "SELECT bus FROM bus"))
    if name not in tags:
        _known(name, tags + buses, "position or lineup")
    return "position"


def rows_at(db: Database, tag: str) -> dict[str, dict[str, Any]]:
    """The row of each table that belongs to a position: by table, only those that are there.

    Raises StartrollError when there is no such position.
    """
    if db.execute("SELECT 1 FROM position WHERE tag = ?", [tag]).fetchone() is None:
        _known(tag, [r[0] for r in db.execute("SELECT tag FROM position")], "position")
    rows: dict[str, dict[str, Any]] = {}

    def take(table: str, where: str, value: Any) -> None:
        found = next(db.query(f"SELECT * FROM {table} WHERE {where}", [value]), None)
        if found is not None:
            rows[table] = found

    for table in AT_TAG:
        take(table, "tag = ?", tag)
    for table, status in STANDING.items():
        take(table, f"{status} IS NOT 'scrapped' AND tag = ?", tag)
    take("site", "1 OR ?", None)
    take("bus", "bus = ?", rows["position"]["bus"])
    if "device" in rows:
        take("model", "model = ?", rows["device"]["model"])
        take("setting", "device = ? ORDER BY setting_recorded_on DESC LIMIT 1", rows["device"]["device"])
    return rows


def position(db: Database, tag: str) -> dict[str, Any]:
    """One position whole: the values by table, why what is blank is blank, the records."""
    rows = rows_at(db, tag)
    blanks: dict[str, str] = {}
    for table, row in rows.items():
        known = db.query(
            "SELECT column_name, reason FROM blank WHERE table_name = ? AND row_key = ?",
            [table, key_text(TABLES[table], row)],
        )
        blanks |= {r["column_name"]: r["reason"] for r in known}
    records = list(db.query("SELECT * FROM record WHERE tag = ? ORDER BY done_on", [tag]))
    events = list(db.query("SELECT * FROM event WHERE tag = ? ORDER BY happened_on", [tag]))
    return {"tag": tag, "tables": rows, "blanks": blanks, "records": records, "events": events}


def key_text(table: Table, row: dict[str, Any]) -> str:
    """A row's key as the history and the provenance write it."""
    return " | ".join(str(row[name]) for name in table.key)


KEYS_OF = {
    "position": "SELECT tag FROM position",
    "bus": "SELECT bus FROM bus",
    "device in store": "SELECT device FROM device WHERE device_status = 'in store'",
}


def subject_of(db: Database, key: str) -> str:
    """Whether a key is that of a position, a bus or a device in store; a position goes first.

    Raises StartrollError, with the nearest of all, when it is none of them.
    """
    keys = {subject: [row[0] for row in db.execute(sql)] for subject, sql in KEYS_OF.items()}
    _known(key, [known for own in keys.values() for known in own], "position, bus or spare")
    return next(subject for subject, own in keys.items() if key in own)
