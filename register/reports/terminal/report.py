"""The report in a terminal: readable at 80 columns, without colour, through a pipe."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from register.audit.concessions import Standing
from register.audit.finding import Finding
from register.audit.finding import Group as OneCause
from register.audit.outline import GRADES, OUTCOMES, Outline
from register.audit.priority import HOW
from register.audit.report import Report, read_at
from register.columns import SUBJECTS
from register.reports.first import first_step, first_things
from register.reports.terminal import actions, concessions
from register.reports.terminal.first_screen import first_screen, standing_of
from register.reports.terminal.hint import command, follow
from register.reports.terminal.layout import STYLES, coloured, few, table, titled
from register.text import counted, shown, steps

WORDS = {"cant-tell": "can't tell"}
VERB = {"failed": "fails", "passed": "passes", "cant-tell": "cannot be judged yet", "inapplicable": "is not concerned"}


def show(report: Any, console: Console, *, most: int | None = 20) -> None:
    """Print the answer and what to do first; with `most` None every finding and every count behind it.

    `report` is a `Report`; an `Outline` is enough where `most` is not None.
    """
    console.print(first_screen(report, most=most))
    for section in (concessions.section(report), actions.section(report)):
        if section is not None:
            console.print(section)
    if any(rule.counts["failed"] for rule in report.on_trial):
        console.print(on_trial(report))
    if most is None:
        for part in _everything(report):
            console.print(part)
    console.print(_last_line(report, everything=most is None), crop=False)  # a command to paste is never cut


def _everything(report: Report) -> Iterator[RenderableType]:
    """All that the first screen leaves out."""
    yield outcomes(report)
    if report.areas:
        yield titled("By area", standing_of("Area", [(a.area, a) for a in report.areas], most=None))
    yield findings(report, most=None)
    yield to_read(report, most=None)
    if report.to_verify:
        yield to_verify(report, most=None)
    scope = report.scope
    yield Text(f"\nRegister {scope.register}, rules {scope.pack}, startroll {scope.program}", style="dim")


def outcomes(report: Report) -> RenderableType:
    """Grade by outcome; every row and column adds up."""
    made = table("Grade", *(f"{WORDS.get(o, o)} " for o in OUTCOMES), "all ")
    for grade in GRADES:
        counts = [report.grades[grade][o] for o in OUTCOMES]
        made.add_row(grade, *map(str, counts), str(sum(counts)))
    sums = [sum(report.grades[g][o] for g in GRADES) for o in OUTCOMES]
    made.add_row("all", *map(str, sums), str(sum(sums)), style="bold")
    each = (
        f"{_many(count, what)} × {rules} rule{'s' if rules > 1 else ''}" for what, count, rules in report.scope.judged
    )
    note = f"{sum(sums)} verdicts = {' + '.join(each)}"
    if report.provisional:
        note += f"; {report.provisional} are provisional: they assume a value"
    outside = sum(rule.outside for rule in report.rules)
    if outside:
        note += f"; {outside} of those inapplicable lie outside what a rule can judge: explain says why"
    return titled("Verdicts", Group(made, Text(note + ".", style="dim")))


def _many(count: int, subject: str) -> str:
    return f"{count} {subject if count == 1 else SUBJECTS[subject].plural}"


def on_trial(report: Outline) -> RenderableType:
    """Rules that do not count yet: how they would come out."""
    made = table("Rule", *(f"{WORDS.get(o, o)} " for o in OUTCOMES))
    for rule in report.on_trial:
        made.add_row(rule.rule, *(str(rule.counts[o]) for o in OUTCOMES))
    note = "Judged, and counted nowhere above, until taken-in.yml takes them in."
    note += f" {command('rules', 'try', 'FILE')} shows what one would find."
    return titled("Rules on trial", Group(made, Text(note, style="dim")))


def findings(report: Report, *, most: int | None) -> RenderableType:
    """The findings, most pressing first, each with what to do."""
    first = report.groups if most is None else report.groups[:most]
    if not first:
        return titled("Findings", Text("Nothing failed."))
    parts = [_group(n, group) for n, group in enumerate(first, 1)]
    left = len(report.findings) - sum(len(group.findings) for group in first)
    if left:
        parts.append(Text(f"{left} more: --all shows every finding.", style="dim"))
    parts.append(Text(HOW, style="dim"))
    return titled("Findings, most pressing first", Group(*parts))


def _group(place: int, group: OneCause) -> RenderableType:
    """The finding to be settled first, and a line for each that may well go with it."""
    if not group.consequences:
        return _finding(place, group.lead)
    parts = [_finding(place, group.lead), Padding(Text("Of the same cause:"), (0, 0, 0, 5))]
    for finding in group.consequences:
        line = f"{finding.at}  {finding.grade}  {finding.rule}  {finding.priority.harm} {finding.priority.product:.3g}"
        parts.append(Padding(Text(line), (0, 0, 0, 7)))
    return Group(*parts)


def _finding(place: int, finding: Finding) -> RenderableType:
    line = Text()
    line.append(f"{place:>3}  ")
    if finding.subject != "position":
        line.append(f"{finding.subject} ")
    line.append(finding.tag, style="bold")
    line.append(f"  {finding.grade}", style=STYLES[finding.grade])
    line.append(f"  {finding.rule}")
    line.append(f"  {finding.priority.harm} {finding.priority.product:.3g}", style="dim")
    if finding.provisional:
        line.append("  provisional", style="italic")
    if finding.conceded:
        line.append("  conceded", style="italic")
    body = [Text(finding.sentence), Text(f"Do: {first_step(finding.action)}")]
    if finding.concession:
        body.append(Text(_conceded(finding.concession)))
    if finding.stand_ins:
        body.append(Text("Assumes: " + "; ".join(finding.stand_ins), style="dim"))
    return Group(line, *(Padding(part, (0, 0, 0, 5), expand=False) for part in body))


def _conceded(standing: Standing) -> str:
    return f"Concession {standing.concession_id} {standing.status}: {standing.why}."


def to_read(report: Report, *, most: int | None) -> RenderableType:
    """The blanks that keep verdicts open, those with the most majors behind them first."""
    if not report.fields:
        return titled("Can't tell", Text("No verdict is unknown."))
    first = report.fields if most is None else report.fields[:most]
    made = table("Field to read", "verdicts ", "majors ", "at ", "where it is read")
    for field in first:
        made.add_row(field.column, str(field.verdicts), str(field.majors), str(len(field.tags)), field.read_at)
    left = len(report.fields) - len(first)
    note = "at: positions. One verdict may wait for several fields."
    if left:
        note += f" {left} more fields: {command('to-collect', '--all')}."
    return titled("Can't tell: what to read", Group(made, Text(note, style="dim")))


def to_verify(report: Report, *, most: int | None) -> RenderableType:
    """The clauses that nobody has seen yet, those behind the most failed majors first."""
    first = report.to_verify if most is None else report.to_verify[: most // 4]
    made = table("Clause", "rules ", "failed majors ")
    for v in first:
        made.add_row(v.clause, str(len(v.rules)), str(v.failed_majors))
    note = "Nobody has seen these clauses yet; someone licensed reads them first."
    if left := len(report.to_verify) - len(first):
        note += f" {left} more: --all."
    return titled("Clauses to be verified before this is signed", Group(made, Text(note, style="dim")))


def _last_line(report: Outline, *, everything: bool) -> RenderableType:
    failed = sum(report.grades[g]["failed"] for g in GRADES)
    if not report.scope.positions:
        return Group(Text(), follow("take-in", "LIST"))
    cant = sum(report.grades[g]["cant-tell"] for g in GRADES)
    conceded = sum(report.conceded.values())
    also = f", {conceded} of them conceded" if conceded else ""
    majors = report.grades["major"]["failed"]
    lines: list[RenderableType] = [Text(), Text(f"{failed} failed ({majors} major){also}, {cant} unknown.")]
    if not everything:
        lines += [Text(note, style="dim") for note in _left_out(report)]
    on = ("--today", report.scope.today)
    if report.findings:
        first = first_things(report, 1)
        found = first[0].finding if first else report.findings[0]
        lines.append(follow("explain", found.tag, found.rule, *on))
    if report.to_collect:
        lines.append(follow("to-collect", *on, label="Read"))
    if failed and not everything:
        lines.append(follow("audit", "--all", *on, label=f"All {failed}"))
    return Group(*lines)


def _left_out(report: Outline) -> Iterator[str]:
    """What the first screen only counts."""
    if report.to_verify:
        yield f"{counted(len(report.to_verify), 'clause')} to be verified before this is signed: --all lists them."


def _to_read(name: str, tags: tuple[str, ...]) -> str:
    at = f" of {few(tags)}" if tags else ""
    return f"{name}{at} (read at {read_at(name)})"


def prose(text: str) -> RenderableType:
    """A rule's text: flowing, but each numbered step on a line of its own."""
    return Group(*map(Text, steps(text)))


def _opened(finding: Finding, word: str) -> list[RenderableType]:
    """The first lines: where, how it came out, what is wrong."""
    return [
        Text.assemble(
            (f"{finding.tag} {VERB.get(finding.outcome, '')}", STYLES.get(word.split(",")[0]) or "bold"),
            (f" ({finding.grade}, {word}): {finding.title[:1].lower()}{finding.title[1:]}.", "bold"),
        ),
        Text(finding.rule, style="dim"),
        Text(),
    ]


def explained(finding: Finding) -> RenderableType:
    """One verdict opened: clauses, values and where they came from, limits, action, basis."""
    word = WORDS.get(finding.outcome, finding.outcome)
    if finding.provisional and finding.outcome in ("passed", "failed"):
        word += ", provisional"
    parts = _opened(finding, word)
    if finding.on_trial:
        parts.insert(1, Text("The rule is on trial: this does not count yet.", style="italic"))
    if finding.outcome == "failed":
        parts += [Text(finding.sentence), Text(f"Priority {finding.priority.explained()}")]
    if finding.outside:
        parts.append(Text(f"Outside this rule: {finding.outside}"))
    if finding.concession:
        parts.append(Text(_conceded(finding.concession)))
    if finding.to_read:
        missing = (_to_read(name, finding.elsewhere.get(name, ())) for name in finding.to_read)
        parts.append(Text("Not known: " + ", ".join(missing)))
    if finding.margin is not None:
        margin = float(f"{finding.margin:.3g}")
        parts.append(Text(f"Margin {shown(margin, finding.margin_unit)}"))
    if finding.stand_ins and finding.outcome in ("passed", "failed"):
        parts.append(Text("It assumes:"))
        parts += [Padding(Text(stand_in), (0, 0, 0, 2)) for stand_in in finding.stand_ins]
    clauses = table("Holds", "Clause", "With the values")
    for text, valued, truth in finding.clauses:
        clauses.add_row(_HOLDS[truth], text, valued)
    parts.append(titled("Requirement", clauses))
    values = table("Value", "is", "from")
    for value in finding.values:
        values.add_row(value.column, shown(value.value, value.unit), value.origin)
    for name, (limit, layer, reason) in finding.limits.items():
        values.add_row(f":{name}", shown(limit), f"limit of the {layer}: {reason}")
    parts.append(titled("Values", values))
    for title, text in (("Why", finding.why), ("Action", finding.action), ("Caution", finding.caution)):
        if text:
            parts.append(titled(title, prose(text)))
    parts.append(titled("Basis", Text("; ".join(map(str, finding.basis)))))
    return Group(*parts)


_HOLDS = {
    True: Text("yes"),
    False: Text("NO", style=STYLES["failed"]),
    None: Text("can't tell", style=STYLES["unknown"]),
}


def at_position(tag: str, verdicts: list[tuple[str, str, str, str]]) -> RenderableType:
    """Every rule's outcome at one position: failed first, then what is unknown."""
    made = table("Rule", "Grade", "Outcome")
    order = {outcome: place for place, outcome in enumerate(OUTCOMES)}
    for rule, grade, outcome, _ in sorted(verdicts, key=lambda v: (order[v[2]], v[0])):
        made.add_row(rule, coloured(grade), coloured(WORDS.get(outcome, outcome)))
    return titled(f"{tag}: {len(verdicts)} rules", made)
