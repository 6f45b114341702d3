"""Dated lines about rules: those that a site has taken in, findings whose loss is accepted."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from register.errors import RuleError
from register.rulebook.load.document import Document, nearest
from register.rulebook.model import Line

KEYS = ("rule", "reason", "by", "on")


def read_lines(document: Document, known: Collection[str], *, counting: Collection[str] = ()) -> tuple[Line, ...]:
    """The lines of a file, each about a rule that is known; what is wrong goes to the document.

    `counting` are rules that need no line.
    """
    lines = []
    for node in document.items(document.root):
        before = len(document.problems)
        fields = document.fields(node, KEYS)
        words = {key: document.words(fields.get(key)) for key in KEYS if key != "on"}
        rule = words["rule"]
        if rule in counting:
            document.blame(fields["rule"], f"{rule!r} is the program's own and counts already", "remove the line")
        elif rule and rule not in known:
            remedy = nearest(rule, known) if known else "write the rule first"
            document.blame(fields["rule"], f"there is no rule {rule!r}", remedy)
        line = Line(**words, on=document.day(fields.get("on")))
        if any(line.rule == other.rule for other in lines):
            document.blame(fields["rule"], f"two lines about {rule!r}", "keep one of them")
        if len(document.problems) == before:
            lines.append(line)
    return tuple(lines)


def lines_of(path: Path, known: Collection[str]) -> tuple[Line, ...]:
    """The lines of a file; RuleError with all that is wrong in it."""
    document = Document(path, may_be_empty=True)
    lines = read_lines(document, known)
    if document.problems:
        raise RuleError(document.problems)
    return lines
