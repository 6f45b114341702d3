"""Commands that take back what was taken along: the answers of a round, a copy of the register."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from register.cli.common import DEFAULT_REGISTER, AsJson, By, RegisterPath, answer, author
from register.errors import DONE, FINDINGS, Problem, StartrollError

if TYPE_CHECKING:
    from register.rounds.left_over import Key

Theirs = Annotated[bool, typer.Option("--theirs", help="In a conflict, take what was brought back.")]
Ours = Annotated[bool, typer.Option("--ours", help="In a conflict, keep what is here.")]
Left = Annotated[Path | None, typer.Option(help="Write what waits or was refused here, to decide one by one.")]
Decided = Annotated[Path | None, typer.Option(help="Such a list, with its column take filled.")]
Dry = Annotated[bool, typer.Option("--dry-run", help="Show what it would do, change nothing.")]


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("take-round")(take_round)
    app.command("merge")(merge)


def take_round(
    saved: Annotated[Path, typer.Argument(metavar="ANSWERS", help="The saved file, or a crew's filled workbook.")],
    theirs: Theirs = False,
    ours: Ours = False,
    left: Left = None,
    decided: Decided = None,
    dry_run: Dry = False,
    by: By = None,
    register: RegisterPath = DEFAULT_REGISTER,
    as_json: AsJson = False,
) -> None:
    """Take back what a round or a crew's page was answered, against what was and is there; 1 when something waits."""
    from register.reports.terminal.taken_back import round_taken
    from register.rounds.crew_book import read_book
    from register.rounds.photos import keep_photos
    from register.rounds.saved_file import read_saved
    from register.rounds.take_round import take_round as run
    from register.store.clock import zone_of
    from register.store.database import opened
    from register.store.identity import register_id

    decide = _decide(theirs, ours, decided, left)
    with opened(register, write=True) as db:
        is_book = saved.suffix.lower() == ".xlsx"
        read = read_book(saved, register_id(db), zone_of(db)) if is_book else read_saved(saved, register_id(db))
        digest = hashlib.sha256(saved.read_bytes()).hexdigest()
        photos = None if dry_run else keep_photos(register, saved.parent, read.answers)
        made = run(db, read, file=saved.name, file_sha256=digest, decide=decide, author=author(by), dry=dry_run)
    _leave(left, made)
    answer((made, photos), as_json, lambda both: round_taken(both[0], both[1], saved, left), _data)
    raise typer.Exit(FINDINGS if made.conflicts or made.refused else DONE)


def merge(
    copy: Annotated[Path, typer.Argument(metavar="COPY", help="The copy of the register that was taken along.")],
    theirs: Theirs = False,
    ours: Ours = False,
    left: Left = None,
    decided: Decided = None,
    dry_run: Dry = False,
    reason: Annotated[str, typer.Option(help="Why; kept in the history.")] = "copy merged",
    by: By = None,
    register: RegisterPath = DEFAULT_REGISTER,
    as_json: AsJson = False,
) -> None:
    """Merge a copy of the register back, every change with who, when and why; 1 when conflicts wait for a decision."""
    from register.reports.terminal.taken_back import merged
    from register.rounds.left_over import sides_only
    from register.rounds.merge import merge as run
    from register.store.database import opened

    decide = _decide(theirs, ours, decided, left, check=sides_only)
    with opened(copy) as other, opened(register, write=True) as db:
        about = {"reason": reason, "author": author(by), "source_file": copy.name}
        made = run(db, other, decide=lambda c: decide(c.key), dry=dry_run, **about)
    _leave(left, made)
    answer(made, as_json, lambda one: merged(one, copy, left))
    raise typer.Exit(FINDINGS if made.conflicts else DONE)


def _decide(
    theirs: bool,
    ours: bool,
    decided: Path | None,
    left: Path | None,
    check: Callable[[Any, Path | None], None] = lambda listed, path: None,
) -> Callable[[Key], Any]:
    """What was decided, by the options and in a list."""
    from register.rounds.left_over import decider, read_list
    from register.store.output_file import refuse_unfit

    if theirs and ours:
        raise StartrollError(Problem("--theirs and --ours cannot both hold", "give one, or a list: --decided"))
    refuse_unfit(left, ".xlsx")
    listed = read_list(decided) if decided else {}
    check(listed, decided)
    return decider(listed, "theirs" if theirs else "ours" if ours else None)


def _leave(left: Path | None, made: Any) -> None:
    from register.rounds.left_over import write_list

    refused = getattr(made, "refused", ())
    if left is not None and (made.conflicts or refused):
        write_list(left, made.conflicts, refused)


def _data(both: tuple[Any, Any]) -> dict[str, Any]:
    from register.reports.json_data import plain

    made, photos = both
    kept = {"kept": photos.kept, "problems": list(photos.problems)} if photos else None
    return {**plain(made), "photos": kept}
