"""Commands on the rules: list, show, check, prove, try, compare, pages."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from register.cli.common import AsJson, AuditOptions, SiteRules, answer, console, with_options
from register.cli.help import Grouped

app = typer.Typer(
    cls=Grouped,
    help="The rules: list them, read one, check, prove, try or compare them.",
    no_args_is_help=True,
    rich_markup_mode=None,
)


@app.command("list")
def list_(site_rules: SiteRules = None, as_json: AsJson = False) -> None:
    """List the rules in force."""
    from register.reports import json_data
    from register.reports.terminal import rules as rulelist
    from register.rulebook.load.pack import load_pack

    answer(load_pack(site_folder=site_rules), as_json, rulelist.rules, json_data.rules)


@app.command("show")
def show(
    rule: Annotated[str, typer.Argument(help="Id of the rule, theme/name.")],
    site_rules: SiteRules = None,
    as_json: AsJson = False,
) -> None:
    """Show one rule whole: requirement, limits in force, why, action, basis, examples."""
    from register.reports import json_data
    from register.reports.terminal import rules as rulelist
    from register.rulebook.load.pack import load_pack

    pack = load_pack(site_folder=site_rules)
    found = rulelist.known(pack, rule)
    answer(found, as_json, lambda r: rulelist.rule(pack, r), lambda r: json_data.rule(pack, r))


@app.command("check")
def check(folder: Annotated[Path | None, typer.Argument(help="A folder of a site's own rules.")] = None) -> None:
    """Check every rule and limit, and run the rules' examples."""
    from register.reports.terminal import rules as rulelist
    from register.rulebook.load.pack import load_pack
    from register.rulebook.proofs.failed_examples import wrong_examples

    pack = load_pack(site_folder=folder)
    wrong = wrong_examples(pack)
    console().print(rulelist.checked(pack, wrong))
    raise typer.Exit(2 if wrong else 0)


@app.command("prove")
def prove(
    folder: Annotated[Path | None, typer.Argument(help="The same as --site-rules.")] = None,
    site_rules: SiteRules = None,
    only: Annotated[
        list[str] | None, typer.Option(help="Only this: examples, monotone, mutation, dead, gaps, units, answers.")
    ] = None,
    trials: Annotated[int, typer.Option(min=1, help="Random rows of facts to try.")] = 10_000,
    seed: Annotated[int, typer.Option(help="Of the random rows, to see the same again.")] = 1,
    as_json: AsJson = False,
) -> None:
    """Prove that filling a blank reverses no verdict, every rule can fail and pass, examples notice any change."""
    from register.planning import answers
    from register.reports import json_data
    from register.reports.terminal import rules as rulelist
    from register.rulebook.load.pack import load_pack
    from register.rulebook.proofs.proofs import prove

    pack = load_pack(site_folder=folder or site_rules)
    proofs = prove(pack, only=only or (), trials=trials, seed=seed, more={"answers": answers.proof})
    answer(proofs, as_json, rulelist.proved, json_data.proofs)
    raise typer.Exit(2 if any(proof.faults for proof in proofs) else 0)


@app.command("try")
@with_options
def try_(
    file: Annotated[Path, typer.Argument(help="The rule's file, <theme>/<name>.yml.")],
    options: AuditOptions,
    show_all: Annotated[bool, typer.Option("--all", help="Show every position.")] = False,
    as_json: AsJson = False,
) -> None:
    """Try a rule on a register before it counts: what would fail, what it would need."""
    from register.audit.rule_trial import try_rule
    from register.reports import json_data
    from register.reports.terminal import rule_trials

    with options.opened(write=False) as session:
        tried = try_rule(session, file)
    answer(tried, as_json, lambda t: rule_trials.tried(t, most=None if show_all else 20), json_data.tried)
    raise typer.Exit(2 if tried.wrong else 0)


@app.command("compare")
@with_options
def compare(
    old: Annotated[Path, typer.Argument(help="The folder of the older pack.")],
    options: AuditOptions,
    new: Annotated[Path | None, typer.Argument(help="That of the newer one; left out, the program's own.")] = None,
    accepted: Annotated[
        Path | None, typer.Option(help="A file of lines {rule, reason, by, on} that accept lost findings.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Compare two versions of the rules on a register; 1 when a finding is lost unaccepted."""
    from register.audit.rule_trial import compare_packs
    from register.reports import json_data
    from register.reports.terminal import rule_trials
    from register.rulebook.load.pack import load_pack
    from register.store import clock
    from register.store.database import opened

    asked = options.request()
    before, after = (load_pack(folder, site_folder=asked.site_rules) for folder in (old, new))
    with opened(options.register) as db:
        found = compare_packs(db, before, after, today=asked.today or clock.today(db), accepted=accepted)
    answer(found, as_json, rule_trials.compared, json_data.compared)
    raise typer.Exit(1 if found.unaccepted else 0)


@app.command("pages")
def pages(
    folder: Annotated[Path, typer.Argument(help="Where to write them; made if need be.")], site_rules: SiteRules = None
) -> None:
    """Write a page for each rule, and an index of them."""
    from register.rulebook.load.pack import load_pack
    from register.rulebook.pages import write_pages

    count = write_pages(load_pack(site_folder=site_rules), folder)
    console().print(f"{count} pages written in {folder}; begin with rules/index.md there.")
