"""The motor and the device installed at a position: by serial, or by a placeholder name."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Container, Iterable
from dataclasses import dataclass, field
from typing import Any

from sqlite_utils import Database

from register.intake.taken import Taken
from register.text import whole

ASSETS = ("motor", "device")
MOST_UNMARKED = 1000
_IN_STORE = re.compile(r"unmarked device (\d+) in store, (.*)")


def unmarked(asset: str, tag: str) -> str:
    """The name of a motor or device whose serial nobody has read."""
    return f"unmarked {asset} at {tag}"


def unmarked_anew(asset: str, tag: str, taken: Container[str]) -> str:
    """Such a name that is free: one whose serial nobody read may have stood there before, and be elsewhere now.

    >>> unmarked_anew("motor", "P-1", {"unmarked motor at P-1"})
    'unmarked motor at P-1, 2'
    """
    names = (unmarked(asset, tag), *(f"{unmarked(asset, tag)}, {number}" for number in range(2, MOST_UNMARKED)))
    return next(name for name in names if name not in taken)


def is_unmarked(asset: str, tag: str, name: str) -> bool:
    """Whether a name is such a one.

    >>> is_unmarked("motor", "P-1", "unmarked motor at P-1, 2"), is_unmarked("motor", "P-1", "unmarked motor at P-12")
    (True, False)
    """
    base = unmarked(asset, tag)
    return name == base or (name.startswith(f"{base}, ") and name.removeprefix(f"{base}, ").isdecimal())


def names_of(db: Database, asset: str) -> set[str]:
    """The names of motors or devices whose serial nobody has read."""
    return {row[0] for row in db.execute(f"SELECT {asset} FROM {asset} WHERE {asset} LIKE 'unmarked %'").fetchall()}


def unidentified(place: str) -> str:
    """The name of a device type whose catalogue number nobody has read."""
    return f"unidentified model at {place}"


def in_store(model: str, number: int) -> str:
    """The name of a device in store whose serial nobody has read.

    >>> in_store("SX-100", 2)
    'unmarked device 2 in store, SX-100'
    """
    return f"unmarked device {number} in store, {model}"


def numbered(device: str) -> int:
    """The number in such a name; 0 for a serial number that was read."""
    found = _IN_STORE.fullmatch(device)
    return whole(found[1]) if found else 0


@dataclass(slots=True)
class Residents:
    """Serial by tag for each kind of asset, model by device, and the keys that become known.

    Of devices in store, by model: how many serials are known, how many there are, how many these sheets count.
    """

    at: dict[str, dict[str, str]] = field(default_factory=dict)
    unmarked: dict[str, set[str]] = field(default_factory=dict)
    model_of: dict[str, str] = field(default_factory=dict)
    renamed: list[tuple[str, str, str]] = field(default_factory=list)
    serials_stored: Counter[str] = field(default_factory=Counter)
    most_stored: Counter[str] = field(default_factory=Counter)
    counted: Counter[str] = field(default_factory=Counter)
    _new_name: dict[tuple[str, str], str] = field(default_factory=dict)

    def serial(self, asset: str, tag: str) -> str:
        """The motor or device at a position, by its serial or its placeholder name."""
        return self.at[asset].get(tag) or unmarked_anew(asset, tag, self.unmarked[asset])

    def model(self, device: str, place: str) -> str:
        """The model of a device, by its catalogue number or its placeholder name."""
        return self.model_of.get(device) or unidentified(place)

    def present(self, table: str, key: str) -> str:
        """What a key of the register is called once this intake has been applied."""
        return self._new_name.get((table, key), key)

    def rename(self, table: str, old: str, new: str) -> None:
        """Note that a placeholder name gives way to a real one."""
        self.renamed.append((table, old, new))
        self._new_name[table, old] = new


def find(db: Database, sheets: Iterable[Taken]) -> Residents:
    """Return which motor and device is installed at each position; a sheet counts before the register."""
    sheets = list(sheets)
    made = Residents()
    for asset in ASSETS:
        rows = db.execute(
            f"SELECT tag, {asset} FROM {asset} WHERE tag IS NOT NULL AND {asset}_status IS NOT 'scrapped'"
        )
        made.at[asset] = dict(rows.fetchall())
        made.unmarked[asset] = names_of(db, asset)
        _by_sheets(db, made, asset, sheets)
    made.model_of = dict(db.execute("SELECT device, model FROM device WHERE model IS NOT NULL").fetchall())
    made.model_of = {made.present("device", d): m for d, m in made.model_of.items()}
    _models(db, made, sheets)
    _stored(db, made)
    return made


def _column(taken: Taken, name: str) -> list[Any]:
    read = taken.reads.get(name)
    return read.values if read else [None] * len(taken.body.rows)


def _by_sheets(db: Database, made: Residents, asset: str, sheets: list[Taken]) -> None:
    given: dict[str, str] = {}
    for taken in sheets:
        if asset in taken.reads and "tag" in taken.reads:
            status = _column(taken, f"{asset}_status")
            for tag, serial, state in zip(_column(taken, "tag"), _column(taken, asset), status, strict=True):
                if tag is not None and serial is not None and state != "scrapped":
                    given.setdefault(tag, serial)
    at = made.at[asset]
    for tag, serial in given.items():
        here = at.get(tag)
        if here is not None and here != serial and is_unmarked(asset, tag, here):
            known = db.execute(f"SELECT 1 FROM {asset} WHERE {asset} = ?", [serial]).fetchone()
            if not known:
                made.rename(asset, here, serial)
        at[tag] = serial


def _stored(db: Database, made: Residents) -> None:
    rows = db.execute("SELECT device, model FROM device WHERE device_status = 'in store' AND model IS NOT NULL")
    for device, model in rows.fetchall():
        made.serials_stored[model] += not numbered(device)
        made.most_stored[model] += 1


def _models(db: Database, made: Residents, sheets: list[Taken]) -> None:
    given: dict[str, str] = {}
    for taken in sheets:
        if "model" in taken.reads and ("tag" in taken.reads or "device" in taken.reads):
            for tag, device, model in zip(
                _column(taken, "tag"), _column(taken, "device"), _column(taken, "model"), strict=True
            ):
                if model is not None and (device or tag):
                    given.setdefault(device or made.serial("device", tag), model)
    for device, model in given.items():
        here = made.model_of.get(device)
        if here and here != model and here.startswith("unidentified model"):
            known = db.execute("SELECT 1 FROM model WHERE model = ?", [model]).fetchone()
            used = any(new == model for table, _, new in made.renamed if table == "model")
            if not known and not used:
                made.rename("model", here, model)
        made.model_of[device] = model
