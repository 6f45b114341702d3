"""Why a file can't be read as YAML, in words: the spot that a person can correct, and how.

The reader stumbles where it can go no further, which is often lines behind the slip.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import yaml

Told = tuple[str, str, int, int]

# On the line where the reader stumbles, or where it began what it could not finish: what it looks
# like, and what is wrong. The group, if there is one, is the spot.
_LINES = [
    (re.compile(pattern), cause, remedy)
    for pattern, cause, remedy in (
        (
            r"^[\w-]+: *(\{\w*\}).*\S",
            "a text that begins with a curly bracket",
            'put the whole text in double quotes: "…"',
        ),
        (
            r"^[\w-]+: *'[^']*\w(')\w",
            "an apostrophe inside single quotes",
            "put the whole text in double quotes, or write two of them: ''",
        ),
        (
            r"^[\w-]+: *('[^']*') *\S",
            "a text that goes on behind its quotes",
            "put double quotes round the whole of it: \"'drive' = device_kind\"",
        ),
        (
            r'^[\w-]+: *("[^"]*") *\S',
            "a text that goes on behind its quotes",
            "put single quotes round the whole of it",
        ),
        (
            r"[{,:] *(:[a-z]\w*)",
            "a name with a colon in front, without quotes",
            'write it in double quotes: ":today": "2026-03-01"',
        ),
        (r"^[\w-]+: *([%@`*&!].*)", "a sign with which no text can begin", 'put the whole text in double quotes: "…"'),
    )
]
_SAID = (
    ("expected a single document", "a second document begins", "keep one in a file; remove ---"),
    ("mapping values are not allowed", "a colon inside plain text", "put the text in quotes"),
    ("flow sequence", "a bracket is opened and not closed", "close it with ]"),
    ("flow mapping", "a bracket is opened and not closed", "close it with }"),
    ("could not find expected ':'", "a key without a colon, or text not indented", "write key: value"),
)


def told(error: yaml.MarkedYAMLError, lines: list[str]) -> Told:
    """Cause, remedy, line and column, both counted from 0."""
    words = f"{error.context or ''} {error.problem or ''}"
    marks = [mark for mark in (error.problem_mark, error.context_mark) if mark]
    at = [(mark.line, mark.column) for mark in marks]
    for look in (_tab, _looked_at, _quote, _left_open, _layout):
        for found in look(words, at, lines):
            return found
    known = (pair for said, *pair in _SAID if said in words)
    cause, remedy = next(known, ("this is not YAML", "compare with a neighbouring file"))
    return cause, remedy, *at[0]


def _line(lines: list[str], number: int) -> str:
    return lines[number] if number < len(lines) else ""


def _tab(words: str, at: list, lines: list[str]) -> Iterator[Told]:
    line, column = at[0]
    if "\t" in _line(lines, line)[: column + 1] or "\\t" in words:
        yield "a tab where spaces belong", "indent with spaces", line, column


def _looked_at(words: str, at: list, lines: list[str]) -> Iterator[Told]:
    for line, _ in at:
        for pattern, cause, remedy in _LINES:
            hit = pattern.search(_line(lines, line))
            if hit:
                yield cause, remedy, line, hit.start(1)


def _quote(words: str, at: list, lines: list[str]) -> Iterator[Told]:
    """A quote that is opened swallows lines up to the next one, and only there YAML stumbles."""
    odd = [n for n, text in enumerate(lines[: at[0][0] + 1]) if text.count('"') % 2]
    if odd:
        yield ("a quote is opened and not closed", "close it on the same line", odd[-1], lines[odd[-1]].find('"'))
    elif "quoted scalar" in words:
        yield "a quote is opened and not closed", "close it on the same line", *at[-1]


def _left_open(words: str, at: list, lines: list[str]) -> Iterator[Told]:
    """A bracket without its fellow is told where it opens; the reader stumbles a line later."""
    for kind, close in (("flow sequence", "]"), ("flow mapping", "}")):
        if kind not in words:
            continue
        (stumbled, column), (opened, begun) = at[0], at[-1]
        if stumbled > opened:
            yield "a bracket is opened and not closed", f"close it with {close}", opened, begun
        else:
            remedy = f"put a comma in front, or close the bracket with {close}"
            yield "something stands here that belongs to nothing", remedy, stumbled, column


def _layout(words: str, at: list, lines: list[str]) -> Iterator[Told]:
    """A blank too many or too few, a dash where keys belong."""
    line, column = at[0]
    own = _line(lines, line)
    begun = re.match(r"( +)([\w-]+):( |$)", own)
    unindented = line and re.match(r"[\w-]+: *[^ |>]", _line(lines, line - 1))
    if "mapping values" in words and begun and unindented and column >= begun.end(2):
        blanks = "blanks" if len(begun[1]) > 1 else "blank"
        yield (
            f"{begun[2]!r} is indented, and what stands above is not",
            f"remove the {blanks} before {begun[2]}",
            line,
            0,
        )
    if line and "document start" in words and re.match(r" +[\w-]+:", lines[0]):
        yield "the first line is indented", "remove the blanks before it", 0, 0
    for number in {place[0] for place in at}:
        joined = re.match(r"\s*([\w-]+):(\w.*)", _line(lines, number))
        if joined and "expected ':'" in words:
            yield ("there is no blank behind the colon", f"write {joined[1]}: {joined[2]}", number, joined.start(2) - 1)
    if own.startswith("- "):
        remedy = "put it under its key, overrides: or examples:, indented by two blanks"
        yield "a list where keys with values belong", remedy, line, 0
    if "expected '-'" in words and re.match(r"\s*\{", own):
        yield "a line of a list without its dash", 'begin the line with "- "', line, column
    if "expected ':'" in words and len(at) > 1:
        yield "a key without a colon, or text not indented", "write key: value", *at[-1]
