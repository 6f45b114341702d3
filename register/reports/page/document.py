"""The page put together: the template, its style, its script, its data."""

from __future__ import annotations

import hashlib
from base64 import b64encode
from datetime import date
from itertools import groupby
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from register.audit.outline import GRADES, OUTCOMES
from register.audit.report import Report
from register.columns import COLUMNS, SUBJECTS
from register.maintenance.model import YearOfWork
from register.reports.first import MOST, answer, first_things, left_by_harm, unknown_pct
from register.reports.page import data, history
from register.reports.page.pictures import pictures
from register.reports.readings import next_readings
from register.store.overview import Overview
from register.text import percent, share, shown, visible

HERE = Path(__file__).parent
SCRIPTS = ("rows.js", "sheet.js", "list.js", "question.js", "start.js")
STYLES = ("page.css", "pictures.css", "list.css", "narrow.css", "print.css")
MOST_PLAIN = 3000
HARMS = {
    "people": "Can hurt people",
    "fire": "Can start a fire",
    "machine": "Can ruin a machine",
    "production": "Can stop production",
    "records": "Gaps in the records",
}


def html(report: Report, overview: Overview | None = None, year: YearOfWork | None = None) -> str:
    """The whole report as one page; `overview` has what its pictures show, `year` what a year of the work showed."""
    script = "\n".join((HERE / name).read_text(encoding="utf-8") for name in SCRIPTS)
    return (
        environment()
        .get_template("page.html.jinja")
        .render(
            report=report,
            year=year,
            style=style(*STYLES),
            script=Markup(script),
            script_hash=b64encode(hashlib.sha256(script.encode()).digest()).decode(),
            index=Markup(data.packed(data.index(report, overview))),
            parts=[Markup(data.packed(part)) for part in data.parts(report)],
            grades=GRADES,
            outcomes=OUTCOMES,
            most_plain=MOST_PLAIN,
            **_first_screen(report, overview),
        )
    )


def style(*names: str) -> Markup:
    """Style sheets of this folder, one after the other."""
    return Markup("".join((HERE / name).read_text(encoding="utf-8") for name in names))


def _first_screen(report: Report, overview: Overview | None) -> dict[str, Any]:
    """The answer, what to do first, the pictures."""
    things = first_things(report)
    drawn = pictures(report, overview)
    readings = next_readings(report)
    return {
        "answer": answer(report),
        "first": things,
        "first_by_harm": [(harm, list(own)) for harm, own in groupby(things, lambda t: t.harm)],
        "most_first": MOST,
        "harms": HARMS,
        "left": left_by_harm(report, things),
        "pictures": drawn,
        "of_area": {area.area: area for area in report.areas},
        "overview": overview,
        "trend": history.trend(report, overview) if overview else (),
        **_ages(overview),
        "readings": readings,
        "columns": COLUMNS,
        "has": {
            "first": True,
            "map": bool(drawn.lineups),
            "heat": bool(drawn.heat and drawn.areas),
            "strips": bool(drawn.strips),
            "next": bool(readings.readings),
        },
        "known_share": _share_known(report),
        "passed_share": _share_passed(report),
    }


def _ages(overview: Overview | None) -> dict[str, Any]:
    """The devices by year: the tallest year, whether older ones are gathered, how many are of no known year."""
    years = history.years(overview) if overview else ()
    made = overview.made if overview else {}
    return {
        "years": years,
        "tallest": max(years, key=lambda y: y.count).year if years else None,
        "older": any(year and year < years[0].year for year in made) if years else False,
        "made_unknown": made.get(None, (0, 0))[0],
    }


def _share_known(report: Report) -> float | None:
    unknown = unknown_pct(report)
    return None if unknown is None else 100 - unknown


def _share_passed(report: Report) -> float | None:
    passed = sum(report.grades[grade]["passed"] for grade in GRADES)
    judged = passed + sum(report.grades[grade]["failed"] for grade in GRADES)
    return 100 * passed / judged if judged else None


def environment(folder: Path = HERE) -> Environment:
    """Templates in which every value is escaped and its control characters are seen."""
    made = Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_seen,
    )
    made.filters |= {
        "day": _day,
        "value": shown,
        "words": _words,
        "count": _count,
        "count_of": _count_of,
        "grouped": _grouped,
        "share": share,
        "percent": lambda pct: percent(pct).replace(" ", "\u00a0"),
        "lower_first": lambda text: text[:1].lower() + text[1:],
    }
    return made


def _seen(value: Any) -> Any:
    if isinstance(value, Markup) or not isinstance(value, str):
        return value
    return visible(value)


def _day(iso: str) -> str:
    """25 November 2026, so that nobody reads month and day the wrong way round."""
    on = date.fromisoformat(iso)
    return f"{on.day} {on:%B} {on.year}"


def _words(outcome: str) -> str:
    return {"cant-tell": "can't tell"}.get(outcome, outcome)


def _grouped(number: int) -> str:
    """Digits in threes, with a space that does not break."""
    return f"{number:,}".replace(",", "\u202f")


def _count_of(number: int, what: str) -> str:
    """`12 positions`, `1 device in store`."""
    return f"{_grouped(number)}\u00a0{what if number == 1 else SUBJECTS[what].plural}"


def _count(number: int, noun: str) -> str:
    """`1 finding`, `12 findings`."""
    return f"{_grouped(number)}\u00a0{noun if number == 1 else noun + 's'}"
