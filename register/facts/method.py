"""The method by which facts are made: all that they depend on besides the register."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import register
from register import columns
from register.calc import nameplate
from register.facts.assumptions import Assumption

if TYPE_CHECKING:
    from register.calc.standard_table import Table


@dataclass(frozen=True)
class Method:
    """Tables of standards, assumed values in force, and a hash of them and of the program itself."""

    tables: Mapping[str, Table]
    assumptions: tuple[Assumption, ...]
    hash: str


@cache
def present_method() -> str:
    """Hash of the dictionary and of the sources of the calculations and of these stages."""
    digest = hashlib.blake2b(f"{register.__version__} {columns.FACTS!r}".encode(), digest_size=16)
    folders = {Path(nameplate.__file__).parent, Path(__file__).parent}
    for source in sorted(path for folder in folders for path in folder.glob("*.py")):
        digest.update(source.read_bytes())
    return digest.hexdigest()


def method_hash(tables: Mapping[str, Table], assumptions: tuple[Assumption, ...]) -> str:
    """Hash of all that facts depend on: when it changes, every row is computed again."""
    held = _HASHED.get((id(tables), id(assumptions)))
    if held is None or held[0] is not tables or held[1] is not assumptions:
        if len(_HASHED) > MANY:
            _HASHED.clear()
        held = _HASHED[id(tables), id(assumptions)] = (tables, assumptions, _hash(tables, assumptions))
    return held[2]


# Tables and assumed values are read once and handed to hundreds of audits: each pair is known by its own identity.
_HASHED: dict[tuple[int, int], tuple[Mapping[str, Table], tuple[Assumption, ...], str]] = {}
MANY = 32


def _hash(tables: Mapping[str, Table], assumptions: tuple[Assumption, ...]) -> str:
    digest = hashlib.blake2b(f"{present_method()} {assumptions!r}".encode(), digest_size=16)
    for name in sorted(tables):
        table = tables[name]
        held = {column: values.tolist() for column, values in table.columns.items()}
        digest.update(f"{name} {table.source} {table.edition} {held!r}".encode())
    return digest.hexdigest()
