"""Keys of the JSON that is written, where they are other words than the names in the program."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

KEYS = {
    "stand_ins": "assumed",
    "to_read": "to_collect",
    "owed": "outstanding",
    "forces": "other_changes",
    "rests": "assumes",
    "mends": "corrects",
    "stands": "installed",
}


def key(name: str) -> str:
    """The key under which a field of that name is written."""
    return KEYS.get(name, name)


def plain(value: Any) -> dict[str, Any]:
    """A dataclass as a mapping, all that is in it too, under the keys that are written."""
    return asdict(value, dict_factory=lambda pairs: {key(name): item for name, item in pairs})
