"""What a sheet leaves open, asked once: by heading, by a column's unknown words, by sheet, for like sheets together."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

import yaml

from register.columns import COLUMNS, Column
from register.columns.languages.patterns import ASSET
from register.columns.units import RIVALS
from register.intake import numbers, vocabulary
from register.intake.cells import Read, as_text
from register.intake.evidence import cells_of
from register.intake.headings import KEPT, PASSED_OVER, STOCK, SURE, UNKNOWN, UNSURE, Heading
from register.intake.mapping import folded, heading_line, quoted, quoted_flow
from register.intake.plan import Doubt

if TYPE_CHECKING:
    from register.intake.taken import Taken

TAGS = "tags: "
ABBREVIATION = 3  # letters: too few for a word to be like another
SHOWN = 12  # words that a question shows; the mapping has all
QUESTIONS = {
    "unit": "{numbers} without a unit, as {text!r}: {rivals}?",
    "decimal": "{numbers} such as {text!r}: a decimal mark, or one that parts thousands?",
    "dates": "{n} days such as {text!r}: day first or month first?",
    "words": "what does each mean? {counts}",
}


def headings(taken: Taken) -> None:
    """Ask about headings that may mean several columns, and once about those for which there is none."""
    sheet, row = taken.sheet, taken.header.row
    unknown: list[Heading] = []
    for h in taken.header.headings:
        where = sheet.address(row, h.index)
        if h.state == UNSURE:
            choices = (*h.candidates, *(n for n in ("note", "ignore") if n not in h.candidates))
            question = f"{h.text!r} is not taken: {h.why or 'could be either'}; {' or '.join(h.candidates)}?"
            _of_heading(taken, where, h, question, choices)
        elif h.state == UNKNOWN and h.candidates:
            samples = _samples(taken, h)
            question = f"{h.text!r} is no heading known; its cells ({samples}) look like {h.candidates[0]}"
            _of_heading(taken, where, h, question, (*h.candidates, "note", "ignore"))
        elif h.state == UNKNOWN:
            unknown.append(h)
        elif h.state == SURE and h.why:
            taken.notes.append(f"{sheet.file} {where}: {h.text!r} is {h.why}")
        elif h.state == KEPT:
            taken.used.append(heading_line(h.text, h.kept if h.kept != STOCK else "ignore"))
        elif h.state == PASSED_OVER and not h.answer.column:
            taken.used.append(heading_line(h.text, "ignore"))
            taken.notes.append(f"{sheet.file} {where}: {h.text!r} is passed over: {h.why}")
    if unknown:
        _without_column(taken, unknown)


def _of_heading(taken: Taken, where: str, h: Heading, question: str, choices: tuple[str, ...]) -> None:
    line = f"{quoted(folded(h.text))}: {{}}"
    taken.ask(where, h.text, question, choices, line.replace("{}", choices[0]), line=line)


def _samples(taken: Taken, h: Heading) -> str:
    cells = cells_of(taken.sheet, taken.header, h.index)
    return ", ".join(repr(as_text(c)) for c in cells[:3])


def _without_column(taken: Taken, unknown: list[Heading]) -> None:
    """One question for all headings without a column: kept as notes, or left out."""
    where = taken.sheet.address(taken.header.row, unknown[0].index)
    shown = "; ".join(f"{h.text!r} ({_samples(taken, h) or 'blank'})" for h in unknown)
    has_tag = any(h.meant.name == "tag" for h in taken.header.sure())
    has_tag |= any(h.kept == ASSET for h in taken.header.headings)
    choices = ("note", "ignore") if has_tag else ("ignore", "note")
    question = f"no column is headed like {shown}: kept as notes at the position, or left out?"
    line = "others: {}"
    taken.ask(where, unknown[0].text, question, choices, line.replace("{}", choices[0]), line=line, under="sheet")


def cells(taken: Taken, h: Heading, read: Read) -> None:
    """One question for a column, not one for every cell of it."""
    asked: dict[str, list[int]] = defaultdict(list)
    for index, cell in read.special.items():
        if cell.question:
            asked[cell.question].append(index)
    column = h.meant
    for kind, rows in asked.items():
        if kind not in QUESTIONS:
            continue
        counts = Counter(read.special[i].text for i in rows)
        rivals = RIVALS.get(column.unit, ())
        shown = ", ".join(f"{text!r} × {n}" if n > 1 else repr(text) for text, n in counts.most_common(SHOWN))
        more = f" and {len(counts) - SHOWN} more" if len(counts) > SHOWN else ""
        sentence = QUESTIONS[kind].format(
            numbers="1 number" if len(rows) == 1 else f"{len(rows)} numbers",
            n=len(rows),
            text=read.special[rows[0]].text,
            counts=shown + more,
            rivals=" or ".join(rivals),
        )
        where = taken.sheet.address(taken.body.rows[rows[0]], h.index)
        question = f"{h.text!r}, {column.name}: {sentence}"
        if kind == "words":
            _words(taken, where, h, question, counts)
        else:
            known = {"decimal": ("point", "comma"), "dates": ("day first", "month first")}
            choices: tuple[str, ...] = known.get(kind, rivals)
            line = f"{quoted(folded(h.text))}: {{column: {column.name}, {kind}: {{}}}}"
            answer = heading_line(h.text, column.name, **{kind: choices[0]})
            taken.ask(where, h.text, question, choices, answer, len(rows), line=line)


def _words(taken: Taken, where: str, h: Heading, question: str, counts: Counter[str]) -> None:
    column = h.meant
    words = tuple((text, n, likeliest(column, text, i)) for i, (text, n) in enumerate(_ordered(column, counts)))
    answer = word_line(h.text, column.name, {text: choice for text, _, choice in words})
    taken.ask(
        where,
        h.text,
        question,
        (*column.choices, "unknown") if column.choices else ("a value", "unknown"),
        answer,
        sum(counts.values()),
        line=h.text,
        words=words,
    )


def _ordered(column: Column, counts: Counter[str]) -> list[tuple[str, int]]:
    """Classes in their own order, other words by how often they stand."""
    return sorted(counts.items()) if column.name in vocabulary.CODED else counts.most_common()


def likeliest(column: Column, text: str, place: int) -> str:
    """A first meaning to correct: of classes these in the list's order, else the word most like it."""
    if column.name in vocabulary.CODED:
        return column.choices[min(place, len(column.choices) - 1)]
    if column.is_number:
        number = numbers.typed(text)
        return f"{number.digits} {column.unit}" if number else "unknown"
    return (vocabulary.nearest(column, text) if column.choices and len(text) > ABBREVIATION else None) or "unknown"


def word_line(heading: str, column: str, words: dict[str, str]) -> str:
    """The line of a mapping that gives words their meaning."""
    return f"{quoted(folded(heading))}: {quoted_flow({'column': column, 'words': words})}"


def grouped(doubts: Iterable[Doubt]) -> list[Doubt]:
    """The same question on several sheets as one, to be answered for every sheet."""
    by_key: dict[tuple, list[Doubt]] = defaultdict(list)
    for doubt in doubts:
        # A question of words groups by its heading; any other by what would answer it.
        key = (doubt.line, bool(doubt.words), "" if doubt.words else doubt.answer)
        alone = doubt.sheet if doubt.under == "sheet" and "{}" not in doubt.line else ""
        if doubt.line.startswith(TAGS):
            key, alone = (TAGS, False, ""), doubt.sheet
        by_key[(*key, alone)].append(doubt)
    return [_one(same) for same in by_key.values()]


def _one(same: list[Doubt]) -> Doubt:
    first = same[0]
    if first.line.startswith(TAGS):
        pairs: dict[str, str] = {}
        for doubt in same:
            pairs |= yaml.safe_load(doubt.answer)["tags"]
        words = tuple((name, doubt.cells, other) for doubt, (name, other) in zip(same, pairs.items(), strict=False))
        answer = "tags: " + quoted_flow(pairs)
        question = f"{first.question} (and {len(same) - 1} more such)" if len(same) > 1 else first.question
        return replace(first, answer=answer, words=words if len(same) > 1 else (), question=question)
    sheets = list(dict.fromkeys(d.sheet for d in same))
    if len(same) == 1:
        return first
    note = f"{first.question} (and {len(same) - 1} more such)"
    made = replace(
        first, sheet="*" if len(sheets) > 1 else first.sheet, cells=sum(d.cells for d in same), question=note
    )
    if not first.words:
        return made
    counts: Counter[str] = Counter()
    meaning = {}
    for doubt in same:
        for text, n, choice in doubt.words:
            counts[text] += n
            meaning[text] = choice
    column = first.question.split(", ")[1].partition(":")[0]
    words = tuple((text, n, meaning[text]) for text, n in counts.most_common())
    shown = ", ".join(f"{text!r} × {n}" for text, n, _ in words[:SHOWN])
    question = f"{first.heading!r}, {column}: {QUESTIONS['words'].format(counts=shown)}"
    answer = word_line(first.heading, column, {t: c for t, _, c in words}) if column in COLUMNS else first.answer
    return replace(made, words=words, question=question, answer=answer)
