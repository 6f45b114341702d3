"""Every filled cell of every sheet ends in exactly one way; what would vanish is refused, row by row."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from typing import Any

import numpy as np

from register.intake.headings import KEPT, PASSED_OVER, SURE
from register.intake.homeless import CHECK_NAMES
from register.intake.plan import Change, Key, Rows
from register.intake.sheet import Sheet
from register.intake.taken import Taken

TAKEN, UNCHANGED, ASKED, REFUSED, ASIDE, NO_VALUE = (
    "taken",
    "unchanged",
    "asked",
    "refused",
    "set aside",
    "not a value",
)
ENDS = (TAKEN, UNCHANGED, ASKED, REFUSED, ASIDE, NO_VALUE)
LOST = "its row says nothing that the register could keep it with"

RECORD = "record"  # stands for the columns of checks, which become rows of their own
KEYS = {"tag", "device", "motor", "model", "bus"}

Landed = dict[int, dict[str, dict[bool, list[int]]]]


def filled(cell: Any) -> bool:
    """True for a cell in which something stands."""
    return cell is not None and cell != "" and (cell.__class__ is not str or bool(cell.strip()))


def count(sheet: Sheet) -> int:
    """How many cells of a sheet are filled."""
    return sum(filled(cell) for row in sheet.rows for cell in row) + sheet.folded


def landed(rows: dict[str, Rows], added: dict[str, list[Key]], changed: tuple[Change, ...]) -> Landed:
    """By sheet and column: the rows whose cell came to the register as something new (True), or known (False)."""
    by_letters: dict[tuple[int, int, bool], tuple[dict[str, str], list[int]]] = {}
    found: Landed = defaultdict(lambda: defaultdict(lambda: {True: [], False: []}))
    changes: dict[tuple[str, Key], list[str]] = defaultdict(list)
    for change in changed:
        changes[change.table, change.key].append(change.column)
    for table, mine in rows.items():
        new = set(added.get(table, ()))
        for key, origins in mine.origins.items():
            is_new = key in new
            for sheet, row, where in origins:
                by_letters.setdefault((sheet, id(where), is_new), (where, []))[1].append(row)
                if table == RECORD:
                    found[sheet][RECORD][is_new].append(row)
                for column in changes.get((table, key), ()) if not is_new else ():
                    if column in where:
                        found[sheet][column][True].append(row)
    for (sheet, _, is_new), (where, at) in by_letters.items():
        for column in where:
            found[sheet][column][is_new] += at
    return found


def settle(taken: Taken, where: dict[str, dict[bool, list[int]]]) -> Counter[str]:
    """How the filled cells of a sheet end; those that would vanish are refused in `taken`."""
    rows = taken.body.rows
    place = np.full(len(taken.sheet.rows), -1)
    place[rows] = np.arange(len(rows))
    ends: Counter[str] = Counter()
    data = [taken.sheet.rows[r] for r in rows]
    lost: dict[int, list[int]] = defaultdict(list)
    wide = max(map(len, data), default=0)
    by_index = {h.index: h for h in taken.header.headings}
    gone = _rows_gone(taken, place)
    whole = {is_new: [r for at in list(where.values()) for r in at[is_new]] for is_new in (True, False)}
    where = {**where, **dict.fromkeys(KEYS, whole), **dict.fromkeys(CHECK_NAMES, where.get(RECORD, {}))}
    total = 0
    for index in range(wide):
        is_filled = np.array([filled(row[index]) if index < len(row) else False for row in data], bool)
        total += int(is_filled.sum())
        heading = by_index.get(index)
        if heading is None:
            for i in np.flatnonzero(is_filled):
                lost[int(i)].append(index)
            continue
        for end, mask in _ends(taken, heading, is_filled, where, place, gone):
            ends[end] += int(mask.sum())
            if end == "lost":
                for i in np.flatnonzero(mask):
                    lost[int(i)].append(index)
    ends.pop("lost", None)
    ends[REFUSED] += _refuse_lost(taken, lost)
    _others(taken, ends, total)
    return +ends


def _rows_gone(taken: Taken, place: np.ndarray) -> dict[str, np.ndarray]:
    masks = {end: np.zeros(len(taken.body.rows), bool) for end in (REFUSED, UNCHANGED, ASKED)}
    masks[ASKED][place[list(taken.rows_asked)]] = True
    masks[ASIDE] = np.zeros(len(taken.body.rows), bool)
    masks[ASIDE][list(taken.rows_aside)] = True
    masks[REFUSED][place[list(taken.rows_refused)]] = True
    masks[UNCHANGED][place[list(taken.repeats)]] = True
    return masks


def _ends(taken: Taken, heading: Any, is_filled: np.ndarray, where: Any, place: np.ndarray, gone: Any) -> Iterator:
    """(end, its rows) of the cells under one heading; every filled cell is in exactly one."""
    left = is_filled.copy()

    def take(end: str, mask: np.ndarray) -> tuple[str, np.ndarray]:
        nonlocal left
        mine = left & mask
        left = left & ~mine
        return end, mine

    everywhere = np.ones(len(left), bool)
    if heading.state == PASSED_OVER:
        yield take(ASIDE if heading.answer.column else NO_VALUE, everywhere)
        return
    names = taken.fed.get(heading.index, set())
    if heading.state not in (SURE, KEPT) or heading.index in taken.blocked:
        yield take(ASKED, everywhere)
        return
    if heading.state == KEPT and not names:
        yield take("lost", everywhere)
        return
    yield take(ASIDE, gone[ASIDE])
    yield take(UNCHANGED, gone[UNCHANGED])
    refused, asked, blank, aside = _special(taken, heading.index, names, place)
    yield take(REFUSED, refused)
    yield take(ASIDE, aside)
    for is_new, end in ((True, TAKEN), (False, UNCHANGED)):
        mask = np.zeros(len(left), bool)
        for name in names:
            mask[place[where.get(name, {}).get(is_new, [])]] = True
        yield take(end, mask & ~asked & ~blank)
    yield take(ASKED, gone[ASKED] | asked)
    yield take(REFUSED, gone[REFUSED])
    yield take(NO_VALUE, blank)
    yield take("lost", everywhere)


def _special(taken: Taken, heading: int, names: set[str], place: np.ndarray) -> list[np.ndarray]:
    """The cells under a heading that are refused, asked about, blank with a reason, and set aside."""
    refused, asked, blank, aside = masks = [np.zeros(len(taken.body.rows), bool) for _ in range(4)]
    for name in names:
        refused[place[taken.cells_refused.get(name, [])]] = True
    asked[list(taken.cells_asked.get(heading, ()))] = True
    for i, cell in taken.special_of(heading).items():
        if cell.question:
            (aside if cell.question == "aside" else asked)[i] = True
        elif cell.blank and cell.value is None and not cell.also:
            blank[i] = True
    return masks


def _refuse_lost(taken: Taken, lost: dict[int, list[int]]) -> int:
    """Refuse cells that landed nowhere: a whole row at once, or cell by cell."""
    for index, columns in sorted(lost.items()):
        row = taken.sheet.rows[taken.body.rows[index]]
        if len(columns) == sum(map(filled, row)):
            taken.refuse("", index, row[columns[0]], LOST, "add the tag, the bus or the serial that it belongs to")
            continue
        for column in columns:
            taken.refuse_cell(
                column, index, row[column], LOST, "add what it belongs to, or say `ignore` in the mapping"
            )
    return sum(map(len, lost.values()))


def _others(taken: Taken, ends: Counter[str], total: int) -> None:
    """The cells outside the data rows: titles, headings, totals, lines that head a group."""
    sections = sum(sum(map(filled, taken.sheet.rows[r])) for r in taken.body.section_rows)
    ends[taken.sections_end or NO_VALUE] += sections
    ends[NO_VALUE] += count(taken.sheet) - total - sections
