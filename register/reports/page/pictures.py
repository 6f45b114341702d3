"""The page's pictures as numbers: the lineup map, the heat map, the strips of margins, the trend, the ages."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import ceil, log2, sqrt
from typing import Any

import numpy as np

from register.audit.outline import GRADES
from register.audit.report import Report
from register.columns import SUBJECTS
from register.store.overview import Overview
from register.text import natural

MOST_SQUARES = 1500  # above this many positions a lineup is one bar
MOST_AREAS = 9
LITTLE_KNOWN = 1 / 3
STRIPS = {
    "line-protection/device-withstands-fault": "Short-circuit rating, against the fault current",
    "overload/set-within-nameplate": "Overload setting, against the nameplate",
    "duty/starts-within-motor": "Starts an hour, against the motor’s limit",
    "settings/limit-enough-to-start": "Current limit, against the lowest that starts",
    "sizing/current-covers-motor": "Starter current, derated, against the motor",
}
BINS, OCTAVES = 60, 2.2


@dataclass(frozen=True, slots=True)
class Square:
    """One position on the map: its worst grade (empty where nothing failed), and how much of it is known."""

    at: str
    grade: str
    critical: bool
    little_known: bool
    says: str
    is_lineup: bool = False

    @property
    def symbol(self) -> str:
        """The name of its mark: `major-u-c`."""
        return (self.grade or "none") + ("-u" if self.little_known else "") + ("-c" if self.critical else "")


@dataclass(frozen=True, slots=True)
class Lineup:
    """One row of the map; of very many positions only `shares` are drawn, in % of its positions by worst grade."""

    name: str
    description: str
    positions: int
    majors: int
    unknown: float | None
    squares: tuple[Square, ...]
    shares: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Cell:
    """One area by one theme: how many majors, in which of three depths of colour, what share is unknown."""

    area: str
    theme: str
    majors: int
    depth: int
    unknown: float


@dataclass(frozen=True, slots=True)
class Strip:
    """One axis of margins: bars of those within, by place in % of the width; those that fail, each by name."""

    title: str
    rule: str
    bars: tuple[tuple[float, int, float], ...]
    fails: tuple[tuple[float, str], ...]
    short: tuple[tuple[str, float], ...]
    otherwise: int
    within: int
    unknown: int


@dataclass(frozen=True, slots=True)
class Pictures:
    """All that is drawn; what there is nothing of is empty."""

    lineups: tuple[Lineup, ...] = ()
    areas: tuple[str, ...] = ()
    heat: tuple[tuple[str, tuple[Cell, ...]], ...] = ()
    strips: tuple[Strip, ...] = ()


class Letters:
    """The verdicts as a table of letters: a row a tag, a column a rule."""

    def __init__(self, report: Report) -> None:
        rows = report.evidence.verdicts
        self.tags = [tag for tag, word in rows.items() if len(word) == len(report.rules)]
        text = "".join(rows[tag] for tag in self.tags).encode("ascii", "replace")
        self.table = np.frombuffer(text, "S1").reshape(len(self.tags), len(report.rules))
        self.row = {tag: number for number, tag in enumerate(self.tags)}
        self.failed = self.table == b"F"
        self.unknown = self.table == b"?"
        self.asked = self.failed | self.unknown | (self.table == b"P")
        grades = np.array([GRADES.index(rule.grade) for rule in report.rules], int)
        self.by_grade = np.stack([self.failed[:, grades == g].sum(axis=1) for g in range(len(GRADES))], axis=1)


def pictures(report: Report, overview: Overview | None) -> Pictures:
    """Return the numbers of every picture that this report can have."""
    if not report.evidence.verdicts or not report.rules:
        return Pictures()
    letters = Letters(report)
    areas, heat = _heat(report, letters)
    return Pictures(
        lineups=tuple(_lineups(report, letters)),
        areas=areas,
        heat=heat,
        strips=tuple(_strips(report, letters, overview)) if overview else (),
    )


def _lineups(report: Report, letters: Letters) -> Iterator[Lineup]:
    of_bus: dict[str, list[str]] = {}
    named = SUBJECTS["bus"].named
    for tag in letters.tags:
        place = report.evidence.places.get(tag, {})
        if place.get("tag", tag) == tag:
            of_bus.setdefault(place.get("bus") or "(lineup unknown)", []).append(tag)
    drawn = sum(map(len, of_bus.values())) <= MOST_SQUARES
    for row in report.lineups:
        tags = sorted(of_bus.get(row.lineup, []), key=natural)
        if not tags:
            continue
        own = named(row.lineup)
        place = report.evidence.places.get(own, {})
        squares = [_square(own, place, letters)] if own in letters.row else []
        yield Lineup(
            name=row.lineup,
            description=place.get("description") or "",
            positions=row.positions,
            majors=row.failed["major"],
            unknown=None if row.judged_pct is None else 100 - row.judged_pct,
            squares=tuple([*squares, *(_square(t, report.evidence.places.get(t, {}), letters) for t in tags)])
            if drawn
            else (),
            shares=() if drawn else tuple(_shares(tags, letters)),
        )


def _square(at: str, place: Mapping[str, Any], letters: Letters) -> Square:
    row = letters.row[at]
    counts = [int(n) for n in letters.by_grade[row]]
    asked, unknown = int(letters.asked[row].sum()), int(letters.unknown[row].sum())
    grade = next((grade for grade, count in zip(GRADES, counts, strict=True) if count), "")
    found = ", ".join(f"{count} {grade}" for grade, count in zip(GRADES, counts, strict=True) if count)
    known = f", {unknown} unknown" if unknown else ""
    critical = place.get("criticality") == "critical"
    says = f"{at}{' (critical)' if critical else ''}: {found or 'nothing found'}{known}"
    little = bool(asked) and unknown >= asked * LITTLE_KNOWN
    return Square(at, grade, critical, little, says, is_lineup=place.get("tag", at) != at)


def _shares(tags: list[str], letters: Letters) -> Iterator[tuple[str, float]]:
    rows = np.array([letters.row[tag] for tag in tags])
    worst = np.where(letters.by_grade[rows] > 0, np.arange(len(GRADES)), len(GRADES)).min(axis=1)
    for number, grade in enumerate((*GRADES, "none")):
        yield grade, 100 * float((worst == number).mean())


def _heat(report: Report, letters: Letters) -> tuple[tuple[str, ...], tuple[tuple[str, tuple[Cell, ...]], ...]]:
    """Areas, and for each theme a cell an area; of very many areas those with most majors."""
    areas = [a.area for a in sorted(report.areas, key=lambda a: -a.failed["major"])][:MOST_AREAS]
    areas = sorted((a.area for a in report.areas if a.area in areas), key=lambda area: area.startswith("("))
    column = {area: number for number, area in enumerate(areas)}
    places = report.evidence.places
    of = np.array([column.get(places.get(tag, {}).get("area") or "(area unknown)", -1) for tag in letters.tags], int)
    themes = list(dict.fromkeys(rule.rule.partition("/")[0] for rule in report.rules))
    theme_of = np.array([themes.index(rule.rule.partition("/")[0]) for rule in report.rules])
    major = np.array([rule.grade == "major" for rule in report.rules])
    counts = np.zeros((3, len(themes), len(areas)), int)
    for area in range(len(areas)):
        rows = of == area
        for place, table in enumerate((letters.failed & major, letters.unknown, letters.asked)):
            counts[place, :, area] = np.bincount(theme_of, table[rows].sum(axis=0), len(themes))
    most = int(counts[0].max(initial=0))
    heat = []
    for number, theme in enumerate(themes):
        cells = []
        for area, name in enumerate(areas):
            majors, unknown, asked = (int(n) for n in counts[:, number, area])
            depth = ceil(3 * majors / most) if most else 0
            cells.append(Cell(name, theme, majors, depth, 100 * unknown / asked if asked else 0.0))
        heat.append((theme, tuple(cells)))
    # An area or a theme of which nothing is major or unknown tells nothing.
    told = [n for n in range(len(areas)) if counts[:2, :, n].any()]
    areas = [areas[n] for n in told]
    heat = [(theme, tuple(cells[n] for n in told)) for theme, cells in heat]
    heat = [(theme, cells) for theme, cells in heat if any(c.majors or c.unknown for c in cells)]
    return tuple(areas), tuple(heat)


def _strips(report: Report, letters: Letters, overview: Overview) -> Iterator[Strip]:
    column = {rule.rule: number for number, rule in enumerate(report.rules)}
    for rule, title in STRIPS.items():
        if rule not in column:
            continue
        ratios = overview.measures.get(rule, {})
        word = letters.table[:, column[rule]]
        bins = np.zeros(BINS, int)
        fails: list[tuple[str, float]] = []
        for tag, letter in zip(letters.tags, word, strict=True):
            ratio = ratios.get(tag)
            if letter == b"P" and ratio:
                bins[min(BINS - 1, int(_across(ratio) / 100 * BINS))] += 1
            elif letter == b"F":
                fails.append((tag, ratio or 0.0))
        if not bins.any() and not fails:
            continue
        short = sorted(((tag, 100 * (1 - ratio)) for tag, ratio in fails if 0 < ratio < 1), key=lambda s: -s[1])
        tall = max(int(bins.max()), 1)
        yield Strip(
            title=title,
            rule=rule,
            bars=tuple(
                (round(100 * (n + 0.5) / BINS, 1), int(count), round(sqrt(count / tall), 3))
                for n, count in enumerate(bins)
                if count
            ),
            fails=tuple((_across(ratio), tag) for tag, ratio in fails[:40] if ratio),
            short=tuple(short[:3]),
            otherwise=len(fails) - len(short),
            within=int((word == b"P").sum()),
            unknown=int((word == b"?").sum()),
        )


def _across(ratio: float) -> float:
    """Where a ratio lies on the common axis, in % of its width: 1 in the middle, a quarter and 4 near the ends.

    >>> _across(1.0), round(_across(2.0), 1), _across(1000.0)
    (50.0, 71.4, 97.0)
    """
    return round(50 + 47 * max(-1.0, min(1.0, log2(ratio) / OCTAVES)), 1)
