"""What a concession or an action is about: the key stands in the column of its subject, the others are blank."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from register.columns import SUBJECTS

_SUBJECT = {subject.key: subject.name for subject in SUBJECTS.values()}


def told(row: Mapping[str, Any]) -> dict[str, Any]:
    """A row with `subject` and `tag`, the key of what it is about, in place of the columns of all subjects.

    >>> told({"tag": None, "bus": "MCC-1", "device": None, "rule": "r"})
    {'rule': 'r', 'tag': 'MCC-1', 'subject': 'bus'}
    """
    column = next(name for name in _SUBJECT if row[name] is not None)
    rest = {name: value for name, value in row.items() if name not in _SUBJECT}
    return rest | {"tag": row[column], "subject": _SUBJECT[column]}


def entered(values: Mapping[str, Any]) -> dict[str, Any]:
    """The reverse, for a row to be entered.

    >>> entered({"rule": "r", "tag": "MCC-1", "subject": "bus"})
    {'rule': 'r', 'bus': 'MCC-1'}
    """
    rest = {name: value for name, value in values.items() if name not in ("tag", "subject")}
    return rest | {SUBJECTS[values["subject"]].key: values["tag"]}
