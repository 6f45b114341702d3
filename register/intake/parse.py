"""One sheet taken apart: its columns read, its rows sorted, what is refused and what is asked."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import Any

from register.columns import COLUMNS
from register.columns.languages import bare, line_words
from register.columns.languages.patterns import NOTE
from register.intake import (
    catalogue,
    crosscheck,
    dates,
    failures,
    heading_lines,
    homeless,
    implied,
    notes,
    questions,
    stock,
    tags,
)
from register.intake.cells import Cell, Manner, Read, as_text, marks, read_column
from register.intake.data_rows import body
from register.intake.evidence import weighed
from register.intake.headings import KEPT, PASSED_OVER, UNKNOWN, Header, Heading, recognise
from register.intake.mapping import IGNORE, SheetAnswers, heading_line
from register.intake.sheet import Sheet, letters
from register.intake.taken import Taken
from register.intake.units import plain


def take_apart(number: int, sheet: Sheet, answers: SheetAnswers, *, practice: str) -> Taken | None:
    """Read a sheet; None when it has no heading row (a cover page, a drawing list)."""
    header = recognise(sheet, answers)
    if header is None:
        return None
    header = catalogue.settled(sheet, tags.settled(sheet, header))
    header = weighed(sheet, header, practice)
    key = next((h.index for h in header.sure() if h.meant.name == "tag"), None)
    made = body(sheet, header.row, key, verbatim=header.verbatim, below=header.below)
    header = _with_unnamed(sheet, _others(header, answers), made.rows, answers)
    taken = Taken(number, sheet, header, made)
    questions.headings(taken)
    _read_columns(taken, answers, practice)
    _sections(taken, answers)
    _constants(taken, answers)
    _renamed(taken, answers)
    implied.spread(taken)
    return taken


def _renamed(taken: Taken, answers: SheetAnswers) -> None:
    """Read a tag or bus that the mapping says is another's as that; one that it says is its own stays."""
    taken.apart |= {name for name, said in answers.tags.items() if name == said}
    for column in ("tag", "bus"):
        read = taken.reads.get(column)
        if read is None or not answers.tags:
            continue
        for index, value in enumerate(read.values):
            said = answers.tags.get(str(value))
            if said and said != value:
                read.values[index], read.special[index] = said, Cell(said, str(value), "")


def finish(taken: Taken, answers: SheetAnswers) -> None:
    """Look at the columns together, once it is known which position each row is about."""
    implied.overload_by_kind(taken, answers)
    implied.overload_place(taken)
    implied.fuse_by_heading(taken)
    stock.look(taken)
    homeless.ask(taken)
    for name, question in crosscheck.suspects({n: r.values for n, r in taken.reads.items()}):
        _block(taken, name, question)
    failures.look(taken, answers)
    notes.keep(taken)


def _others(header: Header, answers: SheetAnswers) -> Header:
    """Headings without a column, where the mapping says what becomes of them all."""
    if not answers.others:
        return header
    how: dict[str, Any] = {"state": KEPT, "kept": NOTE}
    if answers.others == IGNORE:
        how = {"state": PASSED_OVER, "why": "the mapping says so"}

    def settled(h: Heading) -> Heading:
        if h.state != UNKNOWN or h.candidates:
            return h
        return replace(h, answer=replace(h.answer, column=answers.others), **how)

    return replace(header, headings=tuple(map(settled, header.headings)))


def _with_unnamed(sheet: Sheet, header: Header, rows: list[int], answers: SheetAnswers) -> Header:
    """The headings, with one for each filled column that has none."""
    bare_columns = heading_lines.unnamed(sheet, {h.index for h in header.headings}, rows)
    made = []
    for index in bare_columns:
        name = f"{heading_lines.UNNAMED}{letters(index)}"
        answer = answers.headings.get(name)
        column = answer.column if answer else answers.others
        heading = Heading(index, name)
        if column == IGNORE:
            heading = replace(heading, state=PASSED_OVER, why="the mapping says so")
        elif column == NOTE:
            heading = replace(heading, state=KEPT, kept=NOTE)
        elif answer and column in COLUMNS:
            heading = replace(heading, state="sure", column=COLUMNS[column], unit=answer.unit)
        if column:
            heading = replace(heading, answer=replace(answer or heading.answer, column=column))
        made.append(heading)
    return replace(header, headings=(*header.headings, *made))


def _read_columns(taken: Taken, answers: SheetAnswers, practice: str) -> None:
    data = [taken.sheet.rows[r] for r in taken.body.rows]
    verbatim = taken.header.verbatim
    columns = {h.index: [row[h.index] if h.index < len(row) else None for row in data] for h in taken.header.sure()}
    known_marks, known_orders = set(), set()
    if not verbatim:
        for h in taken.header.sure():
            if h.meant.is_number:
                known_marks |= marks(columns[h.index])
            elif h.meant.kind == "date":
                known_orders |= dates.order(set(columns[h.index]))
    struck = _struck(taken, answers)
    for h in taken.header.sure():
        manner = Manner(
            h.meant, h.unit, h.answer, practice, verbatim or h.exact, frozenset(known_marks), frozenset(known_orders)
        )
        cells, above = (columns[h.index], {}) if verbatim else _dittos(columns[h.index], h)
        read = read_column(cells, manner)
        for index, text in above.items():
            cell = read.special.get(index) or Cell(read.values[index], text)
            if not cell.question:
                text = f"{text} (as above: {as_text(cells[index])})"
                read.special[index] = cell._replace(text=text, unit=cell.unit or "")
        for index in struck.get(h.index, ()):
            said = "aside" if answers.struck_out else "struck"
            read.values[index], read.special[index] = None, Cell(text=as_text(cells[index]), question=said)
        questions.cells(taken, h, read)
        taken.own[h.index] = read
        taken.fed[h.index] = {h.meant.name}
        _keep(taken, h, read)
        taken.used.append(_line(h))


DITTO_MARKS = {'"', "''", "“", "”", "〃", '-"-', '- " -', "´´", ",,", "„"}


def _dittos(cells: list[object], h: Heading) -> tuple[list[object], dict[int, str]]:
    """Cells with ditto marks resolved from the cell above, and where; a key is never so taken."""
    if h.meant.required or not any(isinstance(c, str) and _is_ditto(c) for c in set(cells)):
        return cells, {}
    made, above, last = list(cells), {}, None
    for index, cell in enumerate(cells):
        if isinstance(cell, str) and _is_ditto(cell):
            made[index] = last
            if last is not None:
                above[index] = cell.strip()
        elif cell not in (None, ""):
            last = cell
    return made, above


def _is_ditto(text: str) -> bool:
    text = text.strip()
    return text in DITTO_MARKS or (len(text) <= 20 and bare(text) in line_words("ditto"))


def _struck(taken: Taken, answers: SheetAnswers) -> dict[int, list[int]]:
    """The struck-out cells of the data rows, by column, where nobody said to take them."""
    struck = taken.sheet.struck
    if not struck or answers.struck_out == "take":
        return {}
    places = [
        (i, col)
        for i, row in enumerate(taken.body.rows)
        for col in range(len(taken.sheet.rows[row]))
        if (row, col) in struck
    ]
    found: dict[int, list[int]] = {}
    for index, col in places:
        found.setdefault(col, []).append(index)
    if places and not answers.struck_out:
        first, col = places[0]
        where = taken.sheet.address(taken.body.rows[first], col)
        count = len(places)
        question = f"{count} cells are struck out, this one first: taken as they are, or left out?"
        taken.ask(
            where, "", question, ("take", "ignore"), "struck out: ignore", count, line="struck out: {}", under="sheet"
        )
    elif places:
        taken.notes.append(f"{taken.sheet.file} {taken.sheet.name!r}: {len(places)} struck-out cells are left out")
    return found


def _line(h: Heading) -> str:
    more: dict[str, Any] = {}
    if h.unit and not h.exact:
        more["unit"] = h.unit
    for name in ("decimal", "dates", "words"):
        if getattr(h.answer, name):
            more[name] = getattr(h.answer, name)
    if h.answer.believed:
        more["believed"] = True
    return heading_line(h.text, h.meant.name, **more)


def _keep(taken: Taken, h: Heading, read: Read) -> None:
    name = h.meant.name
    other = taken.reads.get(name)
    if other is None:
        taken.reads[name], taken.letters[name] = read, letters(h.index)
        taken.units[name] = h.unit
        return
    pairs = zip(other.values, read.values, strict=True)
    apart = [i for i, (a, b) in enumerate(pairs) if a is not None and b is not None and abs(a - b) > 0.02 * abs(a)]
    own = plain(h.unit) == plain(h.meant.unit)
    first, second = (read, other) if own else (other, read)
    if apart and _rounded(name, first, second, apart):
        taken.notes.append(f"{taken.sheet.file}: two columns give {name}, rounded; the one in {h.meant.unit} is taken")
    elif apart:
        _ask_apart(taken, h, other, read, apart)
        return
    for i, value in enumerate(second.values):
        if first.values[i] is None and value is not None:
            first.values[i] = value
            first.special[i] = Cell(value, f"{value:g}", h.meant.unit)
    if own:
        taken.reads[name], taken.letters[name], taken.units[name] = read, letters(h.index), h.unit


def _rounded(name: str, first: Read, second: Read, apart: list[int]) -> bool:
    """True for horsepower beside kW as catalogues round them: 5 hp is 3.7 or 4 kW."""
    return name == "power_kw" and all(abs(first.values[i] - second.values[i]) <= 0.09 * first.values[i] for i in apart)


def _ask_apart(taken: Taken, h: Heading, other: Read, read: Read, apart: list[int]) -> None:
    name = h.meant.name
    where = taken.sheet.address(taken.body.rows[apart[0]], h.index)
    taken.blocked.add(h.index)
    taken.ask(
        where,
        h.text,
        f"two columns give {name} and differ in {len(apart)} rows; the first "
        f"is taken: {other.values[apart[0]]:g} against {read.values[apart[0]]:g}",
        (name,),
        heading_line(h.text, "ignore"),
        len(apart),
    )


def _block(taken: Taken, name: str, question: str) -> None:
    heading = next((h for h in taken.header.sure() if h.meant.name == name), None)
    if heading is None or heading.answer.believed:
        return
    where = taken.sheet.address(taken.header.row, heading.index)
    answer = heading_line(heading.text, name, believed=True)
    taken.ask(where, heading.text, f"{name} is not taken: {question}", (name,), answer)
    homeless.take_out(taken, name)


def _sections(taken: Taken, answers: SheetAnswers) -> None:
    first = taken.body.first_section
    if first is None:
        return
    name = answers.sections
    if name in ("bus", "area"):
        if name not in taken.reads:
            read = read_column(taken.body.sections, Manner(COLUMNS[name]))
            taken.reads[name], taken.letters[name] = read, ""
            taken.sections_end = "taken"
        return
    if name:
        taken.sections_end = "set aside"
    elif "bus" not in taken.reads:
        texts = list(dict.fromkeys(s for s in taken.body.sections if s))[:4]
        taken.sections_end = "asked"
        taken.ask(
            taken.sheet.address(first, 0),
            "",
            f"lines alone in their row ({', '.join(texts)}): the bus of the rows below, their area, or nothing?",
            ("bus", "area", "ignore"),
            "sections: bus",
            line="sections: {}",
            under="sheet",
        )


def _constants(taken: Taken, answers: SheetAnswers) -> None:
    for name, value in answers.constants.items():
        if name not in taken.reads:
            cells = [value] * len(taken.body.rows)
            manner = Manner(COLUMNS[name], COLUMNS[name].unit, practice="iec")
            taken.reads[name], taken.letters[name] = read_column(cells, manner), ""


def skipped(taken: list[Taken]) -> Counter[str]:
    """How many rows were passed over, by reason."""
    return sum((t.body.skipped for t in taken), Counter())
