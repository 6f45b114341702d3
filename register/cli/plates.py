"""The command that reads a photographed nameplate."""

from __future__ import annotations

from contextlib import nullcontext
from pathlib import Path
from typing import Annotated

import typer

from register.cli.common import DEFAULT_REGISTER, AsJson, By, RegisterPath, answer, author
from register.errors import Problem, StartrollError

At = Annotated[str | None, typer.Option("--at", help="Tag of the position where the motor stands.")]
Accept = Annotated[
    list[str],
    typer.Option("--accept", metavar="COLUMN[=VALUE]", help="Write this one: as proposed, or as you read it."),
]
Why = Annotated[str, typer.Option("--reason", help="Why; kept in the history.")]
Sure = Annotated[bool, typer.Option("--sure", help="It is right, though it looks like a slip.")]


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("plate")(plate)


def plate(
    photo: Annotated[Path, typer.Argument(help="A photograph of one motor's nameplate: JPEG, PNG.")],
    at: At = None,
    accept: Accept = [],  # noqa: B006 - typer's form of an option given several times
    reason: Why = "",
    sure: Sure = False,
    by: By = None,
    register: RegisterPath = DEFAULT_REGISTER,
    as_json: AsJson = False,
) -> None:
    """Read a nameplate's photograph: values to compare with the plate; written is only what you accept."""
    from register.intake.nameplate import accept as accepting
    from register.intake.nameplate.photo import read_photograph
    from register.reports.terminal.plate import plate_read
    from register.store.database import opened, writing
    from register.store.origins import BY_PHOTO

    if accept and at is None:
        raise StartrollError(Problem("no position is named", "give --at TAG", "--accept"))
    photograph = read_photograph(photo)
    with opened(register, write=bool(accept)) if at else nullcontext() as db:
        made = accepting.proposed(photograph, db, at)
        if db is not None and accept:
            source = BY_PHOTO + photograph.name
            with writing(db, reason=reason, author=author(by), source_file=source, source_hash=photograph.sha256):
                made = accepting.accept(db, made, accept, sure=sure)
    answer(made, as_json, plate_read)
