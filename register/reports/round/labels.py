"""A sheet of labels: each a QR code of a position's tag, and the tag as text; to print, cut out and put up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import segno
from markupsafe import Markup

from register.reports.page.document import environment

HERE = Path(__file__).parent
# Level M: a code of which 15 % is soiled can still be read (ISO/IEC 18004).
LEVEL = "m"


@dataclass(frozen=True, slots=True)
class Label:
    """One label: the tag, its code as a drawing, and what stands below."""

    tag: str
    code: Markup
    description: str
    place: str


def labels(positions: Iterable[Mapping[str, Any]], site: str) -> str:
    """The sheet as HTML; a code holds the tag and nothing else, so that any reader shows it."""
    made = [_label(row) for row in positions]
    return environment(HERE).get_template("labels.html.jinja").render(labels=made, site=site)


def _label(row: Mapping[str, Any]) -> Label:
    code = segno.make(row["tag"], error=LEVEL, boost_error=False, micro=False)
    drawn = code.svg_inline(border=4, omitsize=True, dark="#000", light="#fff")
    place = ", ".join(part for part in (row["bus"], row["area"]) if part)
    return Label(row["tag"], Markup(drawn), row["description"] or "", place)
