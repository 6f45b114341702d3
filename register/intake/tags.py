"""Which heading gives the tag: not a running number, not the number of another system, not a stores list's item."""

from __future__ import annotations

import re
from dataclasses import replace

from register.columns import COLUMNS
from register.columns.languages import bare, line_words
from register.columns.languages.patterns import ASSET, NOTE
from register.intake import concepts
from register.intake.cells import as_text
from register.intake.evidence import cells_of
from register.intake.headings import KEPT, PASSED_OVER, STOCK, SURE, UNKNOWN, UNSURE, Header, Heading
from register.intake.sheet import Sheet
from register.text import whole

LIKE_TAGS = "taken as the tag: its cells are tags, each another"
PERHAPS_TAGS = "its cells are like tags, each another, and no other heading gives the tag"
STORES_LIST = "this is like a stores list, whose items are no positions"


def settled(sheet: Sheet, header: Header) -> Header:
    """The headings with the tag's decided, where the cells or the headings themselves leave no doubt."""
    if header.verbatim:
        return header
    header = _like_tags(sheet, header)
    return _of_motors(_of_orders(_of_stores(sheet, _without_tag(sheet, _among_rivals(sheet, header)))))


def _changed(header: Header, made: dict[int, Heading]) -> Header:
    return replace(header, headings=tuple(made.get(h.index, h) for h in header.headings))


def _among_rivals(sheet: Sheet, header: Header) -> Header:
    rivals = [h for h in header.headings if h.candidates[:1] == ("tag",) and h.state in (SURE, UNSURE)]
    rivals += [h for h in header.sure() if h.answer.column == "tag"]
    if len(rivals) < 2:
        return header
    cells = {h.index: [as_text(c) for c in cells_of(sheet, header, h.index)] for h in rivals}
    named = [h for h in rivals if _worded(cells[h.index])]
    if len(named) > 1:
        named = [h for h in named if concepts.names_tag(h.text)] or named
    if len(named) > 1:
        named = [h for h in named if _are_tags(sheet, header, h.index)] or named
    named = [h for h in rivals if h.answer.column] or named
    described = any(h.meant.name == "description" for h in header.sure())
    if len(named) != 1:
        return header
    made = {}
    for h in rivals:
        if h is named[0]:
            made[h.index] = replace(h, state=SURE, column=COLUMNS["tag"], why="")
        elif _running(cells[h.index]):
            why = f"a running number beside {named[0].text!r}"
            made[h.index] = Heading(h.index, h.text, PASSED_OVER, why=why)
        elif not described and not any(c.isdigit() for cell in cells[h.index] for c in cell):
            made[h.index] = replace(h, state=SURE, column=COLUMNS["description"], why="")
        elif len(cells[h.index]) > 1:
            made[h.index] = replace(h, state=KEPT, column=None, kept=ASSET, why="")
    return _changed(header, made)


MAY_BE_TAG = {"tag", "description", "motor", "load_kind"}
DESCRIBES = ("bus_description", "description")
PLACES = {"area", "bus_description"}  # beside an asset number, a place may be the tag
PERHAPS = {"area", "description", "load_kind", "position_notes"}
_TAG = re.compile(r"(?=.*\d)[A-Z0-9]+(?:[-./_ ]?[A-Z0-9]+)*", re.IGNORECASE)


def _like_tags(sheet: Sheet, header: Header) -> Header:
    """Where no heading gives the tag: the one that names the machine and whose cells are tags, each another."""
    named = [h for h in header.headings if "tag" in h.candidates or (h.state == SURE and h.meant.name == "tag")]
    if named:
        return header
    numbered = any(h.kept == ASSET for h in header.headings)
    names = PLACES if numbered else MAY_BE_TAG
    of_motors = len(PLATE & {h.meant.name for h in header.sure()}) > 1
    if not of_motors and any("drawing" in concepts.said_by(h.text) for h in header.headings):
        return header
    may = [h for h in header.headings if not h.answer.column and names & set(h.candidates)]
    if of_motors and not numbered:
        may += [h for h in header.headings if h.state == UNKNOWN and not h.answer.column and not h.candidates]
    found = [h for h in may if _are_tags(sheet, header, h.index)]
    if len(found) > 1:
        found = [h for h in found if not any(" " in as_text(c) for c in cells_of(sheet, header, h.index))]
    if not found:
        return header if numbered else _perhaps_tags(sheet, header)
    if len(found) != 1:
        return header
    chosen = found[0]
    others = [h for h in header.headings if h is not chosen and h.state == UNSURE and h.candidates == chosen.candidates]
    made = {chosen.index: replace(chosen, state=SURE, column=COLUMNS["tag"], candidates=("tag",), why=LIKE_TAGS)}
    doubtful = [h for h in header.headings if h is not chosen and h.state == UNSURE and h.candidates == DESCRIBES]
    if len(doubtful) == 1:
        made[doubtful[0].index] = replace(doubtful[0], state=SURE, column=COLUMNS["description"], why="")
    elif len(others) == 1:
        made[others[0].index] = replace(others[0], state=SURE, column=COLUMNS[others[0].candidates[0]], why="")
    return _changed(header, made)


def _perhaps_tags(sheet: Sheet, header: Header) -> Header:
    """In a list of motors whose tags no known heading gives, the first column of tags is asked about."""
    if not PLATE & {h.meant.name for h in header.sure()}:
        return header
    free = [h for h in header.headings if not h.answer.column]
    may = [h for h in free if h.state == UNKNOWN or (h.state == SURE and h.meant.name in PERHAPS)]
    found = next((h for h in may if _are_tags(sheet, header, h.index)), None)
    if found is None:
        return header
    others = ("tag", found.meant.name) if found.state == SURE else ("tag",)
    made = replace(found, state=UNSURE, column=None, candidates=others, why=PERHAPS_TAGS)
    return _changed(header, {found.index: made})


def _are_tags(sheet: Sheet, header: Header, index: int) -> bool:
    rows = sheet.rows[header.row + 1 + header.below :]
    cells = [as_text(row[index]) for row in rows if index < len(row) and row[index] not in (None, "")]
    cells = [c for c in cells if bare(c) not in line_words("empty")]
    short = [c for c in cells if len(c) <= 16 and c.count(" ") < 2 and any(x.isalpha() for x in c)]
    tags = [c for c in short if _TAG.fullmatch(c) and not any(w.islower() and len(w) > 3 for w in c.split())]
    return len(tags) > 1 and 2 * len(tags) >= len(cells) and len(set(tags)) == len(tags)


def _worded(cells: list[str]) -> bool:
    return sum(any(c.isalpha() for c in cell) for cell in cells) * 2 > len(cells) > 0


def _running(cells: list[str]) -> bool:
    numbers = [whole(c) for c in cells if c.isdecimal()]
    return len(numbers) * 2 > len(cells) and max(numbers, default=0) <= 4 * len(cells) + 20


def _without_tag(sheet: Sheet, header: Header) -> Header:
    """A running number alone is no tag."""
    made = {}
    for h in header.sure():
        if h.meant.name == "tag" and not h.answer.column and concepts.is_item(h.text):
            cells = [as_text(c) for c in cells_of(sheet, header, h.index)]
            if len(cells) > 2 and _running(cells):
                why = "its cells are a running number"
                made[h.index] = replace(h, state=UNSURE, column=None, candidates=("ignore", "tag"), why=why)
    return _changed(header, made)


PLATE = {"power_kw", "fla_a", "motor_voltage_v", "speed_rpm", "device_kind", "protection_rating_a"}
STATES = {"motor_status", "device_status", "lifecycle"}
POSITIONS = {"description", "area", "position_notes", "criticality", "motor_status", "bus", "load_kind"}


def _of_orders(header: Header) -> Header:
    """In a list of orders or failures a description is of what happened, and nothing is a position's own."""
    sure = {h.meant.name: h for h in header.sure()}
    orders = [h for h in header.headings if concepts.of_orders(h.text) and not h.answer.column]
    if not orders or set(sure) & PLATE or not ({"happened_on", "downtime_h"} & set(sure) or len(orders) > 1):
        return header
    made = {
        h.index: replace(h, state=KEPT, column=None, kept=NOTE, why="")
        for h in header.headings
        if h.state == UNSURE and not h.answer.column and set(h.candidates) <= STATES
    }
    told = [h for h in header.headings if h.state == UNSURE and h.candidates == DESCRIBES and not h.answer.column]
    if len(told) == 1 and "cause" not in sure:
        made[told[0].index] = replace(told[0], state=SURE, column=COLUMNS["cause"], why="")
    for name in POSITIONS & set(sure):
        h = sure[name]
        if h.answer.column:
            continue
        if name == "description" and "cause" not in sure:
            made[h.index] = replace(h, column=COLUMNS["cause"])
        else:
            made[h.index] = replace(h, state=KEPT, column=None, kept=NOTE)
    return _changed(header, made)


def _of_motors(header: Header) -> Header:
    """In a list that says nothing else of starters, a model or a type may be the motor's own, and is asked about."""
    sure = {h.meant.name: h for h in header.sure()}
    model = sure.get("model")
    tables = {h.meant.table for h in header.sure() if h is not model}
    if model is None or model.answer.column or model.exact or tables & {"device", "model", "setting"}:
        return header
    if "motor" not in tables or concepts.of_starters(model.text):
        return header
    why = "it may be the motor's own type, for which there is no column, or its starter's"
    made = replace(model, state=UNSURE, column=None, candidates=("note", "model"), why=why)
    return _changed(header, {model.index: made})


def _of_stores(sheet: Sheet, header: Header) -> Header:
    """In a list of spares the items are no positions: ask, and take what has a serial number."""
    stock = [h for h in header.headings if h.kept == STOCK]
    titles = [sheet.name, *(str(c) for row in sheet.rows[: header.row] for c in row if isinstance(c, str))]
    said = any(word in line_words("stores") for title in titles for word in bare(title).split())
    made = {}
    if said or len(stock) > 1:
        for h in header.sure():
            if h.meant.name == "tag" and not h.answer.column and not concepts.names_tag(h.text):
                made[h.index] = replace(h, state=UNSURE, column=None, candidates=("ignore", "tag"), why=STORES_LIST)
    if not made and not said and len(stock) == 1 and not stock[0].answer.column:
        made[stock[0].index] = replace(stock[0], kept="note")
    return _changed(header, made)
