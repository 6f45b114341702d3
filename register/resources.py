"""The folders of rules and samples: beside the package in a checkout, inside it in a wheel; names that changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path

from register.errors import Problem, StartrollError


def _folder(packed: str, beside: str) -> Path:
    package = Path(str(files("register")))
    for folder in (package / packed, package.parent / beside):
        if folder.is_dir():
            return folder
    raise StartrollError(
        Problem(
            cause=f"the folder {beside}/ that belongs to the program is missing",
            remedy="install the program again: pip install --force-reinstall startroll",
            place=str(package),
        )
    )


def rules_folder() -> Path:
    """The rules, limits, tables and assumptions that come with the program."""
    return _folder("_pack", "rules")


def samples_folder() -> Path:
    """The sample plants that come with the program."""
    return _folder("_samples", "samples")


@dataclass(frozen=True)
class Renamed:
    """Rule ids and words of closed lists that changed: old → new; `values` by column."""

    rules: Mapping[str, str]
    values: Mapping[str, Mapping[str, str]]

    def rule(self, rule_id: str) -> str:
        """The present id of a rule."""
        return self.rules.get(rule_id, rule_id)

    def row(self, row: Mapping[str, object]) -> dict[str, object]:
        """The same row with the present words of its closed lists."""
        return {name: self.values.get(name, {}).get(value, value) for name, value in row.items()}


@cache
def renamed() -> Renamed:
    """The names that changed, from rules/renamed.yml."""
    import yaml

    read = yaml.safe_load((rules_folder() / "renamed.yml").read_text(encoding="utf-8"))
    return Renamed(read["rules"], read["values"])
