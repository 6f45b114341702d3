"""Tables of standards, read from CSV files with a heading that says where they come from.

    # title: Full-load current of three-phase induction motors [A]
    # source: NFPA 70, Table 430.250
    # edition: 2023
    # sure: A
    # seen: text
    # where: public copies of 2008
    power_hp,at_230_v,at_460_v

`seen` is one of the words of `register.columns.source`. An empty cell is a dash in the published table.
Further comment lines are for the reader.
"""

from __future__ import annotations

import csv
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType

import numpy as np

from register.calc.standard_table import Table
from register.columns.source import SEEN
from register.errors import Problem, RuleError
from register.resources import rules_folder

HEADING = ("title", "source", "edition", "sure")
MAY = ("seen", "where")


def load_tables(folder: Path | None = None) -> dict[str, Table]:
    """Every table of a folder (of the rules that come along, if none), by file name without csv.

    Raises RuleError with all that is wrong in all files.
    """
    tables: dict[str, Table] = {}
    problems: list[Problem] = []
    folder = folder or rules_folder() / "tables"
    for path in sorted(folder.glob("*.csv")):
        try:
            tables[path.stem] = _read(path)
        except RuleError as error:
            problems += error.problems
    if not tables and not problems:
        problems = [Problem("no table of a standard here", "restore rules/tables", str(folder))]
    if problems:
        raise RuleError(problems)
    return tables


def _read(path: Path) -> Table:
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise RuleError(Problem(f"cannot be read: {error}", "save it as UTF-8", str(path))) from None
    return _parsed(path, text)


@lru_cache(maxsize=100)
def _parsed(path: Path, text: str) -> Table:
    """The table that a file holds; the same text is read once."""
    lines = text.splitlines()
    comments = [line[1:].split(":", 1) for line in lines if line.startswith("#")]
    said = {parts[0].strip(): parts[1].strip() for parts in comments if len(parts) == 2}
    problems = [
        Problem(f"the heading lacks '# {word}:'", "say where the table comes from", f"{path}:1")
        for word in HEADING
        if not said.get(word)
    ]
    if said.get("seen", "text") not in SEEN:
        problems.append(
            Problem(f"{said['seen']!r} is no way of seeing a table", f"one of {', '.join(SEEN)}", f"{path}:1")
        )
    numbered = [(n, line) for n, line in enumerate(lines, 1) if line and not line.startswith("#")]
    rows = list(csv.reader(line for _, line in numbered))
    if len(rows) < 3:
        problems.append(Problem("fewer than two rows under the headings", "", str(path)))
    for (number, line), row in zip(numbered, rows, strict=True):
        if len(row) != len(rows[0]):
            cause = f"{len(row)} cells under {len(rows[0])} headings"
            problems.append(
                Problem(cause, "an unknown cell stays empty between its commas", f"{path}:{number}", line, line=number)
            )
    if problems:
        raise RuleError(problems)
    columns = zip(rows[0], zip(*rows[1:], strict=True), strict=True)
    held = MappingProxyType({name.strip(): _column(cells) for name, cells in columns})
    return Table(name=path.stem, columns=held, **{word: said.get(word, "") for word in HEADING + MAY})


def _column(cells: tuple[str, ...]) -> np.ndarray:
    """Numbers with NaN where empty; words where any cell is no number."""
    try:
        column = np.array([float(cell) if cell.strip() else np.nan for cell in cells])
    except ValueError:
        column = np.array([cell.strip() or None for cell in cells], object)
    column.setflags(write=False)
    return column
