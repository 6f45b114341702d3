"""Cells that say several things at once: `SS w/ int bypass`, `250A MCP`, `460/3/60`, `CL20`, `none`, `in drive`.

Every part of such a cell has to be understood; if one is not, none is, and the cell is asked about.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

from register.columns import COLUMNS
from register.intake import vocabulary

_WITH = re.compile(r"\s*(?:\bw/|\bwith\b|\bmit\b|\bavec\b|\bcon\b|\bcom\b|\bmet\b|\+|,|;|\(|\)|&)\s*", re.IGNORECASE)
_SIZE = re.compile(r"\b(?:nema\s*)?(?:size|sz|s)\.?\s*(00|\d)\b", re.IGNORECASE)
_REVERSING = re.compile(
    r"\bfvr\b|(?<!non)(?<!non[- ])(?<!not )\brev(?:ersing|\.)?(?!\w)|\bwende(?:sch\w+|betrieb|starter)?\b|\b2 sens\b"
    r"|\binvers(?:eur|ion|ión|ione|ão)\b|\binversor de (?:marcha|giro|rotação)\b"
    r"|\bteleinvert\w*|\breversora\b|\bomkeer\w*",
    re.IGNORECASE,
)
_NUMBER = r"\d+(?:[.,]\d+)?"
_AMPS = re.compile(rf"\b({_NUMBER})\s*A(?:mps?|T)?\b")
_FRAME = re.compile(rf"\b{_NUMBER}\s*AF\b", re.IGNORECASE)
_POLES = re.compile(r"\b(?:[34]\s*[pP](?:oles?|h)?|3\s*[xX×](?=\s*\d)|TP[&N]?N?)(?![A-Za-z])")
_FUSE_BODY = re.compile(
    r"\b(?:NH\s*-?\s*(?:0{1,3}|[1-4])?|D0[123]|D\s?I{1,3}V?|T0{1,2}|10x38|14x51|22x58)\b", re.IGNORECASE
)
_CLASS = re.compile(r"(?:trip\s*)?(?:class|classe|clase|klasse|cl|kl)\.?\s*(10A|\d{1,2})(?:\s|$|\))", re.IGNORECASE)
# Classes of UL 248 of which some fuses are delayed and some are not: the class alone does not say which.
_EITHER = {"CC", "G", "J", "L", "RK1", "RK5", "K1", "K5", "K9"}
_CURVES = {"C", "G", "T", "L", "H"}
_CLASS_WORD = r"(?i:(?:class|classe|clase|klasse|cl|kl)\.?\s+)"
_GLUED_CLASS = re.compile(r"(?<![\w-])(RK1|RK5|CC|J|gG|aM)\s*-?\s*(?=\d)")
_RANGE = re.compile(rf"({_NUMBER})\s*(?:-|–|\.\.+|to|bis|à|a)\s*({_NUMBER})\s*A?", re.IGNORECASE)


class Split(NamedTuple):
    """The part of a cell that belongs to its own column, and what belongs to others, by column."""

    own: str
    also: dict[str, str]


def says_more(name: str, text: str) -> bool:
    """True for a known word that says something of another column as well: FVR is across the line, and reverses."""
    return name == "device_kind" and bool(_REVERSING.search(text))


def may_hold_words(name: str) -> bool:
    """True for a column of numbers beside which lists write words: `50A TMCB` as line protection."""
    return name == "protection_rating_a"


def split(name: str, text: str) -> Split | None:
    """A cell's parts, as texts not read yet; None where it is no composite that is known."""
    how = _BY_COLUMN.get(name)
    made = how(text) if how else None
    return made if made and (made.own or made.also) else None


def _starter(text: str) -> Split | None:
    also: dict[str, str] = {}
    rest = text
    if found := _SIZE.search(rest):
        also["nema_size"] = found[1]
        rest = rest[: found.start()] + rest[found.end() :]
    if _REVERSING.search(rest):
        also["reversing"] = "yes"
        rest = _REVERSING.sub(" ", rest)
        rest = rest if any(c.isalnum() for c in rest) else "DOL"
    parts = [p.strip(" -–/") for p in _WITH.split(rest)]
    own, *others = [p for p in parts if p] or [""]
    if own and _word("device_kind", own) is None:
        return None
    for part in others:
        path = _word("power_path", part) or _word("power_path", re.sub(r"^int\.?\s", "internal ", part))
        if path is None or "power_path" in also:
            return None
        also["power_path"] = path
    return Split(own, also) if also and own else None


def _word(name: str, text: str) -> str | None:
    return vocabulary.chosen(COLUMNS[name], text, {})


def _protection(text: str, own: str) -> Split | None:
    """Kind, rating and fuse class of the line protection; all of the text has to be one of them."""
    rest = re.sub(r"\bgL(?=\b|\d)", "gG", re.sub(r"\bRK-(?=[15]\b)", "RK", text))  # gL is the older name of gG
    rest = _POLES.sub(" ", _FRAME.sub(" ", _GLUED_CLASS.sub(r"\1 ", rest)))
    found: dict[str, str] = {}
    if amps := _AMPS.search(rest) or re.search(rf"(?<![\w.,/]){_NUMBER}(?![\w.,/]*\d)(?!\s*[A-Za-z]*[kK]?V)", rest):
        found["protection_rating_a"] = amps[1] if amps.re is _AMPS else amps[0]
        rest = rest[: amps.start()] + " " + rest[amps.end() :]
    body = _FUSE_BODY.search(rest)
    rest = _FUSE_BODY.sub(" ", rest)
    for letters in COLUMNS["fuse_class"].choices:
        if hit := re.search(rf"(?<![\w-]){_CLASS_WORD}?{letters}(?![\w-])", rest):
            found["fuse_class"] = letters
            rest = rest[: hit.start()] + " " + rest[hit.end() :]
            break
    words = rest.strip(" ,;/()-").strip()
    kind = _word("protection_kind", words) if words else None
    if words and kind is None:
        return None
    letters = found.get("fuse_class", "")
    if letters in _EITHER and re.fullmatch("fuses?", words, re.IGNORECASE):
        kind = None
    if (letters and "breaker" in (kind or "")) or (
        letters in _CURVES and not (kind or body or re.search(rf"\b{_CLASS_WORD}", text))
    ):
        return None  # a C behind 63 A is a curve of a breaker as well
    if kind is None and (found.get("fuse_class") or body):
        kind = _fuse_kind(found.get("fuse_class", "")) or None
    if kind:
        found["protection_kind"] = kind
    if len(found) < 2 and not (kind and own != "protection_kind") and own not in found:
        return None
    return Split(found.pop(own, ""), found)


def _fuse_kind(letters: str) -> str:
    if letters in ("aR", "semiconductor"):
        return "semiconductor fuse"
    return "" if letters in _EITHER else "fuse"


def _overload(text: str) -> Split | None:
    also: dict[str, str] = {}
    rest = text
    if found := _CLASS.search(rest):
        also["relay_trip_class"] = found[1].upper()
        rest = (rest[: found.start()] + " " + rest[found.end() :]).strip(" ,;/()")
    if not rest:
        return Split("", also)
    place = _word("overload_place", rest)
    if place:
        return Split("", also | {"overload_place": place})
    if found := _RANGE.fullmatch(rest):
        low, high = (float(v.replace(",", ".")) for v in found.groups())
        return Split("", also | {"relay_min_a": found[1], "relay_max_a": found[2]}) if low < high else None
    return Split(rest, also) if also and re.fullmatch(rf"{_NUMBER}\s*A?", rest) else None


def _range(text: str) -> Split | None:
    made = _overload(text)
    if made is None or "relay_max_a" not in made.also:
        return None
    return Split(made.also["relay_min_a"], {"relay_max_a": made.also["relay_max_a"]})


def _overload_place(text: str) -> Split | None:
    made = _overload(text)
    if made is None:
        return Split("", {"relay_set_a": text}) if re.fullmatch(rf"{_NUMBER}\s*A?", text) else None
    also = dict(made.also)
    own = also.pop("overload_place", "")
    if made.own:
        also["relay_set_a"] = made.own
    return Split(own, also)


def _trip_class(text: str) -> Split | None:
    found = re.fullmatch(r"(?:trip\s*)?[A-Za-zé]+\.?\s*-?\s*(10A|\d{1,2})", text)
    known = found and re.match(r"(trip\s*)?(class|classe|clase|klasse|cl|kl|klas|ol)\b|cl|kl", text, re.IGNORECASE)
    return Split(found[1], {"": ""}) if found and known else None


def _voltage(text: str) -> Split | None:
    """Volts with phases and hertz beside them, in whichever order; 460/3/60."""
    bare = re.sub(r"[ΔδYy△]|\bD(?=\d)|(?<=\d)\s*D\b", " ", text)
    bare = re.sub(r"\b3\s*(?:[x×X~]|ph(?:ase)?\b|AC\b)", " 3ph ", bare)
    also: dict[str, str] = {}
    if hertz := re.search(r"\b(50|60)\s*(?:Hz|HZ|hz|~)", bare):
        also["motor_frequency_hz"] = hertz[1]
        bare = bare[: hertz.start()] + " " + bare[hertz.end() :]
    if " 3ph " in bare:
        also["phases"] = "3"
        bare = bare.replace("3ph", " ")
    numbers = re.findall(r"\d+(?:[.,]\d+)?", bare)
    left = re.sub(r"\d+(?:[.,]\d+)?|[\s/,;|()-]|VAC|kV|V", "", bare)
    if left or not numbers or "kV" in bare:
        return None
    volts = [n for n in numbers if float(n.replace(",", ".")) >= 100]
    for other in (n for n in numbers if n not in volts):
        name = {"3": "phases", "1": "phases", "50": "motor_frequency_hz", "60": "motor_frequency_hz"}.get(other)
        if name is None or also.get(name, other) != other:
            return None
        also[name] = other
    return Split("/".join(volts), also or {"": ""}) if volts else None


def _power(text: str) -> Split | None:
    """One power in two units: 75 hp / 55 kW, 55 kW (75 PS); taken in kW where both agree."""
    parts = re.findall(rf"({_NUMBER})\s*(hp|HP|PS|CV|cv|ch|CH|pk|kW|KW|kw)\b", text)
    left = re.sub(rf"{_NUMBER}\s*(?:hp|HP|PS|CV|cv|ch|CH|pk|kW|KW|kw)\b|[\s/()=,;-]", "", text)
    if len(parts) != 2 or left:
        return None
    sizes = {unit.lower(): float(number.replace(",", ".")) for number, unit in parts}
    kw, other = sizes.pop("kw", 0.0), next(iter(sizes.values()), 0.0)
    if not kw or not other or not 0.68 <= kw / other <= 0.80:  # makers round: 5 hp is 3.7 or 4 kW
        return None
    return Split(next(f"{n} kW" for n, u in parts if u.lower() == "kw"), {"": ""})


def _cable(text: str) -> Split | None:
    found = re.fullmatch(rf"(.*\d.*?)\s*[,;/(-]\s*({_NUMBER}\s*(?:m|ft))\)?", text)
    return Split(found[1].strip(), {"cable_length_m": found[2]}) if found else None


def _insulation(text: str) -> Split | None:
    found = re.fullmatch(
        r"(?:class|cl|kl|klasse|classe|clase)\.?\s*([AEBFH])|([AEBFH])\s*/\s*[AEBFH]", text, re.IGNORECASE
    )
    return Split((found[1] or found[2]).upper(), {"": ""}) if found else None


def _speed(text: str) -> Split | None:
    found = re.fullmatch(r"(\d{3,4})\s*(?:rpm)?\s*[/(,]\s*(\d{1,2})\s*-?\s*(?:p|P|pole|poles|pol)\.?\)?", text)
    return Split(found[1], {"poles": found[2]}) if found else None


_BY_COLUMN: dict[str, Callable[[str], Split | None]] = {
    "device_kind": _starter,
    "protection_rating_a": lambda text: _protection(text, "protection_rating_a"),
    "protection_kind": lambda text: _protection(text, "protection_kind"),
    "fuse_class": lambda text: _protection(text, "fuse_class"),
    "relay_set_a": _overload,
    "relay_min_a": _range,
    "overload_place": _overload_place,
    "relay_trip_class": _trip_class,
    "device_trip_class": _trip_class,
    "motor_voltage_v": _voltage,
    "power_kw": _power,
    "cable_size": _cable,
    "insulation_class": _insulation,
    "speed_rpm": _speed,
}
