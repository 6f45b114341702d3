"""The words of plants' lists in seven languages: parts of headings, whole headings, words of closed lists.

One file a language. `CONCEPTS` gives the words of which headings are made; `HEADINGS` whole headings by
column; `WORDS` the words of closed lists by column; `BLANKS` what stands for a missing value; `PASSED`
words that say nothing in a heading; `MONTHS` the months' first letters; `LINES` how a line of totals or of
a group begins. Common practice of plants' lists; where a word is a defined term of the International
Electrotechnical Vocabulary (Bemessungsspannung, tension assignée, tensión asignada …) it is used as such.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache, lru_cache
from importlib import import_module

NAMES = ("en", "de", "fr", "es", "it", "pt", "nl")


@cache
def _modules() -> tuple:
    return tuple(import_module(f"register.columns.languages.{name}") for name in NAMES)


@lru_cache(maxsize=16384)
def bare(text: str) -> str:
    """A text as its words are compared: small letters, no accents, punctuation as spaces.

    >>> bare("Protección térmica (A)"), bare("RATED_HP"), bare("ratedPower"), bare("F.L.A.")
    ('proteccion termica a', 'rated hp', 'rated power', 'fla')
    """
    text = re.sub(r"(?<=[a-z])(?=[A-Z][a-z])", " ", unicodedata.normalize("NFKC", text))
    text = text.casefold().replace("φ", "phi").replace("ϕ", "phi").replace("η", "eta").replace("δ", "delta")
    text = text.replace("#", " no ").replace("№", " no ").replace("n°", " no ").replace("nº", " no ")
    text = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    text = re.sub(r"\b((?:[a-z]\.){2,})", lambda m: m[1].replace(".", ""), text)
    text = re.sub(r"\bo\s*/\s*l\b", "overload", text)
    return " ".join(re.sub(r"[^\w%/]+|_", " ", text).replace("/", " / ").split())


def lines(text: str) -> list[tuple[str, list[str]]]:
    """`name: word, word` of each line, a name on several lines allowed."""
    made = []
    for line in text.strip().splitlines():
        name, _, words = line.strip().partition(": ")
        made.append((name, [w.strip() for w in words.split(",") if w.strip()]))
    return made


@cache
def concepts() -> dict[str, tuple[str, ...]]:
    """Every word or group of words, bare, with the concepts that it may mean, English first."""
    found: dict[str, dict[str, None]] = {}
    for module in _modules():
        for name, words in lines(module.CONCEPTS):
            for word in words:
                found.setdefault(bare(word), {})[name] = None
    return {word: tuple(names) for word, names in found.items() if word}


@cache
def headings() -> dict[str, tuple[str, ...]]:
    """Whole headings by column."""
    found: dict[str, list[str]] = {}
    for module in _modules():
        for name, words in lines(module.HEADINGS):
            found.setdefault(name, []).extend(words)
    return {name: tuple(words) for name, words in found.items()}


@cache
def words() -> dict[str, list[tuple[str, list[str]]]]:
    """(choice, its words) of each column with a closed list: `column / choice: word, word`."""
    found: dict[str, list[tuple[str, list[str]]]] = {}
    for module in _modules():
        for name, said in lines(module.WORDS):
            column, _, choice = (part.strip() for part in name.partition(" / "))
            found.setdefault(column, []).append((choice, said))
    return found


def _all(name: str) -> list[tuple[str, list[str]]]:
    return [pair for module in _modules() for pair in lines(getattr(module, name))]


@cache
def blanks() -> dict[str, str]:
    """What stands for a missing value, in small letters, and why it is missing."""
    return {word.casefold(): reason for reason, said in _all("BLANKS") for word in said}


@cache
def passed() -> frozenset[str]:
    """Bare words that say nothing in a heading."""
    return frozenset(bare(word) for _, said in _all("PASSED") for word in said)


@cache
def months() -> dict[str, int]:
    """The number of a month by the first letters of its name."""
    found: dict[str, int] = {}
    for _, said in _all("MONTHS"):
        found |= {bare(word): number for number, word in enumerate(said, 1)}
    return found


@cache
def line_words(kind: str) -> frozenset[str]:
    """Bare words with which a line of that kind begins: `total`, `group`, `ditto`, `stores`."""
    return frozenset(bare(word) for name, said in _all("LINES") if name == kind for word in said)
