"""Which column of the register a plant's heading means: sure, unsure with candidates, or none."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from functools import cache, lru_cache

from register.columns import COLUMNS, Column, languages
from register.columns.languages.patterns import ASSET, NOTE, STOCK
from register.intake import concepts, heading_lines
from register.intake.heading_units import fillable, fits, is_unit, split, unit_of, without_unit
from register.intake.mapping import IGNORE, Answer, SheetAnswers, folded
from register.intake.sheet import Sheet, letters
from register.intake.units import conversion, plain
from register.intake.vocabulary import squeezed

LOOK_DOWN = 40
REFUSED_HEADING = "refused because"
SURE, UNSURE, UNKNOWN, PASSED_OVER, KEPT = "sure", "unsure", "unknown", "passed over", "kept"
ALIKE = "only alike"
NO_COLUMNS = (NOTE, ASSET, STOCK)

# fmt: off
SPELT = {  # one spelling for words that trade lists write in many ways
    "number": "no", "num": "no", "nr": "no", "#": "no", "№": "no", "amp": "amps", 
    "ampere": "amps", "amperes": "amps", "amperage": "amps", "current": "amps", "volt": "volts",
    "voltage": "volts", "hour": "hr", "hours": "hr", "hrs": "hr", "h": "hr", "mfr": "maker",
    "mfg": "maker", "mfgr": "maker", "manufacturer": "maker", "make": "maker", "manuf": "maker",
    "mtr": "motor", "mot": "motor", "maximum": "max", "minimum": "min", "temperature": "temp",
    "frequency": "freq", "prot": "protection", "catalog": "cat", "catalogue": "cat",
    "equip": "equipment", "eqpt": "equipment", "efficiency": "eff", "effic": "eff",
    "ol": "overload", "xfmr": "transformer", "ckt": "circuit", "brkr": "breaker", "bkr": "breaker",
    "cb": "breaker", "encl": "enclosure", "desc": "description", "descr": "description",
    "loc": "location", "serv": "service", "crit": "criticality", "insul": "insulation",
    "strtr": "starter", "str": "starter", "controller": "starter", "per": "", "percent": "%",
    "pct": "%", "of": "", "the": "", "rating": "rated", "settings": "setting",
    "inst": "instantaneous",
    "lr": "lockedrotor", "sn": "serial", "ph": "phase", "phases": "phase", "ser": "serial",
    "elev": "elevation", "hp": "hp", "horsepower": "hp", "qty": "quantity", "trafo": "transformer",
    "sys": "system", "avail": "available", "nom": "nominal",
}
# fmt: on


@dataclass(frozen=True, slots=True)
class Heading:
    """One heading of a sheet and what it is taken for; `kept` says what a heading without column is."""

    index: int
    text: str
    state: str = UNKNOWN
    column: Column | None = None
    unit: str = ""
    candidates: tuple[str, ...] = ()
    answer: Answer = field(default_factory=Answer)
    exact: bool = False
    why: str = ""
    kept: str = ""

    @property
    def meant(self) -> Column:
        """The column of a heading that is taken; only of such a one."""
        assert self.column is not None, f"{self.text!r} is {self.state}"
        return self.column


@dataclass(frozen=True, slots=True)
class Header:
    """The heading row of a sheet (counted from 0), its headings, and how many lines below belong to them."""

    row: int
    headings: tuple[Heading, ...]
    below: int = 0

    @property
    def verbatim(self) -> bool:
        """True for the register's own form: every heading is a column's name."""
        named = [h for h in self.headings if h.state != PASSED_OVER]
        return bool(named) and all(h.exact for h in named)

    def sure(self) -> list[Heading]:
        """The headings that are taken."""
        return [h for h in self.headings if h.state == SURE]


def key(text: str) -> str:
    """A heading as compared: `F.L.A.` and `fla`, `Tag No.` and `TAG NUMBER` are one.

    >>> key("F.L.A.") == key("fla"), key("Tag No.") == key("TAG NUMBER")
    (True, True)
    """
    text = unicodedata.normalize("NFKC", text).casefold().replace("φ", "phi").replace("ϕ", "phi")
    text = text.replace("η", "eta").replace("#", " no ").replace("%", " % ")
    text = re.sub(r"[.'’]", "", text)
    words = re.sub(r"[^\w%]+|_", " ", text).split()
    return "".join(SPELT.get(word, word) for word in words)


@cache
def claims() -> dict[str, tuple[str, ...]]:
    """Every compared heading → the columns that it may mean."""
    found: dict[str, dict[str, None]] = {}
    for column in fillable():
        for words in (column.name, _stem(column), *column.headings, *languages.headings().get(column.name, ())):
            found.setdefault(key(words), {})[column.name] = None
    found.pop("", None)
    return {words: tuple(names) for words, names in found.items()}


def _stem(column: Column) -> str:
    """A column's name without the unit at its end: `fla_a` is fla."""
    stem, _, last = column.name.rpartition("_")
    return stem if column.unit and stem and conversion(column, last) else column.name


@cache
def _spelt_out() -> dict[str, str]:
    return {squeezed(words): c.name for c in fillable() for words in (_stem(c), c.name, *c.headings)}


def _alike(text: str) -> dict[str, None]:
    """Columns whose headings are nearly this one: to ask about, never to take."""
    if len(text) <= 4:
        return {}
    near = get_close_matches(squeezed(text), list(_spelt_out()), n=3, cutoff=0.84)
    return dict.fromkeys(_spelt_out()[words] for words in near)


def recognise(sheet: Sheet, answers: SheetAnswers) -> Header | None:
    """Find the heading row and what each heading means; None when there is none to be found."""
    row = answers.header_row - 1 if answers.header_row else _header_row(sheet, answers)
    if row is None or row >= len(sheet.rows):
        return None
    texts, below = heading_lines.texts(sheet, row, _is_part)
    texts = {index: _short(text) for index, text in texts.items()}
    groups = heading_lines.groups(sheet, row)
    count = Counter(texts.values())
    drafts = [
        _heading(index, text, count[text] > 1, groups.get(index, ""), answers) for index, text in texts.items() if text
    ]
    votes = _votes(drafts)
    return Header(row, tuple(_one_each([_settled(h, votes, drafts) for h in drafts])), below)


def _short(text: str) -> str:
    """A heading that fits into a mapping, where YAML lets a key have 1024 letters, ten of them for a strange one."""
    if len(text) <= concepts.LONGEST_HEADING and (text.isprintable() or 10 * len(text) < 1000):
        return text
    return f"{text[:98]}…"


def _is_part(text: str) -> bool:
    """True for a text that a second line of headings may consist of: a unit, or words of headings."""
    return is_unit(text.strip("()[]")) or concepts.known(text)


def _header_row(sheet: Sheet, answers: SheetAnswers) -> int | None:
    best, most = None, 0
    for number, row in enumerate(sheet.rows[:LOOK_DOWN]):
        texts = [c for c in row if isinstance(c, str) and c.strip()]
        score = sum(folded(t) in answers.headings or bool(_matches(t)) for t in texts if len(t) <= 60)
        enough = score >= 2 or (score == 1 and len(texts) == 1)
        if enough and score > most and 3 * score >= len(texts):
            best, most = number, score
    return best


@lru_cache(maxsize=8192)
def _matches(text: str) -> tuple[str, ...]:
    """The columns, or `note` and its like, that a heading may mean: as a whole phrase, else by its words."""
    base, _ = split(text)
    forms = [f for f in dict.fromkeys((text, base, without_unit(base))) if f]
    whole = next((found for form in forms if (found := _fitting(text, claims().get(key(form), ())))), ())
    parts = next((found for form in forms if (found := _fitting(text, concepts.meant(form)))), ())
    # The name of a closed list in one language may be a tag in another: its cells decide.
    if parts and whole and all(COLUMNS[n].choices for n in whole) and not set(parts) & {*whole, *NO_COLUMNS}:
        return (*whole, *parts)
    return whole or parts


def _fitting(text: str, names: tuple[str, ...]) -> tuple[str, ...]:
    """Those columns that can have the unit which a heading names."""
    return tuple(n for n in names if n in NO_COLUMNS or fits(text, COLUMNS[n]))


def _heading(index: int, text: str, repeated: bool, group: str, answers: SheetAnswers) -> Heading:
    """One heading; if it stands twice in its row it is named with its letter: `Amps @G`."""
    name = f"{text} @{letters(index)}" if repeated else text
    answer = answers.headings.get(name) or answers.headings.get(text) or Answer()
    if answer.column == IGNORE or key(text) == key(REFUSED_HEADING):
        return Heading(index, name, PASSED_OVER, answer=answer, why="the mapping says so")
    if answer.column in NO_COLUMNS:
        return Heading(index, name, KEPT, answer=answer, kept=answer.column)
    if answer.column:
        column = COLUMNS[answer.column]
        return Heading(index, name, SURE, column, unit_of(text, column, answer), answer=answer)
    return _recognised(Heading(index, name, answer=answer), text, group)


def _recognised(heading: Heading, text: str, group: str) -> Heading:
    answer = heading.answer
    base, _ = split(text)
    if base in COLUMNS and COLUMNS[base].origin not in ("derived", "internal"):
        column = COLUMNS[base]
        unit = unit_of(text, column, answer) or column.unit
        return replace(heading, state=SURE, column=column, unit=unit, candidates=(base,), exact=True)
    names = (_matches(f"{group} {text}") if group else ()) or _matches(text)
    if names and names[0] in NO_COLUMNS:
        return replace(heading, state=KEPT, kept=names[0])
    names = tuple(n for n in names if n not in NO_COLUMNS)
    if names:
        return replace(heading, state=UNSURE, candidates=names)
    names = tuple(n for n in _alike(base) if fits(text, COLUMNS[n]))
    if names:
        return replace(heading, state=UNSURE, candidates=names, why=ALIKE)
    names = tuple(n for n in concepts.meant(base, partly=True) if n not in NO_COLUMNS and fits(text, COLUMNS[n]))
    if names:
        return replace(heading, state=UNSURE, candidates=names, why="some of its words are not known")
    return heading


def _votes(drafts: Sequence[Heading]) -> Counter[str]:
    """How many headings can mean only this table: what kind of list it is."""
    votes: Counter[str] = Counter()
    for heading in drafts:
        if heading.why:
            continue
        names = (heading.column.name,) if heading.column else heading.candidates
        tables = {_table(n, drafts) for n in names}
        if len(tables) == 1:
            votes[tables.pop()] += 1
    return votes


def _table(name: str, drafts: Sequence[Heading]) -> str:
    """The table a column speaks of: beside a tag, a bus is the position's, a model the device's."""
    if name in ("bus", "model") and any("tag" in h.candidates for h in drafts):
        return {"bus": "position", "model": "device"}[name]
    return COLUMNS[name].table


def _kin(table: str) -> set[str]:
    """Tables that speak of one thing: a device, its type, how it is set."""
    of_devices = {"device", "model", "setting"}
    return of_devices if table in of_devices else {table}


def _settled(heading: Heading, votes: Counter[str], drafts: Sequence[Heading]) -> Heading:
    if heading.state != UNSURE or heading.why:
        return heading
    tables = {n: _table(n, drafts) for n in heading.candidates}
    ranked = sorted(heading.candidates, key=lambda n: -votes[tables[n]])
    first = COLUMNS[ranked[0]]
    if len(ranked) > 1:
        others = sum(votes[t] for t in _kin(tables[ranked[1]]))
        lead = votes[tables[ranked[0]]] - votes[tables[ranked[1]]]
        if lead < 2 and (others or not lead):
            return replace(heading, candidates=tuple(ranked), why="could be either")
    unit = unit_of(heading.text, first, heading.answer)
    return replace(heading, state=SURE, column=first, unit=unit)


def _one_each(headings: list[Heading]) -> list[Heading]:
    """Where two headings fit one column: the column's own name wins, else both are asked about."""
    by_column: dict[str, list[Heading]] = {}
    for heading in headings:
        if heading.state == SURE:
            by_column.setdefault(heading.meant.name, []).append(heading)
    doubles = {name: same for name, same in by_column.items() if len(same) > 1}
    out = []
    for heading in headings:
        name = heading.column.name if heading.column else ""
        if heading.state == SURE and name in doubles and not _may_share(doubles[name]):
            winners = [h for h in doubles[name] if h.exact or h.answer.column]
            if (winners and heading is not winners[0]) or not winners:
                others = [h.text for h in doubles[name] if h is not heading]
                heading = replace(
                    heading,
                    state=UNSURE,
                    column=None,
                    candidates=(name,),
                    why=f"{', '.join(others)!r} fits the same column",
                )
        out.append(heading)
    return out


def _may_share(same: list[Heading]) -> bool:
    """Two columns of one quantity in two units (HP and kW) may stand side by side."""
    units = [plain(h.unit) for h in same]
    return all(units) and len(set(units)) == len(units)
