"""The saved mapping: a plant's answers to what its list leaves in doubt, as YAML.

sheets:
  MCC-1:                        # the sheet's name, a CSV's stem, or "*" for every sheet
    header row: 3
    sections: bus               # what a line like "MCC-1" alone in a row means: bus | area | ignore
    constants: {bus: MCC-1}
    headings:
      Kicks in an hour: starts_per_hour
      Remarks: ignore
      Rating: {column: power_kw, unit: hp, decimal: comma}
      Crit.: {column: criticality, words: {A: critical, B: essential, C: ordinary}}
      Amps: {column: fla_a, believed: yes}
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from register.columns import COLUMNS, nearest
from register.columns.languages.patterns import ASSET, NOTE, STOCK
from register.errors import IntakeError, Problem
from register.intake.units import conversion
from register.resources import MOST_YAML_MB, small_file
from register.text import whole

IGNORE = "ignore"
MOST_GUESSED = 100  # wrong names, of which the nearest right one is looked for
NO_COLUMN = {IGNORE, NOTE, ASSET, STOCK}
SHEET_KEYS = {
    "header row",
    "sections",
    "constants",
    "headings",
    "skip",
    "others",
    "struck out",
    "device overload",
    "tags",
}
SHEET_KEYS |= {"failure modes", "not failures"}
HEADING_KEYS = {"column", "unit", "decimal", "dates", "words", "believed"}
CLOSED = {
    "decimal": {"point", "comma"},
    "dates": {"day first", "month first"},
    "sections": {"bus", "area", IGNORE},
    "skip": {"yes", "true", "no", "false"},
    "others": {NOTE, IGNORE},
    "struck out": {"take", IGNORE},
    "device overload": {"device", "relay"},
    "failure modes": {"as proposed", "leave blank"},
    "believed": {"yes", "true", "no", "false"},
}
YES = {"yes", "true"}
NESTED = "brackets inside brackets without end"


@dataclass(frozen=True, slots=True)
class Answer:
    """What the mapping says about one heading; `column` "" leaves the recognition as it is."""

    column: str = ""
    unit: str = ""
    decimal: str = ""
    dates: str = ""
    words: dict[str, str] = field(default_factory=dict)
    believed: bool = False

    def over(self, other: Answer | None) -> Answer:
        """This answer, and where it is silent what another says of the same column."""
        if other is None or (self.column and other.column and self.column != other.column):
            return self
        return Answer(
            self.column or other.column,
            self.unit or other.unit,
            self.decimal or other.decimal,
            self.dates or other.dates,
            other.words | self.words,
            self.believed or other.believed,
        )


@dataclass(frozen=True, slots=True)
class SheetAnswers:
    """What the mapping says about one sheet; `header_row` counts from 1."""

    headings: dict[str, Answer] = field(default_factory=dict)
    constants: dict[str, object] = field(default_factory=dict)
    header_row: int | None = None
    sections: str = ""
    skip: bool = False
    others: str = ""
    struck_out: str = ""
    device_overload: str = ""
    tags: dict[str, str] = field(default_factory=dict)
    failure_modes: str = ""
    not_failures: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Mapping:
    """Answers by sheet name."""

    sheets: dict[str, SheetAnswers] = field(default_factory=dict)

    def of(self, sheet: str) -> SheetAnswers:
        """The answers for a sheet: its own over those for every sheet."""
        every = self.sheets.get("*", SheetAnswers())
        own = self.sheets.get(sheet)
        if own is None:
            return every
        return SheetAnswers(
            every.headings | {h: a.over(every.headings.get(h)) for h, a in own.headings.items()},
            every.constants | own.constants,
            own.header_row or every.header_row,
            own.sections or every.sections,
            own.skip or every.skip,
            own.others or every.others,
            own.struck_out or every.struck_out,
            own.device_overload or every.device_overload,
            every.tags | own.tags,
            own.failure_modes or every.failure_modes,
            own.not_failures or every.not_failures,
        )


def folded(heading: str) -> str:
    """A heading as a mapping names it: spaces and line breaks made one space."""
    return " ".join(heading.split())


def load(path: Path) -> Mapping:
    """Read a mapping; IntakeError with every problem at once."""
    try:
        text = small_file(path, MOST_YAML_MB).decode("utf-8-sig")
    except OSError as error:
        raise _unsound(f"it cannot be read: {error.strerror}", "check its name", path) from None
    except UnicodeDecodeError:
        raise _unsound("not UTF-8 text", "name the file of answers, a .yml", path) from None
    return understood(text, path)


def understood(text: str, path: Path | str) -> Mapping:
    """A mapping from its text; IntakeError with every problem at once."""
    try:
        _refuse_aliases(text, path)
        root = yaml.compose(text, Loader=yaml.CSafeLoader)
        data = yaml.load(text, Loader=yaml.CBaseLoader)
        problems: list[Problem] = []
        _no_doubles(root, str(path), problems)
    except RecursionError:
        raise _unsound(NESTED, "write it plainly", path) from None
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        place = f"{path}:{mark.line + 1}" if mark else path
        told = getattr(error, "problem", None) or getattr(error, "reason", error)
        if "nesting" in str(told):
            raise _unsound(NESTED, "write it plainly", place) from None
        raise _unsound(f"no sound YAML ({told})", "correct that line", place) from None
    sheets = _sheets(data, str(path), problems)
    if problems:
        raise IntakeError(problems)
    return Mapping(sheets)


def _unsound(cause: str, remedy: str, place: Path | str) -> IntakeError:
    return IntakeError(Problem(f"the mapping: {cause}", remedy, str(place)))


def _refuse_aliases(text: str, path: Path | str) -> None:
    """A few lines of aliases unfold to millions of parts."""
    for event in yaml.parse(text, Loader=yaml.CSafeLoader):
        if isinstance(event, yaml.AliasEvent):
            place = f"{path}:{event.start_mark.line + 1}" if event.start_mark else path
            raise _unsound(f"*{event.anchor} repeats a part that stands elsewhere", "write it out", place)


def _no_doubles(node: Any, place: str, problems: list[Problem]) -> None:
    if isinstance(node, yaml.MappingNode):
        seen = set()
        for key, value in node.value:
            if key.value in seen:
                problems.append(
                    Problem(f"{key.value!r} stands twice", "keep one", f"{place}:{key.start_mark.line + 1}")
                )
            seen.add(key.value)
            _no_doubles(value, place, problems)


def _sheets(data: Any, place: str, problems: list[Problem]) -> dict[str, SheetAnswers]:
    if not isinstance(data, dict) or not isinstance(data.get("sheets"), dict):
        problems.append(Problem("a mapping begins with `sheets:`", "see docs/guide", place))
        return {}
    found = {}
    for name in data["sheets"]:
        where = f"{place}, sheet {name!r}"
        said = _pairs(data["sheets"], name, where, problems)
        _known_keys(said, SHEET_KEYS, where, problems)
        found[name] = SheetAnswers(
            {
                folded(h): _answer(a, f"{where}, {h!r}", problems)
                for h, a in _pairs(said, "headings", where, problems).items()
            },
            _constants(_pairs(said, "constants", where, problems), where, problems),
            _row(said.get("header row"), where, problems),
            _word(said, "sections", where, problems),
            _word(said, "skip", where, problems) in YES,
            others=_word(said, "others", where, problems),
            struck_out=_word(said, "struck out", where, problems),
            device_overload=_word(said, "device overload", where, problems),
            tags=_pairs(said, "tags", where, problems),
            failure_modes=_word(said, "failure modes", where, problems),
            not_failures=tuple(_listed(said, "not failures", where, problems)),
        )
    return found


def _listed(said: dict, key: str, where: str, problems: list[Problem]) -> list[str]:
    """The words in a list under a key; empty, after noting it, where there is no list."""
    found = said.get(key) or []
    if isinstance(found, list) and all(isinstance(word, str) for word in found):
        return found
    problems.append(Problem(f"{key}: a list of words belongs here", "write it as `[inspection, lubrication]`", where))
    return []


def _answer(said: Any, where: str, problems: list[Problem]) -> Answer:
    if isinstance(said, str):
        said = {"column": said}
    if not isinstance(said, dict):
        problems.append(Problem("a column's name belongs here", "or `ignore`", where))
        return Answer()
    _known_keys(said, HEADING_KEYS, where, problems)
    column, unit = _word(said, "column", where, problems), _word(said, "unit", where, problems)
    if column and column not in NO_COLUMN:
        _known_column(column, where, problems)
    if unit and column not in COLUMNS:
        problems.append(Problem(f"unit {unit!r} of no column", "say `column:` too", where))
    elif unit and conversion(COLUMNS[column], unit) is None:
        own = COLUMNS[column].unit or "plain numbers"
        cause = f"{unit!r} is not a unit of {column}"
        problems.append(Problem(cause, f"it is kept in {own}", where))
    words = _pairs(said, "words", where, problems)
    choices = COLUMNS[column].choices if column in COLUMNS else ()
    for word, choice in words.items():
        if choices and choice not in (*choices, "unknown"):
            problems.append(
                Problem(f"{choice!r} is no word of {column}", f"one of {', '.join(choices)}", f"{where}, {word!r}")
            )
    return Answer(
        column,
        unit,
        _word(said, "decimal", where, problems),
        _word(said, "dates", where, problems),
        words,
        _word(said, "believed", where, problems) in YES,
    )


def _pairs(said: dict, key: str, where: str, problems: list[Problem]) -> dict:
    """What stands under a key as `key: value`; empty, after noting it, where it is not."""
    found = said.get(key) or {}
    if isinstance(found, dict):
        return found
    problems.append(Problem(f"{key}: answers belong here", "write them as `key: value`", where))
    return {}


def _word(said: dict, key: str, where: str, problems: list[Problem]) -> str:
    """The word under a key, one of its closed list where it has one; empty where there is none."""
    found = said.get(key) or ""
    among = CLOSED.get(key, ())
    if isinstance(found, str) and (not found or not among or found in among):
        return found
    remedy = f"one of {', '.join(sorted(among))}" if among else "write one word or name"
    problems.append(Problem(f"{key}: {found!r} will not do", remedy, where))
    return ""


def _known_keys(said: dict, known: set[str], where: str, problems: list[Problem]) -> None:
    for key in said:
        if key not in known:
            problems.append(Problem(f"unknown key {key!r}", f"one of {sorted(known)}", where))


def _known_column(name: str, where: str, problems: list[Problem]) -> None:
    if name not in COLUMNS or COLUMNS[name].origin == "derived":
        near = nearest(name) if len(problems) < MOST_GUESSED else None
        hint = f"did you mean {near}?" if near and near != name else "docs/columns.md lists them"
        problems.append(Problem(f"there is no column {name!r} to fill", hint, where))


def _constants(said: dict, where: str, problems: list[Problem]) -> dict[str, object]:
    for name in said:
        _known_column(name, f"{where}, constants", problems)
        _word(said, name, f"{where}, constants", problems)
    return dict(said)


def _row(said: Any, where: str, problems: list[Problem]) -> int | None:
    if said in (None, ""):
        return None
    if whole(str(said)) < 1:
        problems.append(Problem(f"header row {str(said)[:40]!r} is no row", "count from 1", where))
        return None
    return whole(str(said))


def quoted_flow(value: object) -> str:
    """A list or pairs as one line of YAML."""
    return yaml.safe_dump(value, default_flow_style=True, sort_keys=False, width=10**6, allow_unicode=True).strip()


def quoted(value: object) -> str:
    """A scalar as one line of YAML."""
    return yaml.safe_dump(value, allow_unicode=True, width=10**6).removesuffix("\n...\n").strip()


def heading_line(heading: str, column: str, **more: object) -> str:
    """The line of a mapping that answers for a heading."""
    if not more:
        return f"{quoted(folded(heading))}: {column}"
    return f"{quoted(folded(heading))}: {quoted_flow({'column': column, **more})}"
