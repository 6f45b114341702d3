"""Packs read before, kept as plain data beside the user's other caches, so that a command need not read them anew.

What is kept is found again by all that it was made from: the files, their names, the folders' names, the program.
Where the folders lie is left out: rules kept in a register are written to another place each time. A file that is
missing, damaged or of another version is no error: the pack is then read as if there were none.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
from contextlib import suppress
from dataclasses import asdict, fields
from functools import cache
from pathlib import Path
from typing import Any

import register
from register.columns.source import Source
from register.rulebook.load.files import shown
from register.rulebook.model import Example, Grade, Harm, Limit, Line, Outcome, Outside, Override, Pack, Rule, Takes
from register.rulebook.run import compiled

FORM = 2
KEPT = 20  # packs; the oldest go


def read(folder: Path, site_folder: Path | None, known: str, names: tuple[str, ...]) -> Pack | None:
    """Return the pack kept for these files; None where there is none, or none that can be used."""
    place = _place(folder, site_folder, known, names)
    if place is None:
        return None
    try:
        data = json.loads(place.read_bytes())
        pack = _pack(data, folder, site_folder)
        compiled.remember(data["compiled"])
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None
    return pack


def write(pack: Pack, known: str, names: tuple[str, ...]) -> None:
    """Keep a pack for the next command; where that can't be done, the next one reads it anew."""
    place = _place(pack.folder, pack.site_folder, known, names)
    if place is None:
        return
    part = place.with_suffix(f".{os.getpid()}")
    try:
        data = {name: getattr(pack, name) for name in ("name", "version", "sentence", "hash")}
        data |= {"rules": [_rule_data(rule, pack) for rule in pack.rules], "compiled": compiled.as_data(pack.rules)}
        data |= {"limits": [asdict(limit) for limit in pack.limits.values()], "own_limits": sorted(pack.own_limits)}
        data |= {name: [asdict(one) for one in getattr(pack, name)] for name in ("overrides", "taken_in")}
        place.parent.mkdir(parents=True, exist_ok=True)
        part.write_text(json.dumps(data), encoding="utf-8")
        part.replace(place)
        for old in sorted(place.parent.glob("*.json"), key=lambda path: path.stat().st_mtime)[:-KEPT]:
            old.unlink(missing_ok=True)
    except OSError:
        with suppress(OSError):
            part.unlink()


def _place(folder: Path, site_folder: Path | None, known: str, names: tuple[str, ...]) -> Path | None:
    """The file of a pack; None where nothing is kept."""
    if not known or os.environ.get("STARTROLL_CACHE") == "":
        return None
    named = (folder.name, site_folder and site_folder.name)
    made_from = repr((FORM, _program(), named, known, names))
    return _folder() / f"{hashlib.sha256(made_from.encode()).hexdigest()[:32]}.json"


def _folder() -> Path:
    """The folder for what can be made again: STARTROLL_CACHE, or where the system keeps such things."""
    named = os.environ.get("STARTROLL_CACHE") or os.environ.get("XDG_CACHE_HOME")
    if named:
        return Path(named) / "startroll"
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home())) / "startroll"
    return Path.home() / ("Library/Caches" if sys.platform == "darwin" else ".cache") / "startroll"


@cache
def _program() -> tuple:
    """What of the program reads rules: its version, and size and time of the files that do."""
    package = Path(register.__file__).parent
    sources = sorted((*(package / "rulebook").rglob("*.py"), *(package / "columns").glob("*.py")))
    seen = [(str(path), (stat := path.stat()).st_size, stat.st_mtime_ns) for path in sources]
    return register.__version__, sys.version_info[:2], tuple(seen)


def _rule_data(rule: Rule, pack: Pack) -> dict[str, Any]:
    data = {field.name: getattr(rule, field.name) for field in fields(rule)}
    begins = f"{shown(rule.path)}:"
    examples = [(int(one.outcome), dict(one.row), one.place.removeprefix(begins)) for one in rule.examples]
    many = {name: [asdict(one) for one in getattr(rule, name)] for name in ("outside", "basis")}
    home = pack.site_folder if pack.site_folder and rule.path.is_relative_to(pack.site_folder) else pack.folder
    path = (home is pack.site_folder, rule.path.relative_to(home).as_posix())
    return data | many | {"examples": examples, "path": path}


def _rule(data: dict[str, Any], folder: Path, site_folder: Path | None) -> Rule:
    made: dict[str, Any] = {name: tuple(value) if isinstance(value, list) else value for name, value in data.items()}
    of_site, inner = data["path"]
    made["path"] = path = Path(site_folder if of_site and site_folder else folder, inner)
    begins = shown(path)
    made["grade"], made["harm"] = Grade(data["grade"]), Harm(data["harm"])
    made["takes"] = tuple(map(Takes, data["takes"]))
    made["examples"] = tuple(Example(Outcome(code), row, f"{begins}:{at}") for code, row, at in data["examples"])
    made["outside"] = tuple(Outside(**one) for one in data["outside"])
    made["basis"] = tuple(Source(**one) for one in data["basis"])
    return Rule(**made)


def _pack(data: dict[str, Any], folder: Path, site_folder: Path | None) -> Pack:
    return Pack(
        name=data["name"],
        version=data["version"],
        sentence=data["sentence"],
        rules=tuple(_rule(one, folder, site_folder) for one in data["rules"]),
        limits={one["name"]: Limit(**{**one, "basis": Source(**one["basis"])}) for one in data["limits"]},
        overrides=tuple(Override(**one) for one in data["overrides"]),
        hash=data["hash"],
        folder=folder,
        site_folder=site_folder,
        taken_in=tuple(Line(**one) for one in data["taken_in"]),
        own_limits=frozenset(data["own_limits"]),
    )
