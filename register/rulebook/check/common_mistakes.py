"""What people write who know their plant and no SQL, and what to tell them.

Nothing here refuses an expression. One that is refused already is looked through for a slip whose
spot and remedy can be told better than by whoever stumbled over it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from sqlglot import exp

from register import columns
from register.columns import Subject
from register.rulebook.check.kinds import Fault

# fmt: off
_SIGNS = {"≥": ">=", "=>": ">=", "≤": "<=", "=<": "<=", "≠": "<>", "=!": "<>", "×": "*", "·": "*",
          "÷": "/", "−": "-", "–": "-", "&&": "AND", "&": "AND", "||": "OR"}
# fmt: on
_KEYWORDS = {"and", "or", "not", "between", "in", "is", "null", "case", "when", "then", "else", "end", "like"}
_NUMBER = r"(?<![\w.:'-])(\d+(?:\.\d+)?)"
_CURLY = "‘’‚‛“”„`´«»"
DAYS_APART = "julianday(:today) - julianday(last_powered_on) <= 730"
_NOT_AMONG = "{0} is not among what a rule may use"

# A slip, what is wrong with it, what to write; {0} is all of it, {1} and on its parts; {beside}
# is the column it is compared with, {its_unit} that column's unit in words, {listed} its words.
_SLIPS = [
    (re.compile(pattern, re.IGNORECASE | re.DOTALL), cause, remedy)
    for pattern, cause, remedy in (
        (
            rf"[{_CURLY}]([^{_CURLY}\n]*)[{_CURLY}]?",
            "quotes as a word processor sets them",
            "type the plain one: '{1}'",
        ),
        (r"(?<!\w)(\d{4}-\d\d-\d\d)(?!\w)", "a day without quotes", "write '{1}'"),
        (r"(?<![\w.])\d\d?[./]\d\d?[./]\d{4}(?!\w)", "this is not a day", "write it as '2026-03-01', in single quotes"),
        (r"(?<![\w.,])(\d+),(\d+)(?![\w,])", "a number has no comma", "write a decimal point: {1}.{2}"),
        (r"(?<![\w.])\d{1,3}(?: \d{3})+(?!\w)", "a number has no blank in it", "write its digits together"),
        (
            r"(?<!\w)(:?\w+)\s*([+-])\s*(\d+)\s*(days?|months?|years?)(?!\w)",
            "a day is not shifted so",
            "write date({1}, '{2}{3} {4}')",
        ),
        (r"(:today)\s*([+-])\s*(\d+)(?!\s*[\w.])", "a day is not shifted so", "write date({1}, '{2}{3} days')"),
        (
            _NUMBER + r"\s*%",
            "a percent sign behind a number",
            "write {share} for the share, or {1} beside a column that is in %",
        ),
        (
            _NUMBER + r"\s*(?!(?:{keywords})\b)(°?[a-zµ²]+)(?![\w(])",
            "a unit behind a number",
            "a number stands without its unit{its_unit}",
        ),
        (r"(?<=[\d']) +(?=[a-z]\w* *[<>=])", "two comparisons stand side by side", "write AND between them, or OR"),
        (
            r"\b(?:if|when)\b.*\bthen\b",
            "a rule has no if and then",
            "write what follows if into applies, and what must hold into requires",
        ),
        (
            r"\bis\s+(?:not\s+)?(?:un)?(?:known|blank|empty|missing)\b",
            "what is unknown is not asked for",
            "leave it out: where a column is unknown, the rule says can't tell by itself",
        ),
        (r"\b(?:not\s+)?(?:like|contains?|includes?|matches|starts?\s+with)\b", _NOT_AMONG, "write {listed}"),
        (r"\b(?:equals|equal\s+to|is(?=\s*['\d]))\b", "{0!r} compares nothing", "write ="),
        (r"\bis\s+not\b(?=\s*['\d])|(?<=\w )\bnot(?= *')", "{0!r} compares nothing", "write <>"),
        (r"\b(?:is\s+)?(?:greater|more|larger)\s+than\b", "{0!r} compares nothing", "write >"),
        (r"\b(?:is\s+)?(?:less|smaller|lower)\s+than\b", "{0!r} compares nothing", "write <"),
        (r"\bat\s+least\b", "{0!r} compares nothing", "write >="),
        (r"\bat\s+most\b", "{0!r} compares nothing", "write <="),
        (
            r"\b\w*diff\w*\s*\(|\b(?:days|age|days_between)\s*\(",
            "there is no such function",
            f"the days between two days: {DAYS_APART}",
        ),
        (r"\b(?:today|now|getdate|current_date)\s*\(\s*\)", "the clock is not asked", "the day of the audit is :today"),
        (r"[{{](\w+)[}}]", "curly brackets belong into finding", "write {1}"),
        (
            r"(?<![\w:'])(:?\w+)\s*(<=?|>=?)\s*(:?\w+)\s*(<=?|>=?)\s*(:?\w+)",
            "two comparisons in a row",
            "write them apart: {1} {2} {3} AND {3} {4} {5}",
        ),
        (
            r"(?:(?<=[\w')])(?<!\band)(?<!\bor)(?<!\bnot)) *\n\s*(?!(?:{keywords})\b)(?=[\w:'(])",
            "two lines stand side by side",
            "end the first with AND, or with OR",
        ),
        ("|".join(map(re.escape, _SIGNS)), _NOT_AMONG, "write {sign}"),
    )
    for pattern in (pattern.replace("{keywords}", "|".join(_KEYWORDS)).replace("{{", "{").replace("}}", "}"),)
]
_PHRASE = re.compile(r"(?<![\w:'])[^\W\d][\w-]*(?:[ \t]+[^\W\d][\w-]*)*(?![\w(']| *\()")
_BESIDE = re.compile(r"(\w+)\s*(?:[<>=!]+|(?:not\s+)?(?:in\s*\([^()]*|like|contains|equals|is))?\s*$", re.IGNORECASE)


def seen(text: str, about: Subject, limits: Mapping[str, str]) -> list[Fault]:
    """The common mistakes in an expression that is refused, from left to right."""
    bare = re.sub(r"'[^']*'|\"[^\"]*\"", _masked, text)
    found: list[Fault] = []
    for fault in (*_slips(bare, text, about), *_phrases(bare, about, limits)):
        if not any(overlap(fault, other) for other in found):
            found.append(fault)
    return sorted(found, key=lambda fault: fault.start)


def _masked(found: re.Match) -> str:
    """A text in quotes, so that none of its words is taken for one of the expression."""
    return f"'{'_' * (len(found[0]) - 2)}'"


def overlap(one: Fault, other: Fault) -> bool:
    """Whether two faults lie one over the other."""
    return one.start < other.start + other.width and other.start < one.start + one.width


def unknown(name: str, about: Subject) -> tuple[str, str]:
    """Cause and remedy of a name that is no column of the subject."""
    others = [s for s in columns.SUBJECTS.values() if name in s.columns]
    if others:
        told = " or ".join(s.name for s in others)
        return (
            f"{name!r} is known of a {told}, and this rule is about a {about.name}",
            f"say subject: {others[0].name}, or take a column of a {about.name}",
        )
    near = _nearest(name, about)
    known_as = f"did you mean {about.columns[near].described()}?" if near else ""
    return f"unknown column {name!r}", known_as or "docs/columns.md lists them"


def _nearest(name: str, about: Subject) -> str | None:
    """The column that is meant: by its name, by what a plant's list calls it, by likeness."""
    plain = re.sub(r"[\s-]+", "_", name.strip().lower())
    if plain in about.columns:
        return plain
    if plain == about.name:
        return about.key
    begun = [known for known in about.columns if known.startswith(f"{plain}_")]
    if begun:
        return begun[0]
    spoken = plain.replace("_", " ")
    for column in about.columns.values():
        if spoken in (heading.lower() for heading in column.headings):
            return column.name
    return columns.nearest(plain, about.columns)


def having_word(word: str, about: Subject) -> str | None:
    """The first column of whose closed list it is a word."""
    return next((c.name for c in about.columns.values() if word in c.choices), None)


def truth_of(node: exp.Expression, about: Subject) -> str:
    """What to write where a truth is wanted and this is written."""
    column = about.columns.get(node.name) if isinstance(node, exp.Column) else None
    if column and column.choices:
        return f"write {column.name} = '{column.choices[0]}'"
    at = having_word(node.name, about) if node.is_string else None
    if at:
        return f"name the column again: {at} = '{node.name}'; or list: {at} IN ('…', '{node.name}')"
    return "make it a comparison: = 'yes', > 0"


def listed(column: columns.Column | None) -> str:
    """A comparison with some words of a column, or with a part of its text, to copy."""
    if column and not column.choices:
        return f"instr({column.name}, 'a part of it') > 0"
    name, words = (column.name, column.choices[:2]) if column else ("load_kind", ("one", "two"))
    return f"the words that are meant: {name} IN ({', '.join(map(repr, words))})"


def _slips(bare: str, text: str, about: Subject) -> Iterator[Fault]:
    for pattern, cause, remedy in _SLIPS:
        for hit in pattern.finditer(bare):
            if "," in hit[0] and bare.count("(", 0, hit.start()) > bare.count(")", 0, hit.start()):
                continue
            if "then" in hit[0].lower() and re.search(r"\bcase\b", bare, re.IGNORECASE):
                continue
            parts = [text[slice(*hit.span(n))] if hit[n] else "" for n in range(pattern.groups + 1)]
            context = _context(parts, _beside(bare[: hit.start()], about))
            start = hit.end() if hit[0].isspace() else hit.start()
            width = 1 if hit[0].isspace() else len(hit[0].split("\n")[0])
            yield Fault(cause.format(*parts), remedy.format(*parts, **context), start, width)


def _context(parts: list[str], beside: columns.Column | None) -> dict[str, str]:
    number = parts[1] if len(parts) > 1 else ""
    unit = beside.unit if beside else ""
    return {
        "sign": _SIGNS.get(parts[0], ""),
        "share": f"{float(number) / 100:g}" if re.fullmatch(r"[\d.]+", number) else "",
        "its_unit": f": {beside.name} is in {unit} already" if unit else "",
        "listed": listed(beside),
    }


def _beside(before: str, about: Subject) -> columns.Column | None:
    """The column that stands in front of a comparison, or of a list."""
    found = _BESIDE.search(before)
    return about.columns.get(found[1].lower()) if found else None


def _phrases(bare: str, about: Subject, limits: Mapping[str, str]) -> Iterator[Fault]:
    """Words that stand without quotes, and names that are written almost rightly."""
    for hit in _PHRASE.finditer(bare):
        at = hit.start()
        split = re.split(r"(\b(?:{})\b)".format("|".join(_KEYWORDS)), hit[0], flags=re.IGNORECASE)
        for index, piece in enumerate(split):
            phrase = piece.strip()
            if index % 2 == 0 and phrase:
                start = at + piece.find(phrase)
                told = _meant(phrase, _beside(bare[:start], about), about, limits)
                if told:
                    yield Fault(*told, start, len(phrase))
            at += len(piece)


def _meant(
    phrase: str, beside: columns.Column | None, about: Subject, limits: Mapping[str, str]
) -> tuple[str, str] | None:
    """Cause and remedy of bare words; None where they may stand so, or nothing better is known."""
    word = phrase.lower()
    if phrase in about.columns:
        return None
    if phrase in limits or word == "today":
        return f"{phrase!r} stands without its colon", f"write :{word}"
    if word in ("true", "false"):
        right = {"true": "yes", "false": "no"}[word]
        return f"{phrase!r} is no word of a column", f"it is of yes and no: write '{right}'"
    at = beside.name if beside and word in beside.choices else having_word(word, about)
    if at:
        said = f"'{word}'" if beside else f"{at} = '{word}', or list them: {at} IN ('…', '{word}')"
        return f"{phrase!r} stands without quotes", f"{word} is a word of {at}: write {said}"
    joined = re.sub(r"[ \t-]+", "_", word)
    if joined in about.columns:
        return f"unknown column {phrase!r}", f"did you mean {about.columns[joined].described()}?"
    if " " in phrase and beside and beside.kind == "text":
        return f"{phrase!r} stands without quotes", f"write '{phrase}'"
    return None
