"""How many of a device type lie in store: each becomes a device of its own, under a name that says it is unmarked."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

from register.columns import COLUMNS
from register.columns.languages import bare
from register.columns.languages import concepts as words_of
from register.intake import concepts
from register.intake.cells import Read, as_text
from register.intake.headings import KEPT, STOCK, Heading
from register.intake.mapping import heading_line
from register.intake.match import Residents, in_store
from register.intake.sheet import letters
from register.intake.vocabulary import chosen
from register.text import counted, whole

if TYPE_CHECKING:
    from register.intake.plan import Key
    from register.intake.taken import Taken

MOST = 500  # of one type; more is another number
# What stores lists hold besides starting devices, as concepts of headings and as words.
OTHER_PARTS = {"motor", "overload", "fuse", "breaker", "cable", "bearing", "ct", "transformer", "capacitor"}
STARTING_DEVICES = {"starter", "drive"}
IN_STORE = "in store"
_COUNT = re.compile(r"(\d+)(?:[.,]0+)?\s*(?:x|pcs?|ea|no|off|stk|st|stuks?|u|ud|un|pz|pi[eè]ces?)?\.?", re.IGNORECASE)


def look(taken: Taken) -> None:
    """Read how many of each type a stores list counts, where it has types and neither tags nor serial numbers."""
    if "model" not in taken.reads or {"tag", "device"} & set(taken.reads):
        _lie_in_store(taken)
        return
    heading = _counting(taken)
    if heading is None:
        return
    taken.letters["device"] = letters(heading.index)
    taken.fed[heading.index] = {"device"}
    others = _other_parts(taken)
    for index, cell in enumerate(_cells(taken, heading.index)):
        if index in others:
            remedy = "leave the row out, or enter a motor in store by its serial number in a list of motors"
            taken.refuse("", index, others[index], f"{others[index]!r} is no starting device", remedy)
            continue
        found = _COUNT.fullmatch(cell)
        if found and whole(found[1]) <= MOST:
            taken.in_store[index] = int(found[1])
        elif cell:
            taken.refuse("device", index, cell, f"{cell!r} is no number of devices", "write how many lie in store")
    total = sum(taken.in_store.values())
    taken.notes.append(
        f"{taken.sheet.file} {taken.sheet.name!r}: {counted(total, 'device')} in store, counted by {heading.text!r};"
        " each is named as unmarked until its serial number is read"
    )


def _other_parts(taken: Taken) -> dict[int, str]:
    """The text, by place, of each row that names a part of another kind: a motor, a relay, a fuse."""
    found = {}
    for index, row in enumerate(taken.body.rows):
        texts = [as_text(c) for c in taken.sheet.rows[row] if isinstance(c, str)]
        if any(is_starting_device(t) for t in texts):
            continue
        other = next((t for t in texts if _said(t) & OTHER_PARTS), None)
        if other is not None:
            found[index] = other
    return found


def _said(text: str) -> set[str]:
    """What each word of a text may speak of."""
    return {name for word in bare(text).split() for name in words_of().get(word, ())}


def is_starting_device(text: str) -> bool:
    """True for a text that names a kind of starting device, whatever else it says.

    >>> is_starting_device("SOFT STARTER 480V 180A"), is_starting_device("MOTOR 25HP 284T")
    (True, False)
    """
    if _said(text) & STARTING_DEVICES:
        return True
    words = text.split()
    pairs = (" ".join(words[i : i + n]) for n in (1, 2) for i in range(len(words) - n + 1))
    return any(chosen(COLUMNS["device_kind"], pair, {}) for pair in pairs)


def _counting(taken: Taken) -> Heading | None:
    """The heading above the numbers in store; asked where two may be."""
    may = [h for h in taken.header.headings if h.state == KEPT and h.kept == STOCK]
    may = [h for h in may if h.answer.column == STOCK or counts(h.text, _cells(taken, h.index))]
    may = [h for h in may if h.answer.column == STOCK] or may
    if len(may) > 1:
        where = taken.sheet.address(taken.header.row, may[0].index)
        names = " or ".join(repr(h.text) for h in may)
        line = heading_line(may[0].text, STOCK)
        taken.blocked |= {h.index for h in may}
        taken.ask(where, may[0].text, f"{names}: which counts the devices in store?", (STOCK, "ignore"), line)
    return may[0] if len(may) == 1 else None


def _lie_in_store(taken: Taken) -> None:
    """In a stores list with serial numbers and neither tag nor status, the devices lie in store."""
    names = set(taken.reads)
    if "device" not in names or {"tag", "device_status"} & names or taken.header.verbatim:
        return
    if any(h.kept == STOCK for h in taken.header.headings):
        taken.reads["device_status"] = Read(COLUMNS["device_status"], [IN_STORE] * len(taken.body.rows))
        taken.letters["device_status"] = ""


def _cells(taken: Taken, index: int) -> list[str]:
    rows = (taken.sheet.rows[r] for r in taken.body.rows)
    return [as_text(row[index]).strip() if index < len(row) and row[index] is not None else "" for row in rows]


def counts(heading: str, cells: Iterable[str]) -> bool:
    """True for a heading above whole numbers that is no least or greatest stock."""
    if "reorder" in bare(heading) or {"minimum", "maximum"} & concepts.said_by(heading):
        return False
    cells = [c for c in cells if c]
    return 2 * sum(bool(_COUNT.fullmatch(c)) for c in cells) > len(cells)


def devices(
    taken: Taken, good: Sequence[int], own: list[str], columns: list[list[Any]], residents: Residents
) -> Iterator[tuple[int, Key, dict[str, Any]]]:
    """(row, key, values) of each device that a stores list counts; those known by serial number are not made again."""
    models = taken.reads["model"].values
    for index in good:
        model = models[index]
        values = {n: v for n, c in zip(own, columns, strict=True) if (v := c[index]) is not None}
        for _ in range(taken.in_store.get(index, 0)):
            residents.counted[model] += 1
            if residents.counted[model] > residents.serials_stored[model]:
                name = in_store(model, residents.counted[model])
                yield index, (name,), values | {"device": name, "device_status": IN_STORE}
    for model, most in residents.most_stored.items():
        count = residents.counted[model]
        if 0 < count < most and model in models:
            taken.notes.append(
                f"{taken.sheet.file} {taken.sheet.name!r}: {count} of {model} counted, and the register has {most} in"
                " store; say where the others went"
            )
