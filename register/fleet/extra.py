"""The libraries of the extra `fleet`, which only this room loads."""

from __future__ import annotations

from importlib import import_module
from types import ModuleType

from register.errors import Problem, StartrollError

INSTALL = 'pip install "startroll[fleet]"'


def needed(name: str) -> ModuleType:
    """The module of that name; StartrollError with the line that installs it where it is missing."""
    try:
        return import_module(name)
    except ImportError:
        library = name.partition(".")[0]
        raise StartrollError(
            Problem(f"{library} is not installed, which many plants at once need", INSTALL, "startroll fleet")
        ) from None
