"""The page of a round put together: template, style, scripts, data."""

from __future__ import annotations

import hashlib
import re
from base64 import b64encode
from pathlib import Path

from markupsafe import Markup

from register.reports.page.document import environment
from register.reports.round.data import packed
from register.rounds.model import Round
from register.text import counted

HERE = Path(__file__).parent
SCRIPTS = (
    "sha256.js", "saved.js", "job.js", "answers.js", "question.js", "photo.js", "scan.js", "paper.js", "round.js"
)  # fmt: skip


def html(made: Round) -> str:
    """The round as one page that needs no network; text of the register stands in it as data only."""
    script = '"use strict";\n' + "".join(map(_lean, SCRIPTS))
    return (
        environment(HERE)
        .get_template("round.html.jinja")
        .render(
            round=made,
            style=Markup(_lean("round.css")),
            script=Markup(script),
            script_hash=b64encode(hashlib.sha256(script.encode()).digest()).decode(),
            data=Markup(packed(made)),
            left_out=left_out(made),
            heading=made.title[:1].upper() + made.title[1:] if made.crew else made.title,
            lead_in="" if made.crew else "Round of ",
        )
    )


def _lean(name: str) -> str:
    """A script or a style without comments of a whole line, blank lines and indents: a phone need not store them."""
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    kept = (line.strip() for line in lines if not re.match(r"\s*(//.*|/\*.*\*/)?$", line))
    return "\n".join(kept) + "\n"


def left_out(made: Round) -> str:
    """What a round cannot bring, in words; "nothing" where it brings all."""
    told = [
        f"{count} {reason}" if made.crew else f"{counted(count, 'reading')} {reason}"
        for reason, count in made.left_out.items()
    ]
    return "; ".join(told) or "nothing"
