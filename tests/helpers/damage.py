"""Files damaged at random: by bytes, by text, and within the parts of a zip file."""

from __future__ import annotations

import io
import random
import re
import zipfile

STRANGE = [
    b"\0", b"\"", b"'", b"\r", b"\n\n", b";", b"\t", b"\xff\xfe", b"\xef\xbb\xbf", "\u202e".encode(), b"1e999", b"-1e308",
    b"99999999999999999999", b"NaN", b"=1/0", b"<", b"]]>", b"&#0;", b"&amp;amp;", b"[/]", b"\x1b[2J", b"A" * 70_000,
    b"4294967295", b"1048577", b"XFD1048576", b"AAAA1", b"-1", b"0",
]  # fmt: skip


def damaged(data: bytes, chance: random.Random) -> bytes:
    """The file after one to four strokes; of a zip file, often in one of its parts, which is packed again."""
    if data.startswith(b"PK") and chance.random() < 0.7:
        return _within_parts(data, chance)
    for _ in range(chance.randint(1, 4)):
        data = _stroke(data, chance)
    return data


def _within_parts(data: bytes, chance: random.Random) -> bytes:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    for _ in range(chance.randint(1, 3)):
        name = chance.choice(list(parts))
        parts[name] = chance.choice([_stroke, _attribute, _attribute, _tag])(parts[name], chance)
    if chance.random() < 0.1:
        parts.pop(chance.choice(list(parts)))
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, part in parts.items():
            archive.writestr(name, part)
    return made.getvalue()


def _stroke(data: bytes, chance: random.Random) -> bytes:
    if not data:
        return chance.choice(STRANGE)
    at = chance.randrange(len(data))
    to = min(len(data), at + chance.choice([1, 1, 2, 8, 64, 512]))
    return chance.choice([
        lambda: data[:at] + chance.choice(STRANGE) + data[to:],
        lambda: data[:at] + chance.choice(STRANGE) + data[at:],
        lambda: data[:at] + chance.randbytes(to - at) + data[to:],
        lambda: data[:at] + data[to:],
        lambda: data[:at] + data[at:to] * chance.randint(2, 50) + data[to:],
        lambda: data[:at] + bytes(to - at) + data[to:],
        lambda: data[:at] if chance.random() < 0.3 else data[:at] + data[to:] + data[at:to],
    ])()  # fmt: skip


def _attribute(data: bytes, chance: random.Random) -> bytes:
    """One number or quoted value of a part replaced by a strange one."""
    places = list(re.finditer(rb'"[^"<>]*"|>[^<>]+<', data))
    if not places:
        return _stroke(data, chance)
    place = chance.choice(places)
    return data[: place.start() + 1] + chance.choice(STRANGE) + data[place.end() - 1 :]


def _tag(data: bytes, chance: random.Random) -> bytes:
    """One tag of a part left out, doubled, or put elsewhere."""
    places = list(re.finditer(rb"<[^<>]+>", data))
    if not places:
        return _stroke(data, chance)
    place, other = chance.choice(places), chance.choice(places)
    return data[: place.start()] + chance.choice([b"", place[0] * 2, other[0]]) + data[place.end() :]
