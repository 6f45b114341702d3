"""A roll-up without names: plants by their place in the league, no tag, no file, no rule of a plant's own."""

from __future__ import annotations

from dataclasses import replace

from register.fleet.model import FleetReport, Standing
from register.resources import rules_folder

OWN = "a rule of a plant's own"


def nameless(report: FleetReport) -> FleetReport:
    """The same report for readers who shall not know which plant is which; makers and models stay."""
    called = {one.plant.name: f"Plant {number}" for number, one in enumerate(report.league, 1)}
    theirs = sorted(row.rule for row in report.rules if not _ours(row.rule))
    rules = {rule: f"own/{number}" for number, rule in enumerate(theirs, 1)}
    titles = {row.title: OWN for row in report.rules if row.rule in rules}
    return replace(
        report,
        confidential=True,
        league=tuple(_standing(one, called, rules) for one in report.league),
        refused=tuple(
            replace(one, place=f"register {number} of those refused", reason="it could not be judged", remedy="")
            for number, one in enumerate(report.refused, 1)
        ),
        rules=tuple(
            replace(row, rule=rules.get(row.rule, row.rule), title=OWN if row.rule in rules else row.title)
            for row in report.rules
        ),
        outliers=tuple(replace(one, plant=called[one.plant]) for one in report.outliers),
        paragraphs=tuple(
            replace(one, plant=called[one.plant], text=_without(one.text, titles)) for one in report.paragraphs
        ),
        failures=tuple(
            replace(one, more_often_at=tuple(called[name] for name in one.more_often_at)) for one in report.failures
        ),
        shared=tuple(replace(one, plants=tuple(called[name] for name in one.plants)) for one in report.shared),
        twins=tuple(tuple(called[name] for name in names) for names in report.twins),
    )


def _standing(one: Standing, called: dict[str, str], rules: dict[str, str]) -> Standing:
    name = called[one.plant.name]
    plant = replace(one.plant, key=name.lower().replace(" ", "-"), name=name, place="", notes="")
    return replace(one, plant=plant, worst_rules=tuple((rules.get(rule, rule), n) for rule, n in one.worst_rules))


def _ours(rule: str) -> bool:
    return (rules_folder() / f"{rule}.yml").is_file()


def _without(text: str, titles: dict[str, str]) -> str:
    for title, instead in titles.items():
        text = text.replace(title, instead)
    return text
