"""The expressions of rules, each compiled once; what was compiled in another run is remembered."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import astuple
from typing import Any

from register.rulebook.clauses import Compiled, Pieces, Side
from register.rulebook.model import Outcome, Rule

_KNOWN: dict[str, Compiled] = {}


def compiled(text: str) -> Compiled:
    """Return an expression in pieces; one that was compiled before is not parsed again."""
    if text not in _KNOWN:
        from register.rulebook.check.expression import compile_text  # the parser takes a tenth of a second to load

        _KNOWN[text] = compile_text(text)
    return _KNOWN[text]


def outcome_pieces(rule: Rule) -> Pieces:
    """The SQL of a rule's outcome, 0 to 3 as in `Outcome`.

    A truth is 1, 0 or NULL, and NULL is unknown, in the condition as in the requirement.
    """
    made = _joined("coalesce(NOT (", compiled(rule.requires).sql, f"), {Outcome.CANT_TELL:d})")
    if rule.condition:
        ends = f" WHEN 0 THEN {Outcome.INAPPLICABLE:d} ELSE {Outcome.CANT_TELL:d} END"
        made = _joined("CASE (", compiled(rule.condition).sql, ") WHEN 1 THEN ", made, ends)
    return made


def _joined(*parts: str | Pieces) -> Pieces:
    made = [""]
    for part in parts:
        first, *rest = (part,) if isinstance(part, str) else part
        made[-1] += first
        made += rest
    return tuple(made)


def texts_of(rule: Rule) -> list[str]:
    """Every expression of a rule that is run."""
    texts = [rule.condition, rule.requires, rule.margin]
    return [text for text in texts if text]


def as_data(rules: tuple[Rule, ...]) -> dict[str, Any]:
    """The expressions of rules as plain data, to be kept."""
    return {text: astuple(compiled(text)) for rule in rules for text in texts_of(rule)}


def remember(data: Mapping[str, Any]) -> None:
    """Take expressions from plain data, as `as_data` gave them."""
    for text, (sql, sides) in data.items():
        made = (Side(tuple(s), g, t, tuple(sl), tuple(r), tuple(n)) for s, g, t, sl, r, n in sides)
        _KNOWN.setdefault(text, Compiled(tuple(sql), tuple(made)))
