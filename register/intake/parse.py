"""One sheet taken apart: its columns read, its rows sorted, what is refused and what is asked."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from register.columns import CHECKS, COLUMNS, Column
from register.columns.units import RIVALS
from register.intake import crosscheck, dates
from register.intake.cells import Cell, Manner, Read, marks, read_column
from register.intake.data_rows import Body, body
from register.intake.headings import PASSED_OVER, SURE, UNKNOWN, UNSURE, Header, Heading, recognise
from register.intake.mapping import SheetAnswers, heading_line
from register.intake.plan import Doubt, Refusal
from register.intake.sheet import Sheet, letters
from register.intake.units import plain


@dataclass(slots=True)
class Taken:
    """A sheet's columns by name; `letters` says where each stands, "" for a constant."""

    number: int
    sheet: Sheet
    header: Header
    body: Body
    reads: dict[str, Read] = field(default_factory=dict)
    letters: dict[str, str] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    refused: list[Refusal] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    rows_refused: set[int] = field(default_factory=set)
    used: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def address(self, column: str, index: int) -> str:
        """The address of a cell, by column name and place among the data rows."""
        row = self.body.rows[index] + 1
        cell = f"{self.letters.get(column, '')}{row}"
        return f"{self.sheet.name}!{cell}" if self.sheet.is_book else cell

    def _row(self, index: int) -> str:
        row = f"row {self.body.rows[index] + 1}"
        return f"{self.sheet.name} {row}" if self.sheet.is_book else row

    def refuse(self, column: str, index: int, read: object, cause: str, remedy: str, beside: int | None = None) -> None:
        """Note that a cell (or, with column "", a row) is not taken."""
        cell = self.address(column, index) if column else self._row(index)
        place = f"{self.sheet.file} {cell}"
        if not column:
            self.rows_refused.add(self.body.rows[index])
        self.refused.append(
            Refusal(
                self.number,
                self.body.rows[index],
                column,
                place,
                str(read),
                cause,
                remedy,
                None if beside is None else self.body.rows[beside],
            )
        )

    def ask(
        self, place: str, heading: str, question: str, candidates: tuple[str, ...], answer: str, cells: int = 0
    ) -> None:
        """Note a question that only the plant can answer."""
        self.doubts.append(
            Doubt(self.sheet.name, f"{self.sheet.file} {place}", heading, question, candidates, answer, cells)
        )


def take_apart(number: int, sheet: Sheet, answers: SheetAnswers, *, practice: str) -> Taken | None:
    """Read a sheet; None when it has no heading row (a cover page, a drawing list)."""
    header = recognise(sheet, answers)
    if header is None:
        return None
    header = _tag_by_evidence(sheet, header)
    key = next((h.index for h in header.sure() if h.meant.name == "tag"), None)
    made = body(sheet, header.row, key, verbatim=header.verbatim)
    taken = Taken(number, sheet, header, made)
    _ask_about_headings(taken)
    _read_columns(taken, answers, practice)
    _sections(taken, answers)
    _constants(taken, answers)
    _ask_about_homeless(taken)
    for name, question in crosscheck.suspects({n: r.values for n, r in taken.reads.items()}):
        _block(taken, name, question)
    return taken


def _tag_by_evidence(sheet: Sheet, header: Header) -> Header:
    """Of several headings that fit the tag, the one whose cells are names, not a running number."""
    rivals = [h for h in header.headings if h.state == UNSURE and h.candidates == ("tag",)]
    if len(rivals) < 2:
        return header
    rows = sheet.rows[header.row + 1 : header.row + 60]

    def named(heading: Heading) -> bool:
        cells = [str(r[heading.index]) for r in rows if heading.index < len(r) and r[heading.index]]
        return sum(any(c.isalpha() for c in cell) for cell in cells) * 2 > len(cells) > 0

    names = [h for h in rivals if named(h)]
    if len(names) != 1:
        return header
    chosen = {
        h.index: Heading(h.index, h.text, SURE, COLUMNS["tag"], answer=h.answer)
        if h is names[0]
        else Heading(h.index, h.text, PASSED_OVER, why=f"a running number beside {names[0].text!r}")
        for h in rivals
    }
    return Header(header.row, tuple(chosen.get(h.index, h) for h in header.headings))


def _ask_about_headings(taken: Taken) -> None:
    sheet, row = taken.sheet, taken.header.row
    for h in taken.header.headings:
        where = sheet.address(row, h.index)
        if h.state == UNSURE:
            words = " or ".join(h.candidates)
            question = f"{h.text!r} is not taken: {h.why}; {words}?"
            taken.ask(where, h.text, question, h.candidates, heading_line(h.text, h.candidates[0]))
        elif h.state == UNKNOWN:
            taken.notes.append(f"{sheet.file} {where}: {h.text!r} is no heading known; not taken")
            taken.used.append(heading_line(h.text, "ignore"))
        elif h.state == PASSED_OVER:
            taken.notes.append(f"{sheet.file} {where}: {h.text!r} is passed over: {h.why}")


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
    for h in taken.header.sure():
        manner = Manner(
            h.meant, h.unit, h.answer, practice, verbatim or h.exact, frozenset(known_marks), frozenset(known_orders)
        )
        read = read_column(columns[h.index], manner)
        _ask_about_cells(taken, h, read)
        _keep(taken, h, read)
        taken.used.append(_line(h))


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
    apart = [
        i
        for i, (a, b) in enumerate(zip(other.values, read.values, strict=True))
        if a is not None and b is not None and abs(a - b) > 0.02 * abs(a)
    ]
    if apart:
        where = taken.sheet.address(taken.body.rows[apart[0]], h.index)
        taken.ask(
            where,
            h.text,
            f"two columns give {name} and differ in {len(apart)} rows; the first "
            f"is taken: {other.values[apart[0]]:g} against {read.values[apart[0]]:g}",
            (name,),
            heading_line(h.text, "ignore"),
            len(apart),
        )
        return
    own = plain(h.unit) == plain(h.meant.unit)
    first, second = (read, other) if own else (other, read)
    for i, value in enumerate(second.values):
        if first.values[i] is None and value is not None:
            first.values[i] = value
            first.special[i] = Cell(value, f"{value:g}", h.meant.unit)
    if own:
        taken.reads[name], taken.letters[name], taken.units[name] = read, letters(h.index), h.unit


QUESTIONS = {
    "unit": "{numbers} without a unit, as {text!r}: {rivals}?",
    "decimal": "{numbers} such as {text!r}: a decimal mark, or one that parts thousands?",
    "dates": "{n} days such as {text!r}: day first or month first?",
    "words": "classes {texts}: what does each mean?",
}


def _ask_about_cells(taken: Taken, h: Heading, read: Read) -> None:
    """One question for a column, not one for every cell of it."""
    asked: dict[str, list[int]] = {}
    for index, cell in read.special.items():
        if cell.question:
            asked.setdefault(cell.question, []).append(index)
    column = h.meant
    for question, rows in asked.items():
        texts = sorted({read.special[i].text for i in rows})
        rivals = RIVALS.get(column.unit, ())
        sentence = QUESTIONS[question].format(
            numbers="1 number" if len(rows) == 1 else f"{len(rows)} numbers",
            text=read.special[rows[0]].text,
            texts=", ".join(texts),
            rivals=" or ".join(rivals),
        )
        choices, answer = _open_answer(question, column, texts)
        more = {question: answer}
        where = taken.sheet.address(taken.body.rows[rows[0]], h.index)
        taken.ask(
            where, h.text, f"{column.name}: {sentence}", choices, heading_line(h.text, column.name, **more), len(rows)
        )


def _open_answer(question: str, column: Column, texts: list[str]) -> tuple[tuple[str, ...], object]:
    """What may be answered, and a first answer to correct: these texts in the list's order."""
    if question == "words":
        choices = column.choices
        last = len(choices) - 1
        return choices, {text: choices[min(i, last)] for i, text in enumerate(texts)}
    answers: dict[str, tuple[str, ...]] = {
        "unit": RIVALS.get(column.unit, ()),
        "decimal": ("point", "comma"),
        "dates": ("day first", "month first"),
    }
    return answers[question], answers[question][0]


def _block(taken: Taken, name: str, question: str) -> None:
    heading = next((h for h in taken.header.sure() if h.meant.name == name), None)
    if heading is None or heading.answer.believed:
        return
    where = taken.sheet.address(taken.header.row, heading.index)
    taken.ask(
        where,
        heading.text,
        f"{name} is not taken: {question}",
        (name,),
        heading_line(heading.text, name, believed=True),
    )
    del taken.reads[name]


CHECK_NAMES = {c.name for c in CHECKS}

# What has to stand beside a column for its row to be known by.
# fmt: off
KNOWN_BY = {
    "site": ("site",), "bus": ("bus",), "position": ("tag",), "motor": ("motor", "tag"),
    "model": ("model", "device", "tag"), "device": ("device", "tag"),
    "setting": ("setting_recorded_on",),
    "protection": ("tag",), "bypass": ("tag",), "control": ("tag",),
    "record": ("record_kind", "done_on"), "event": ("happened_on", "failure_mode"),
    "concession": ("rule",), "action": ("against_rule",),
}
# fmt: on


def _ask_about_homeless(taken: Taken) -> None:
    """Columns of a table for which the sheet has no key: whose values are they?"""
    homeless: dict[str, list[Heading]] = {}
    for heading in taken.header.sure():
        name, table = heading.meant.name, heading.meant.table
        known = any(k in taken.reads for k in KNOWN_BY[table])
        if name in taken.reads and not known and name not in CHECK_NAMES:
            homeless.setdefault(table, []).append(heading)
            del taken.reads[name]
    for table, headings in homeless.items():
        texts = ", ".join(repr(h.text) for h in headings)
        where = taken.sheet.address(taken.header.row, headings[0].index)
        lacks = KNOWN_BY[table]
        if table in ("record", "event", "concession", "action"):
            taken.notes.append(f"{taken.sheet.file} {where}: {texts} belongs to no {table}; not taken")
            continue
        taken.ask(
            where,
            headings[0].text,
            f"{texts}: not taken, no column of this sheet gives"
            f" the {COLUMNS[lacks[0]].sentence}; add one headed {lacks[0]}, or name the"
            " one that does",
            lacks,
            f"<its heading>: {lacks[0]}",
        )


def _sections(taken: Taken, answers: SheetAnswers) -> None:
    first = taken.body.first_section
    if first is None:
        return
    name = answers.sections
    if name in ("bus", "area"):
        if name not in taken.reads:
            read = read_column(taken.body.sections, Manner(COLUMNS[name]))
            taken.reads[name], taken.letters[name] = read, ""
        return
    if not name and "bus" not in taken.reads:
        texts = list(dict.fromkeys(s for s in taken.body.sections if s))[:4]
        taken.ask(
            taken.sheet.address(first, 0),
            "",
            f"lines alone in their row ({', '.join(texts)}): the bus of the rows below, their area, or nothing?",
            ("bus", "area", "ignore"),
            "sections: bus",
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
