"""Names that changed, old → new: rule ids, and words of closed lists by column.

Kept audits, kept rules, concessions and actions that hold an old name are read with the new one, so a
line is never removed.
"""

from __future__ import annotations

from collections.abc import Mapping

RULES = {
    "bypass/critical-has-way-round": "bypass/critical-has-bypass",
    "bypass/path-start-is-bearable": "bypass/path-start-within-limits",
}
VALUES = {"stop_mode": {"pump stop": "ramp for pumps"}}


def rule_now(rule_id: str) -> str:
    """The present id of a rule."""
    return RULES.get(rule_id, rule_id)


def row_now(row: Mapping[str, object]) -> dict[str, object]:
    """The same row with the present words of its closed lists."""
    return {name: VALUES.get(name, {}).get(str(value), value) for name, value in row.items()}
