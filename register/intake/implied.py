"""What cells say of other columns than their own, and what a list implies, marked with the text it came from."""

from __future__ import annotations

import re
from typing import Any

from register.columns import COLUMNS
from register.intake import concepts
from register.intake.cells import Cell, Read
from register.intake.mapping import SheetAnswers
from register.intake.taken import Taken
from register.text import counted

ELECTRONIC = ("soft starter", "drive")
RELAY_WORDS = ("heater", "relay", "relais", "relè", "relé", "bimet", "thermi", "térmi", "termi", "mss", "salvamotore")


def spread(taken: Taken) -> None:
    """Let what a cell says of other columns go there; what contradicts a cell of its own is refused."""
    for h in taken.header.sure():
        for index, cell in list(taken.own[h.index].special.items()):
            for name, value in cell.also:
                if _put(taken, name, index, value, cell.text, taken.letters[h.meant.name]):
                    taken.fed[h.index].add(name)
                else:
                    there = taken.reads[name].values[index]
                    cause = f"{cell.text!r} says {name} {value!r}, and {taken.address(name, index)} says {there!r}"
                    taken.refuse(h.meant.name, index, cell.text, cause, "correct the one that is wrong")
                    taken.reads[h.meant.name].values[index] = None
                    break


def _put(taken: Taken, name: str, index: int, value: Any, text: str, letter: str) -> bool:
    """Fill a blank of a column, which is made if the sheet has none; False where another value stands."""
    read = taken.reads.get(name)
    if read is None:
        read = taken.reads[name] = Read(COLUMNS[name], [None] * len(taken.body.rows))
        taken.letters[name] = letter
    if read.values[index] is None:
        read.values[index] = value
        read.special[index] = Cell(value, text, "")
        return True
    return read.values[index] == value


def overload_place(taken: Taken) -> None:
    """Where a relay's setting or range is given, the overload is a relay: derived, and marked so."""
    setting = taken.reads.get("relay_set_a")
    if setting is None or taken.header.verbatim:
        return
    place = taken.reads.get("overload_place")
    for index, value in enumerate(setting.values):
        if value is not None and (place is None or _is_open(place, index)):
            _put(
                taken,
                "overload_place",
                index,
                "relay",
                f"implied by the setting, {value:g} A",
                taken.letters["relay_set_a"],
            )
            place = taken.reads["overload_place"]


def _is_open(read: Read, index: int) -> bool:
    """True where a cell has no value, no reason for that and no question; it may have spoken of another column."""
    cell = read.special.get(index)
    return read.values[index] is None and (cell is None or not (cell.blank or cell.question or cell.cause))


FUSE_CLASSES = re.compile(r"\b(gG|gL|aM|gM)\b")


def fuse_by_heading(taken: Taken) -> None:
    """Under a heading that says fuse, no breaker and a class of IEC 60269, a rating is that of such a fuse.

    Without such a class it may be one with delay or without, of which a code permits different sizes.
    """
    heading = next((h for h in taken.header.sure() if h.meant.name == "protection_rating_a" and not h.exact), None)
    rating = taken.reads.get("protection_rating_a")
    said = concepts.said_by(FUSE_CLASSES.sub(" ", heading.text)) if heading else frozenset()
    if heading is None or rating is None or "fuse" not in said or said & {"breaker", "protection"}:
        return
    found = FUSE_CLASSES.search(heading.text)
    if found is None:
        return
    letters = found[1].replace("gL", "gG")  # gL is the older name of gG
    for index, value in enumerate(rating.values):
        read = taken.reads.get("protection_kind")
        if value is None or (read and (read.values[index] is not None or index in read.special)):
            continue
        text = f"implied by the heading {heading.text!r}"
        letter = taken.letters["protection_rating_a"]
        _put(taken, "protection_kind", index, "fuse", text, letter)
        _put(taken, "fuse_class", index, letters, text, letter)


def overload_by_kind(taken: Taken, answers: SheetAnswers) -> None:
    """A setting beside a soft starter or a drive is the device's or a relay's: by what the list says, else asked."""
    setting, kind = taken.reads.get("relay_set_a"), taken.reads.get("device_kind")
    heading = next((h for h in taken.header.sure() if h.meant.name == "relay_set_a"), None)
    if setting is None or kind is None or heading is None or heading.exact or _says_relay(heading.text):
        return
    place = taken.reads.get("overload_place")
    rows = [i for i, v in enumerate(setting.values) if v is not None and kind.values[i] in ELECTRONIC]
    places = {i: place.values[i] if place else None for i in rows}
    open_rows = [i for i in rows if places[i] not in ("relay", "device")]
    said = answers.device_overload
    _to_device(taken, [i for i in rows if places[i] == "device"] + (open_rows if said == "device" else []), setting)
    if open_rows and not said:
        where = taken.address("relay_set_a", open_rows[0])
        question = (
            f"{heading.text!r}: settings beside soft starters and drives ({counted(len(open_rows), 'row')}):"
            " set in the device, or at a relay of its own?"
        )
        line = "device overload: {}"
        taken.ask(
            where,
            heading.text,
            question,
            ("device", "relay"),
            "device overload: device",
            len(open_rows),
            line=line,
            under="sheet",
        )
        for index in open_rows:
            text = f"{setting.values[index]:g}"
            setting.values[index], setting.special[index] = None, Cell(text=text, question="device overload")


def _says_relay(text: str) -> bool:
    return any(word in text.casefold() for word in RELAY_WORDS)


def _to_device(taken: Taken, rows: list[int], setting: Read) -> None:
    for index in rows:
        value, text = setting.values[index], setting.special.get(index, Cell()).text
        if _put(taken, "device_overload_set_a", index, value, text or f"{value:g}", taken.letters["relay_set_a"]):
            setting.values[index] = None
            setting.special.pop(index, None)
            _put(taken, "overload_place", index, "device", text or f"{value:g}", taken.letters["relay_set_a"])
    if rows:
        for names in taken.fed.values():
            if "relay_set_a" in names:
                names |= {"device_overload_set_a", "overload_place"}
