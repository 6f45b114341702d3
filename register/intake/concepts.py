"""A heading taken apart into concepts, in any of the languages, and the columns that they name."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from itertools import islice, product

from register.columns.languages import bare, concepts, passed
from register.columns.languages.patterns import patterns

LONGEST = 5  # words of one concept: "hauteur d axe"
LONGEST_HEADING = 400  # letters; what is longer was typed into the wrong cell
SHORTEST_PART = 3  # letters of a part of a compound
GLUED = {"hrs", "hours", "hr", "pct", "amps", "kw", "num"}  # after a word that says all
_ABBREVIATED = re.compile(r"([^\W\d_]{4,})\.")
ENDINGS = {"nr", "no"}  # short ends of compounds: tagnr, motorno
LINKS = ("s", "es", "n", "en", "e")


@cache
def meant(text: str, *, partly: bool = False) -> tuple[str, ...]:
    """The columns (and `note`, `asset number`, `stock`) that a heading's words name, the closest first.

    With `partly`, words that are not known are passed over: good enough to ask, not to take.

    >>> meant("Motor Nameplate Full Load Amps"), meant("Bemessungsstrom Motor"), meant("Intensité nominale")
    (('fla_a',), ('fla_a',), ('fla_a',))
    >>> meant("Réglage du relais thermique"), meant("Paint colour"), meant("Kühlmittelzulauf")
    (('relay_set_a',), ('note',), ())
    """
    found: dict[str, int] = {}
    for said in islice(_concepts(text, partly), 64):
        for column, needs, beside in patterns():
            if needs <= said and said <= needs | beside:
                found[column] = max(found.get(column, 0), len(needs))
    most = max(found.values(), default=0)
    return tuple(column for column, count in found.items() if count == most)


def known(text: str) -> bool:
    """True when every word of a text is one of which headings are made."""
    return next(iter(_concepts(text)), None) is not None


def _concepts(text: str, partly: bool = False) -> Iterator[frozenset[str]]:
    """Every set of concepts that a heading may consist of; none where a word of it is unknown."""
    if len(text) > LONGEST_HEADING:
        return
    words = bare(_ABBREVIATED.sub(_whole, text)).split()
    parts: list[tuple[str, ...]] = []
    at = 0
    while at < len(words):
        for count in range(min(LONGEST, len(words) - at), 0, -1):
            said = concepts().get(" ".join(words[at : at + count]))
            if said:
                parts.append(said)
                at += count
                break
        else:
            word = words[at]
            if word not in passed():
                inside = _compound(word)
                if inside is None and not partly:
                    return
                parts += inside or []
            at += 1
    for chosen in product(*parts):
        yield frozenset(chosen)


def _whole(found: re.Match[str]) -> str:
    """The word that was cut short with a full stop, where all that begin so mean the same: Kennz., nom., Bemess."""
    short = bare(found[1])
    if not short or short in concepts() or short in passed():
        return found[0]
    longer = [word for word in concepts() if word.startswith(short) and " " not in word]
    return longer[0] if len({concepts()[word] for word in longer}) == 1 else found[0]


@cache
def _compound(word: str) -> list[tuple[str, ...]] | None:
    """The concepts of a word made of known ones: Motornennstrom, aanloopstroom; None where it is not."""
    if len(word) < SHORTEST_PART + 2:
        return None
    for cut in range(len(word) - 2, SHORTEST_PART - 1, -1):
        head, tail = word[:cut], word[cut:]
        said = concepts().get(head) or next(
            (
                concepts()[head[: -len(link)]]
                for link in LINKS
                if head.endswith(link) and head[: -len(link)] in concepts()
            ),
            None,
        )
        if not said:
            continue
        if tail in (concepts() if len(tail) >= SHORTEST_PART else ENDINGS):
            return [said, concepts()[tail]]
        if tail in GLUED:
            return [said]
        rest = _compound(tail)
        if rest is not None:
            return [said, *rest]
    return None


def said_by(text: str) -> frozenset[str]:
    """Every concept that a heading may speak of."""
    return frozenset().union(*islice(_concepts(text), 8))


def names_tag(text: str) -> bool:
    """True for a heading that says tag or position, and not merely equipment or item."""
    said = list(islice(_concepts(text), 8))
    return any("tag" in s for s in said) and not any("item" in s for s in said)


def is_item(text: str) -> bool:
    """True for a heading that may number the lines of a list: item, no., pos."""
    return any(said <= {"item", "number", "tag", "equipment"} for said in islice(_concepts(text), 8))


def of_orders(text: str) -> bool:
    """True for a heading that numbers or dates orders, notifications or failures."""
    return any(said & {"order", "failure", "happened"} for said in islice(_concepts(text), 8))


def of_starters(text: str) -> bool:
    """True for a heading that names a starter or a drive."""
    return any(said & {"starter", "drive", "device"} for said in islice(_concepts(text), 8))
