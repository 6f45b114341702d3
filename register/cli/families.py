"""The commands, each loaded when it is asked for: no command waits for the others."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import import_module
from typing import Any

import typer

from register.cli.help import Grouped

# The commands of each module, which its add_to adds.
FAMILIES: dict[str, tuple[str, ...]] = {
    "registers": ("new", "backup", "export", "repair"),
    "intake": ("take-in", "undo", "retire", "bring-back", "remove"),
    "positions": ("positions", "show", "correct", "record", "move", "history"),
    "audits": ("audit", "explain", "to-collect"),
    "group_answers": ("answer",),
    "rounds": ("round", "labels", "crew-page"),
    "take_back": ("take-round", "merge"),
    "plates": ("plate",),
    "starts": ("study", "window", "starts", "restart", "curve", "measured"),
    "planning": ("sheet", "checklist", "tonight"),
    "candidates": ("candidates",),
    "swaps": ("swap", "least-change"),
    "stock": ("spares", "plan"),
    "maintenance": ("due", "conditions", "intervals", "year", "back-test"),
    "kept": ("audits", "compare"),
    "reports": ("report", "review", "verify", "key"),
    "fleet": ("fleet",),
    "demo": ("demo",),
}
# The modules whose app is a command with commands of its own.
GROUPS = {"rules": "rules", "concede": "concessions", "actions": "actions"}


class OnDemand(Mapping[str, Any]):
    """The commands by name; one that is asked for is loaded, with its family."""

    def __init__(self) -> None:
        self._family = {name: family for family, names in FAMILIES.items() for name in names} | GROUPS
        self._loaded: dict[str, Any] = {}

    def __getitem__(self, name: str) -> Any:
        if name not in self._loaded:
            self._loaded |= family_of(self._family[name], name if name in GROUPS else "")
        return self._loaded[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._family)

    def __len__(self) -> int:
        return len(self._family)

    def __contains__(self, name: object) -> bool:
        return name in self._family


def family_of(module: str, group: str = "") -> dict[str, Any]:
    """The commands of a module, by name; or the one that is a `group`."""
    import_module("register.store")  # before all else that needs sqlite-utils: it comes lighter so
    loaded = import_module(f"register.cli.{module}")
    family = typer.Typer(rich_markup_mode=None, cls=Grouped)
    if group:
        family.add_typer(loaded.app, name=group)
    else:
        loaded.add_to(family)
    return dict(typer.main.get_group(family).commands)


class Jobs(Grouped):
    """The whole program: its commands by job."""

    def __init__(self, **given: Any) -> None:
        super().__init__(**given)
        self.commands: Any = OnDemand()

    def list_commands(self, ctx: Any) -> list[str]:
        """Their names, none of them loaded."""
        return list(self.commands)
