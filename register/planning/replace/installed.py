"""The device considered at a position: the one installed there, another by its serial, or a new one of a model."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from sqlite_utils import Database

from register.columns import TABLES
from register.errors import Problem, StartrollError
from register.store.queries import rows_at

HERE = "installed"


@dataclass(frozen=True)
class Installed:
    """The device at a position, or one tried there: which it is, in words, and where it comes from.

    `tried` are the base columns that it brings; none for the one that is installed there.
    """

    tried: Mapping[str, Any]
    words: str
    source: str


def installed(db: Database, tag: str, *, device: str | None, model: str | None, today: str) -> Installed:
    """That device, or one of that model, at a position; without either the one that is installed there.

    Raises StartrollError for an unknown tag, serial or model, and where none is installed.
    """
    there = rows_at(db, tag)
    if device is not None and model is not None:
        raise StartrollError(Problem("a device and a model are named", "name one of the two"))
    if device is not None and device != there.get("device", {}).get("device"):
        row = _row(db, "device", device)
        status = row["device_status"] or "status unknown"
        return Installed(
            brought(row, _row(db, "model", row["model"]) if row["model"] else {}, today),
            _words(db, row["model"], device),
            f"{status}{', at ' + row['tag'] if row['tag'] else ''}",
        )
    if model is not None:
        row = _row(db, "model", model)
        return Installed(brought(new_device(model), row, today), _words(db, model, None), "from the catalogue")
    if "device" not in there:
        raise StartrollError(Problem(f"no device is installed at {tag}", "name one: --device SERIAL, or --model ID"))
    row = there["device"]
    return Installed({}, _words(db, row["model"], row["device"]), HERE)


def new_device(model: str) -> dict[str, Any]:
    """The row of a device of a model that is still to be bought."""
    return {c.name: None for c in TABLES["device"].columns} | {"device": f"a new {model}", "model": model}


def brought(device: Mapping[str, Any], model: Mapping[str, Any], today: str) -> dict[str, Any]:
    """The columns of a device and of its type, without settings: those of its last place do not hold here."""
    tried = {name: value for name, value in device.items() if name != "tag"}
    tried |= {"device_installed_on": today, "device_status": "in service"}
    tried |= {c.name: model.get(c.name) for c in TABLES["model"].columns}
    bare = {c.name: None for c in TABLES["setting"].columns if c.name != "device"}
    return tried | bare | {"setting_recorded_on": today}


def _row(db: Database, table: str, key: str) -> dict[str, Any]:
    found = next(db.query(f"SELECT * FROM {table} WHERE {table} = ?", [key]), None)
    if found is None:
        known = [str(row[0]) for row in db.execute(f"SELECT {table} FROM {table}")]
        near = get_close_matches(key, known, n=1, cutoff=0.4)
        hint = f"did you mean {near[0]!r}?" if near else f"startroll take-in adds a {table}"
        raise StartrollError(Problem(f"the register has no {table} {key!r}", hint, f"--{table}"))
    return found


def _words(db: Database, model: str | None, serial: str | None) -> str:
    maker = kind = None
    if model is not None:
        row = _row(db, "model", model)
        maker, kind = row["model_maker"], row["device_kind"]
    parts = [kind or "device of unknown kind", " ".join(p for p in (maker, model) if p)]
    return ", ".join([p for p in parts if p] + ([f"serial {serial}"] if serial else []))
