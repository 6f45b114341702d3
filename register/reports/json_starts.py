"""Studies of starts as plain data, for a program to read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np

from register.reports.json_keys import key

DIGITS = 6
# Of a start a bound is exceeded; passed is an outcome.
PASSED = {"passed": "exceeded"}


def plain(value: Any) -> Any:
    """Dataclasses as mappings, arrays as lists; numbers to as many digits as can mean anything."""
    if is_dataclass(value):
        return {PASSED.get(f.name) or key(f.name): plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, Mapping):
        return {name: plain(item) for name, item in value.items()}
    if isinstance(value, np.ndarray | list | tuple):
        return [plain(item) for item in value]
    if isinstance(value, float | np.floating):
        return float(f"{value:.{DIGITS}g}")
    return value
