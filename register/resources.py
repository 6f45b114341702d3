"""The folders of rules and samples: beside the package in a checkout, inside it in a wheel."""

from __future__ import annotations

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
