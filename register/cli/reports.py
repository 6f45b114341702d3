"""Commands that write a report to files, and check a review pack."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from register.cli.common import Area, MeasuredOptions, console, with_options
from register.errors import Problem, StartrollError

if TYPE_CHECKING:
    from register.audit.session import Session
    from register.maintenance.model import YearOfWork


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("report")(report)
    app.command("review")(review)
    app.command("verify")(verify)
    app.command("key")(key)


@with_options
def report(
    options: MeasuredOptions,
    html: Annotated[Path | None, typer.Option(help="A page for a browser, in one file that needs no network.")] = None,
    xlsx: Annotated[Path | None, typer.Option(help="A workbook.")] = None,
    sarif: Annotated[Path | None, typer.Option(help="A log in the form of SARIF 2.1.0.")] = None,
    json: Annotated[Path | None, typer.Option(help="JSON, for a program to read.")] = None,
    only_failed: Annotated[bool, typer.Option("--only-failed", help="In SARIF leave out all but what failed.")] = False,
    area: Area = None,
) -> None:
    """Audit once and write the report to files: all those asked for, or none."""
    from register.audit.results import report_of
    from register.reports import publish
    from register.store.overview import overview

    forms = {"html": html, "xlsx": xlsx, "sarif": sarif, "json": json}
    wanted = {form: place for form, place in forms.items() if place is not None}
    publish.check(wanted)
    with options.opened(area=area) as session:
        # The year first: what it reads of every place is let go before findings take that room.
        done = _year(session) if html is not None else None
        made = report_of(session, with_starts=html is not None)
        drawn = overview(session.db) if html is not None else None
    for place in publish.publish(made, **wanted, only_failed=only_failed, overview=drawn, year=done):
        console().print(f"{place} written", soft_wrap=True)


def _year(session: Session) -> YearOfWork:
    """What a year of the maintenance programme showed, for the page."""
    from register.maintenance.year import year_of_work

    asked = session.request
    return year_of_work(session.db, today=session.today, area=asked.area, site_rules=asked.site_rules)


@with_options
def review(
    pack: Annotated[Path, typer.Option("--pack", help="Where the pack is written: a new folder, or FILE.zip.")],
    options: MeasuredOptions,
    since: Annotated[
        str | None, typer.Option(help="Number or day of a kept audit that this year's kept one is held to.")
    ] = None,
    number: Annotated[
        str | None, typer.Option("--document", help="The document's number; by default made of site and day.")
    ] = None,
    revision: Annotated[str, typer.Option(help="The document's revision.")] = "0",
    auditor: Annotated[
        list[str] | None, typer.Option(help="Who audited: name, role, competence; once for each person.")
    ] = None,
    independence: Annotated[
        str, typer.Option(help="What the auditors have to do with the plant and its register, in a sentence.")
    ] = "",
    distribution: Annotated[list[str] | None, typer.Option(help="Who gets a copy; once for each.")] = None,
    sign: Annotated[Path | None, typer.Option(help="The site's own key, to sign the pack with.")] = None,
) -> None:
    """Write the annual review pack: reports, data, rules, a page to sign, a manifest of hashes."""
    from register.audit.annual_review import ReviewDocument, annual_review
    from register.reports import review as reviewing
    from register.reports.pack_signature import signature_of
    from register.store.output_file import refuse_taken

    refuse_taken(pack, signature_of(pack) if sign else None)
    document = ReviewDocument(number or "", revision, tuple(distribution or ()), tuple(auditor or ()), independence)
    with options.opened() as session:
        made = reviewing.make(annual_review(session, since=since, document=document), pack, sign=sign)
    console().print(
        f"{made.path} written: {len(made.files)} files, review.html is the one to sign\n"
        f"SHA-256 of {reviewing.MANIFEST}, to be noted there:\n{made.manifest_hash}",
        soft_wrap=True,
    )
    if sign:
        console().print(f"{signature_of(pack)} written: the pack's signature", soft_wrap=True)


def verify(
    what: Annotated[Path, typer.Argument(help="A review pack, folder or zip file; or a register.")],
    expect: Annotated[str | None, typer.Option(help="The hash that was noted: of the pack, or the last seal.")] = None,
    key: Annotated[Path | None, typer.Option(help="The public key of whoever signed the pack.")] = None,
    rejudge: Annotated[
        bool, typer.Option("--rejudge", help="Judge the pack again, by its own data and rules; say what differs.")
    ] = False,
) -> None:
    """Check that a review pack is as it was made, or that a register's history is as it was sealed."""
    from register.reports import review as reviewing
    from register.store.check_history import check_history, is_register

    if is_register(what):
        if key or rejudge:
            cause, remedy = ("this is a register, and no pack", "leave --key and --rejudge out, or name a pack")
            raise StartrollError(Problem(cause, remedy, str(what)))
        console().print("\n".join(check_history(what, expect=expect)), soft_wrap=True)
        return
    found = reviewing.verify(what, expect=expect, key=key)
    again = _judged_again(what) if rejudge else []
    console().print(
        f"{found.path} is as it was made: {len(found.files)} files\n"
        f"SHA-256 of {reviewing.MANIFEST}:\n{found.manifest_hash}",
        soft_wrap=True,
    )
    if key:
        console().print(f"Its signature is by the key {key}", soft_wrap=True)
    if again:
        console().print("\n".join(again), soft_wrap=True)


def _judged_again(pack: Path) -> list[str]:
    """Sentences on a pack whose results come out again."""
    from tempfile import TemporaryDirectory

    from register.audit.rejudge import judged_again, other_rules
    from register.intake.reread import reread
    from register.reports import rejudge, review
    from register.store.database import opened

    files = review.files_of(pack)
    asked = rejudge.judged(pack, files)
    with TemporaryDirectory(prefix="startroll-again-") as folder:
        register = Path(folder, Path(asked.register).name or "register.db")
        reread(asked.tables, register)
        with opened(register, write=True) as db:
            made = judged_again(
                db, asked.rules, register=register, today=asked.today, measured_only=asked.measured_only
            )
    notes = rejudge.compare(pack, files, made, other_rules(asked.rules))
    told = "Judged again by its own data and rules: report.json and report.sarif come out the same"
    return [told, *notes, "Not compared: the pages and the workbook, which show them"]


def key(
    target: Annotated[Path, typer.Argument(help="Where the key is written; its public half beside it, as .pub.")],
) -> None:
    """Make a key of the site's own, with which a review pack is signed."""
    from register.reports.pack_signature import make_key

    public = make_key(target)
    console().print(
        f"{target} written: it signs. Keep it where only who signs can read it, with a copy in a safe place\n"
        f"{public} written: it checks. Hand it to whoever verifies a pack, by another way than the pack",
        soft_wrap=True,
    )
