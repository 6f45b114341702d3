"""The page put together: the template, its style, its script, its data."""

from __future__ import annotations

import hashlib
from base64 import b64encode
from datetime import date
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from register.audit.report import GRADES, OUTCOMES, Report
from register.columns import SUBJECTS
from register.reports.page import data
from register.text import share, shown, visible

HERE = Path(__file__).parent
SCRIPTS = ("rows.js", "sheet.js", "list.js")


def html(report: Report) -> str:
    """The whole report as one page."""
    script = "\n".join((HERE / name).read_text(encoding="utf-8") for name in SCRIPTS)
    return (
        environment()
        .get_template("page.html.jinja")
        .render(
            report=report,
            style=Markup((HERE / "page.css").read_text(encoding="utf-8")),
            script=Markup(script),
            script_hash=b64encode(hashlib.sha256(script.encode()).digest()).decode(),
            index=Markup(data.packed(data.index(report))),
            parts=[Markup(data.packed(part)) for part in data.parts(report)],
            grades=GRADES,
            outcomes=OUTCOMES,
        )
    )


def environment() -> Environment:
    """Templates in which every value is escaped and its control characters are seen."""
    made = Environment(
        loader=FileSystemLoader(HERE),
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
