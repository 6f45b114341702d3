"""The report in a terminal: readable at 80 columns, without colour, through a pipe."""

from __future__ import annotations

import re

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from register.figures import shown
from register.findings.concessions import Standing
from register.findings.model import Finding
from register.reports import actions, concessions
from register.reports.tables import table, titled
from register.reports.view import GRADES, OUTCOMES, Report, read_at

WORDS = {"cant-tell": "can't tell"}
STYLE = {"major": "bold", "minor": "", "observation": "dim"}


def show(report: Report, console: Console, *, most: int | None = 20) -> None:
    """Print the whole report; `most` findings at the most (None for all)."""
    console.print(head(report))
    console.print(outcomes(report))
    console.print(areas(report))
    console.print(findings(report, most=most))
    for section in (concessions.section(report), actions.section(report)):
        if section is not None:
            console.print(section)
    console.print(to_read(report, most=most))
    console.print(_last_line(report))


def head(report: Report) -> RenderableType:
    """What was judged, when, by what."""
    scope = report.scope
    practice = {"us": "US", "iec": "IEC"}.get(scope.practice, scope.practice)
    lines = [
        Text(f"Audit of {scope.site} on {scope.today}", style="bold"),
        Text(f"{scope.positions} positions · {scope.rules} rules · {practice} practice"),
        Text(f"register {scope.register} · rules {scope.pack} · startroll {scope.program}"),
    ]
    if scope.measured_only:
        lines.append(Text("Measured values only: no stand-in was used."))
    return Group(*lines)


def outcomes(report: Report) -> RenderableType:
    """Grade by outcome; every row and column adds up."""
    made = table("Grade", *(f"{WORDS.get(o, o)} " for o in OUTCOMES), "all ")
    for grade in GRADES:
        counts = [report.grades[grade][o] for o in OUTCOMES]
        made.add_row(grade, *map(str, counts), str(sum(counts)))
    sums = [sum(report.grades[g][o] for g in GRADES) for o in OUTCOMES]
    made.add_row("all", *map(str, sums), str(sum(sums)), style="bold")
    note = f"{sum(sums)} verdicts = {report.scope.positions} positions × {report.scope.rules} rules"
    if report.provisional:
        note += f"; {report.provisional} are provisional: they rest on a stand-in"
    return titled("Verdicts", Group(made, Text(note + ".", style="dim")))


def areas(report: Report) -> RenderableType:
    """Area by grade, with what can't be told there."""
    made = table("Area", "positions ", *(f"{g} " for g in GRADES), "can't tell ")
    for area in report.areas:
        made.add_row(
            area.area,
            str(area.positions),
            *(str(area.failed[g]) for g in GRADES),
            str(area.cant_tell),
        )
    made.add_row(
        "all",
        str(sum(a.positions for a in report.areas)),
        *(str(sum(a.failed[g] for a in report.areas)) for g in GRADES),
        str(sum(a.cant_tell for a in report.areas)),
        style="bold",
    )
    return titled("Failed by area", made)


def findings(report: Report, *, most: int | None) -> RenderableType:
    """The findings, most pressing first, each with what to do."""
    first = report.findings if most is None else report.findings[:most]
    if not first:
        return titled("Findings", Text("Nothing failed."))
    parts = [_finding(n, finding) for n, finding in enumerate(first, 1)]
    left = len(report.findings) - len(first)
    if left:
        parts.append(Text(f"{left} more: --all shows every finding.", style="dim"))
    return titled("Findings, most pressing first", Group(*parts))


def _finding(place: int, finding: Finding) -> RenderableType:
    line = Text()
    line.append(f"{place:>3}  ")
    line.append(finding.tag, style="bold")
    line.append(f"  {finding.grade}", style=STYLE[finding.grade])
    line.append(f"  {finding.rule}")
    line.append(f"  priority {finding.priority.product:.3g}", style="dim")
    if finding.provisional:
        line.append("  provisional", style="italic")
    if finding.conceded:
        line.append("  conceded", style="italic")
    body = [Text(finding.sentence), Text(f"Do: {_first_step(finding.action)}")]
    if finding.concession:
        body.append(Text(_conceded(finding.concession)))
    if finding.stand_ins:
        body.append(Text("Rests on: " + "; ".join(finding.stand_ins), style="dim"))
    return Group(line, *(Padding(part, (0, 0, 0, 5), expand=False) for part in body))


def _conceded(standing: Standing) -> str:
    return f"Concession {standing.concession_id} {standing.status}: {standing.why}."


def _first_step(action: str) -> str:
    """The first of an action's numbered steps, or all of one that has none."""
    first = re.split(r"^\s*2\.\s", action, maxsplit=1, flags=re.MULTILINE)[0]
    return " ".join(re.sub(r"^\s*1\.\s", "", first).split())


def to_read(report: Report, *, most: int | None) -> RenderableType:
    """The blanks that keep verdicts open, those with the most majors behind them first."""
    if not report.fields:
        return titled("Can't tell", Text("Every verdict could be told."))
    first = report.fields if most is None else report.fields[:most]
    made = table("Field to read", "verdicts ", "majors ", "at ", "where it is read")
    for field in first:
        made.add_row(
            field.column,
            str(field.verdicts),
            str(field.majors),
            str(len(field.tags)),
            field.read_at,
        )
    left = len(report.fields) - len(first)
    note = "at: positions. One verdict may wait for several fields."
    if left:
        note += f" {left} more fields: startroll to-read --all."
    return titled("Can't tell: what to read", Group(made, Text(note, style="dim")))


def _last_line(report: Report) -> RenderableType:
    failed = sum(report.grades[g]["failed"] for g in GRADES)
    majors = report.grades["major"]["failed"]
    cant = sum(report.grades[g]["cant-tell"] for g in GRADES)
    conceded = sum(report.conceded.values())
    borne = f", {conceded} of them conceded" if conceded else ""
    text = f"{failed} failed ({majors} major){borne}, {cant} can't be told."
    if report.findings:
        first = report.findings[0]
        follow = Text(
            f"startroll explain {first.tag} {first.rule}", no_wrap=True, overflow="ignore"
        )
        return Group(Text(), Text(f"{text} Next:", style="bold"), follow)
    return Group(Text(), Text(text, style="bold"))


def _to_read(name: str) -> str:
    return f"{name} (read at {read_at(name)})"


def prose(text: str) -> RenderableType:
    """A rule's text: flowing, but each numbered step on a line of its own."""
    steps = re.split(r"^\s*(?=\d+\.\s)", text, flags=re.MULTILINE)
    return Group(*(Text(" ".join(step.split())) for step in steps if step.strip()))


def explained(finding: Finding) -> RenderableType:
    """One verdict opened: clauses, values and where they came from, limits, action, basis."""
    word = WORDS.get(finding.outcome, finding.outcome)
    if finding.provisional and finding.outcome in ("passed", "failed"):
        word += ", provisional"
    parts: list[RenderableType] = [
        Text(f"{finding.tag}  {finding.rule}  {finding.grade}: {word}", style="bold"),
        Text(finding.title),
        Text(),
    ]
    if finding.outcome == "failed":
        parts += [Text(finding.sentence), Text(f"Priority {finding.priority.explained()}")]
    if finding.concession:
        parts.append(Text(_conceded(finding.concession)))
    if finding.to_read:
        parts.append(Text("Not known: " + ", ".join(_to_read(name) for name in finding.to_read)))
    if finding.margin is not None:
        parts.append(Text(f"Margin {shown(finding.margin, finding.margin_unit)}"))
    if finding.stand_ins and finding.outcome in ("passed", "failed"):
        parts.append(Text("It rests on: " + "; ".join(finding.stand_ins)))
    clauses = table("Clause", "With the values", "Holds")
    for text, valued, truth in finding.clauses:
        clauses.add_row(text, valued, {True: "yes", False: "no", None: "can't tell"}[truth])
    parts.append(titled("Requirement", clauses))
    values = table("Value", "is", "from")
    for value in finding.values:
        values.add_row(value.column, shown(value.value, value.unit), value.origin)
    for name, (limit, layer, reason) in finding.limits.items():
        values.add_row(f":{name}", str(limit), f"limit of the {layer}: {reason}")
    parts.append(titled("Values", values))
    for title, text in (("Why", finding.why), ("Action", finding.action),
                        ("Caution", finding.caution)):  # fmt: skip
        if text:
            parts.append(titled(title, prose(text)))
    parts.append(titled("Basis", Text("; ".join(finding.basis))))
    return Group(*parts)


def at_position(tag: str, verdicts: list[tuple[str, str, str, str]]) -> RenderableType:
    """Every rule's outcome at one position: failed first, then what can't be told."""
    made = table("Rule", "Grade", "Outcome")
    order = {outcome: place for place, outcome in enumerate(OUTCOMES)}
    for rule, grade, outcome, _ in sorted(verdicts, key=lambda v: (order[v[2]], v[0])):
        made.add_row(rule, grade, WORDS.get(outcome, outcome))
    return titled(f"{tag}: {len(verdicts)} rules", made)
