"""What a year of the programme showed, and the back-test, in a terminal."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.text import Text

from register.maintenance.model import BackTest, RuleOutcome, YearOfWork
from register.reports.terminal.hint import command
from register.reports.terminal.layout import DIM, indented, table, titled
from register.text import counted, number, share

FEW_RULES = 15
YEAR_NOTES = (
    "On time: done by the day it fell due, by the interval of the condition that governed then: one that was entered "
    "as it stood on that day, one that is proposed as of today; unknown: its interval.",
    "A proposal is one: whoever owns the programme decides, and writes the new interval to the site's table.",
)
TEST_NOTES = (
    "Failures of the rule's kind that followed where it had failed, and where it had passed, until the next kept "
    "audit; a position counts once in each such time.",
    "It shows what went together, and not what caused what: positions that fail a rule differ in other things too.",
)


def year_of_work(made: YearOfWork) -> RenderableType:
    """Shares done on time by area, what each task found, open actions by age."""
    areas = table("Area", "on time ", "late ", "missed ", "unknown ", "share on time ")
    for area in made.areas:
        cells = (area.on_time, area.late, area.missed, area.unknown)
        areas.add_row(area.area or "none or several", *map(str, cells), share(area.on_time_pct))
    tasks = table("Task", "done ", "failed ", "share found, 90 %", "Says")
    for task in made.tasks:
        found = "–" if task.low is None else f"{_percent(task.low)} to {_percent(task.high)}"
        tasks.add_row(task.name, str(task.done), str(task.failed), found, task.proposal)
    actions = table("Open for", "actions ", "overdue ")
    for age in made.actions:
        actions.add_row(age.age, str(age.open), str(age.overdue))
    never = counted(made.never_recorded, "task")
    return Group(
        Text(f"The work from {made.since} to {made.today}", style="bold"),
        titled("Tasks that fell due", areas),
        Text(f"Never recorded: {never}; {command('due')} says which.", style=DIM),
        titled("What each task found", tasks),
        titled("Open corrective actions", actions),
        Text(),
        indented(YEAR_NOTES),
    )


def _percent(value: float | None) -> str:
    if not value:
        return "0" if value == 0 else "–"
    return f"{100 * value:.2g} %" if value >= 0.01 else "under 1 %"


def back_test(made: BackTest, *, show_all: bool = False) -> RenderableType:
    """Each rule's counts with the ratio of the rates; those with too few failures are only counted."""
    if not made.audits:
        return Text(f"No audit was kept before {made.today}. {command('audit', '--keep')} keeps one to look back from.")
    told = [rule for rule in made.rules if rule.says != "too few to say"]
    few = len(made.rules) - len(told)
    shown = made.rules if show_all else told[:FEW_RULES]
    rows = table("Rule", "failed ", "years ", "passed ", "years ", "ratio, 90 %", "Failures")
    for rule in shown:
        cells = (str(rule.failures_failed), _years(rule.years_failed), str(rule.failures_passed))
        rows.add_row(rule.rule, *cells, _years(rule.years_passed), _ratio(rule), rule.says)
    head = f"{counted(made.failures, 'failure')} since {made.audits[0]}, up to {made.today}"
    notes = (
        [f"Too few to say, of {few} rules: under 10 failures, or none that failed, or none that passed."] if few else []
    )
    if told:
        chance = f"Of {counted(len(told), 'rule')} with enough failures, about {number(made.by_chance)} would be told "
        notes.append(f"{chance}apart by chance alone.")
    return Group(Text(head, style="bold"), *([rows] if shown else []), Text(), indented([*notes, *TEST_NOTES]))


def _years(years: float) -> str:
    return f"{years:.0f}" if years >= 10 else f"{years:.1f}"


def _ratio(rule: RuleOutcome) -> str:
    if rule.low is None and rule.high is None:
        return "–"
    middle = "–" if rule.ratio is None else f"{rule.ratio:.2g}"
    high = "no limit" if rule.high is None else f"{rule.high:.2g}"
    return f"{middle} ({rule.low or 0:.2g} to {high})"
