"""The command that takes a plant's own list in."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from register.cli.common import DEFAULT_REGISTER, AsJson, By, Reason, RegisterPath, author, console, print_json, say
from register.text import visible, whole

if TYPE_CHECKING:
    from register.intake.plan import Doubt


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("take-in")(take_in)
    app.command("undo")(undo)
    app.command("retire")(retire)
    app.command("bring-back")(bring_back)
    app.command("remove")(remove)


def _asked(register: Path, sheets: list[Path], mapping: Path | None, to: Path | None) -> Path:
    """The file with the answers that a person gives at the terminal."""
    from register.intake.take_in import ask_all
    from register.store.output_file import refuse_taken, write_new

    path = to or Path(f"{sheets[0].stem}.answers.yml")
    refuse_taken(path)
    text, left = ask_all(register, sheets, mapping, _reply)
    write_new(path, text.encode())
    say(f"The answers are in {path}; {left} questions stay open.\n")
    return path


def _reply(doubt: Doubt) -> str | None:
    """The line of the mapping for what a person chooses; None where they leave the question open."""
    say(visible(f"\n{doubt.place}\n  {doubt.question}"))
    if doubt.words and doubt.under == "headings":
        told = {text: _choice(f"  {text!r} × {n}", doubt.candidates, meant) for text, n, meant in doubt.words}
        return doubt.worded({text: choice for text, choice in told.items() if choice})
    choice = _choice("  answer", doubt.candidates, "")
    line = doubt.said(choice) if choice else None
    if choice and line is None:
        say("  This answer belongs in the mapping, by hand; the question stays open.")
    return line


def _choice(prompt: str, choices: tuple[str, ...], likeliest: str) -> str:
    """One of the choices, by its number or as typed; blank leaves it open."""
    say("  " + "  ".join(f"{n} {choice}" for n, choice in enumerate(choices, 1)))
    hint = f" [{likeliest}, - leaves it open]" if likeliest else " (blank leaves it open)"
    typed = typer.prompt(visible(prompt) + hint, default=likeliest, show_default=False).strip()
    if typed == "-":
        return ""
    return choices[whole(typed) - 1] if 1 <= whole(typed) <= len(choices) else typed


def take_in(
    sheets: Annotated[list[Path], typer.Argument(help="Lists to take in: CSV, XLSX or ODS.")],
    mapping: Annotated[Path | None, typer.Option(help="A saved mapping that answers what is doubtful.")] = None,
    save_mapping: Annotated[
        Path | None, typer.Option(help="Write the mapping used, with the open questions, here.")
    ] = None,
    refused: Annotated[
        Path | None, typer.Option(help="A workbook to write what was refused to: correct it, take it in again.")
    ] = None,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Show the plan, change nothing.")] = False,
    ask: Annotated[
        bool, typer.Option("--ask", help="Ask the open questions here, and write the answers as a mapping.")
    ] = False,
    all_or_nothing: Annotated[
        bool, typer.Option("--all-or-nothing", help="Change nothing if anything is refused.")
    ] = False,
    reason: Annotated[str, typer.Option(help="Why; kept in the history.")] = "list taken in",
    by: By = None,
    show_all: Annotated[bool, typer.Option("--all", help="Show every row.")] = False,
    register: RegisterPath = DEFAULT_REGISTER,
    as_json: AsJson = False,
) -> None:
    """Take a plant's own list in: recognise its headings and units, plan, then apply."""
    from register.intake.take_in import take_in as run
    from register.reports import json_data
    from register.reports.terminal import take_in as shown
    from register.store.output_file import refuse_unfit

    refuse_unfit(refused, ".xlsx")
    if ask:
        mapping, save_mapping = _asked(register, sheets, mapping, save_mapping), None
    plan, applied = run(
        register,
        sheets,
        mapping=mapping,
        save_mapping=save_mapping,
        refused=refused,
        dry_run=dry_run,
        all_or_nothing=all_or_nothing,
        reason=reason,
        author=author(by),
    )
    if as_json:
        print_json(json_data.plan(plan, applied))
    else:
        console().print(shown.plan(plan, applied, most=None if show_all else shown.MOST))


Tag = Annotated[str, typer.Argument(help="Tag of the position.")]


def undo(
    number: Annotated[int, typer.Argument(help="Number of the change-set; take-in shows it.")],
    reason: Reason,
    by: By = None,
    register: RegisterPath = DEFAULT_REGISTER,
) -> None:
    """Take back a change-set as one: a list taken in, a correction, a move."""
    _changed("undo", register, number, reason, by)


def retire(tag: Tag, reason: Reason, by: By = None, register: RegisterPath = DEFAULT_REGISTER) -> None:
    """Take a position out of service; its motor and device go into store, its history stays."""
    _changed("retire", register, tag, reason, by)


def bring_back(tag: Tag, reason: Reason, by: By = None, register: RegisterPath = DEFAULT_REGISTER) -> None:
    """Return a retired position to service, with all that it had."""
    _changed("bring_back", register, tag, reason, by)


def remove(tag: Tag, reason: Reason, by: By = None, register: RegisterPath = DEFAULT_REGISTER) -> None:
    """Remove a position that was made by mistake and that nothing refers to."""
    _changed("remove", register, tag, reason, by)


def _changed(what: str, register: Path, subject: int | str, reason: str, by: str | None) -> None:
    from register.intake import undo as changes
    from register.store.database import opened, writing

    with opened(register, write=True) as db, writing(db, reason=reason, author=author(by)) as number:
        said = getattr(changes, what)(db, subject)
    say(f"{said}. (change-set {number})")
