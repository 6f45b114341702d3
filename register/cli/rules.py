"""Commands on the rules: list, show, check, prove."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from register.cli.common import AsJson, SiteRules, console, print_json

app = typer.Typer(
    help="The rules: list them, read one, check a folder of them.", no_args_is_help=True,
    rich_markup_mode=None,
)  # fmt: skip


@app.command("list")
def list_(site_rules: SiteRules = None, as_json: AsJson = False) -> None:
    """List the rules in force."""
    from register.reports import as_data, rulelist
    from register.rulebook.load import load_pack

    pack = load_pack(site_folder=site_rules)
    if as_json:
        print_json(as_data.rules(pack))
    else:
        console().print(rulelist.rules(pack))


@app.command("show")
def show(
    rule: Annotated[str, typer.Argument(help="Id of the rule, theme/name.")],
    site_rules: SiteRules = None,
) -> None:
    """Show one rule whole: requirement, why, action, basis, examples."""
    from register.reports import rulelist
    from register.rulebook.load import load_pack

    pack = load_pack(site_folder=site_rules)
    console().print(rulelist.rule(pack, rule))


@app.command("check")
def check(
    folder: Annotated[Path | None, typer.Argument(help="A folder of a site's own rules.")] = None,
) -> None:
    """Check every rule and limit, and run the rules' examples."""
    from register.reports import rulelist
    from register.rulebook.examples import failing_examples
    from register.rulebook.load import load_pack

    pack = load_pack(site_folder=folder)
    wrong = failing_examples(pack)
    console().print(rulelist.checked(pack, wrong))
    raise typer.Exit(2 if wrong else 0)


@app.command("prove")
def prove(site_rules: SiteRules = None) -> None:
    """Change each rule a little, every way there is: do its examples notice?"""
    from register.reports import rulelist
    from register.rulebook.examples import all_survivors
    from register.rulebook.load import load_pack

    pack = load_pack(site_folder=site_rules)
    console().print(rulelist.proved(*all_survivors(pack)))
