"""A mapping to save: what was answered, what is in use, and the open questions with their evidence."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import yaml

from register.intake.mapping import SheetAnswers, quoted, quoted_flow
from register.intake.plan import Doubt


def _given(answers: SheetAnswers) -> Iterator[str]:
    if answers.skip:
        yield "    skip: yes"
    if answers.header_row:
        yield f"    header row: {answers.header_row}"
    for name in ("sections", "others", "struck out", "device overload", "failure modes"):
        if said := getattr(answers, name.replace(" ", "_")):
            yield f"    {name}: {said}"
    if answers.not_failures:
        yield f"    not failures: {quoted_flow(list(answers.not_failures))}"
    for name, pairs in (("constants", answers.constants), ("tags", answers.tags)):
        if pairs:
            yield f"    {name}:"
            yield from (f"      {quoted(n)}: {quoted(v)}" for n, v in pairs.items())


def draft(sheets: Iterable[tuple[str, SheetAnswers, Iterable[str], Iterable[Doubt]]]) -> str:
    """A mapping to save: per sheet the answers given, the lines in use, and the open questions with their evidence."""
    lines = [
        "# How this plant's headings are read; docs/guide/mapping.md has every key. A line with '#?' waits for an",
        "# answer: correct it if need be and take the '#?' away.",
        "sheets:",
    ]
    for name, answers, used, doubts in sheets:
        lines += [f"  {quoted(name)}:", *_given(answers), *_open(doubts, "sheet", "    ")]
        asked = {_heading_of(d.answer) for d in doubts if d.under == "headings"}
        lines += ["    headings:", *(f"      {line}" for line in used if _heading_of(line) not in asked)]
        lines += _open(doubts, "headings", "      ")
    return "\n".join(lines) + "\n"


def _heading_of(line: str) -> str:
    return next(iter(yaml.load(line, Loader=yaml.BaseLoader)))


def _open(doubts: Iterable[Doubt], under: str, margin: str) -> Iterator[str]:
    """The questions of a sheet, one for a heading; a second about it is asked when the first is answered."""
    seen = set()
    for doubt in doubts:
        if doubt.under == under and (heading := _heading_of(doubt.answer)) not in seen:
            seen.add(heading)
            yield from _evidence(doubt, margin)
            yield f"{margin}#? {doubt.answer}"


def _evidence(doubt: Doubt, margin: str) -> Iterator[str]:
    """The question as comments, with what may be answered."""
    yield f"{margin}# {' '.join(f'{doubt.place}: {doubt.question}'.split())}"
    if doubt.candidates:
        yield f"{margin}#   one of: {', '.join(doubt.candidates)}"
