"""The report in a terminal: readable at 80 columns, without colour, through a pipe."""

from __future__ import annotations

import re

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from register.audit.concessions import Standing
from register.audit.finding import Finding
from register.audit.finding import Group as OneCause
from register.audit.priority import HOW
from register.audit.report import GRADES, OUTCOMES, Report, read_at
from register.audit.scores import Tally
from register.columns import SUBJECTS
from register.reports.terminal import actions, concessions
from register.reports.terminal.layout import few, table, titled
from register.text import counted, share, shown

WORDS = {"cant-tell": "can't tell"}
STYLE = {"major": "bold", "minor": "", "observation": "dim"}


def show(report: Report, console: Console, *, most: int | None = 20) -> None:
    """Print the whole report; `most` findings at the most (None for all)."""
    console.print(head(report))
    console.print(outcomes(report))
    console.print(parts("By area", "Area", [(a.area, a) for a in report.areas], most=most))
    console.print(parts("By lineup", "Lineup", [(c.lineup, c) for c in report.lineups], most=most))
    console.print(findings(report, most=most))
    for section in (concessions.section(report), actions.section(report)):
        if section is not None:
            console.print(section)
    console.print(to_read(report, most=most))
    if report.to_verify:
        console.print(to_verify(report, most=most))
    if report.on_trial:
        console.print(on_trial(report))
    console.print(_last_line(report))


def head(report: Report) -> RenderableType:
    """What was judged, when, by what."""
    scope = report.scope
    practice = {"us": "US", "iec": "IEC"}.get(scope.practice, scope.practice)
    lines = [
        Text(f"Audit of {scope.site} on {scope.today}", style="bold"),
        Text(f"{counted(scope.positions, 'position')} · {scope.rules} rules · {practice} practice"),
        Text(f"register {scope.register} · rules {scope.pack} · startroll {scope.program}"),
    ]
    if scope.measured_only:
        lines.append(Text("Measured values only: no assumed value was used."))
    return Group(*lines)


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


def parts(title: str, heading: str, counted: list[tuple[str, Tally]], *, most: int | None) -> RenderableType:
    """How the parts of the plant stand: what failed, what is unknown, and two shares."""
    first = counted if most is None else counted[:most]
    made = table(heading, "at ", "major ", "minor ", "obs. ", "can't tell ", "judged ", "passed ")
    for name, tally in first:
        failed = (str(tally.failed[grade]) for grade in GRADES)
        made.add_row(
            name, str(tally.positions), *failed, str(tally.cant_tell), share(tally.judged_pct), share(tally.passed_pct)
        )
    sums = [sum(t.failed[grade] for _, t in counted) for grade in GRADES]
    everywhere = [sum(t.positions for _, t in counted), *sums, sum(t.cant_tell for _, t in counted)]
    made.add_row("all", *map(str, everywhere), style="bold")
    note = (
        "at: positions. judged: of the verdicts that apply, those that are known;"
        " passed: of those judged. Little judged is not good: it is not known."
    )
    if len(counted) > len(first):
        note += f" {len(counted) - len(first)} more: --all."
    return titled(title, Group(made, Text(note, style="dim")))


def _many(count: int, subject: str) -> str:
    return f"{count} {subject if count == 1 else SUBJECTS[subject].plural}"


def on_trial(report: Report) -> RenderableType:
    """Rules that do not count yet: how they would come out."""
    made = table("Rule", *(f"{WORDS.get(o, o)} " for o in OUTCOMES))
    for rule in report.on_trial:
        made.add_row(rule.rule, *(str(rule.counts[o]) for o in OUTCOMES))
    note = "Judged, and counted nowhere above, until taken-in.yml takes them in."
    note += " startroll rules try <file> shows what one would find."
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
    line.append(f"  {finding.grade}", style=STYLE[finding.grade])
    line.append(f"  {finding.rule}")
    line.append(f"  {finding.priority.harm} {finding.priority.product:.3g}", style="dim")
    if finding.provisional:
        line.append("  provisional", style="italic")
    if finding.conceded:
        line.append("  conceded", style="italic")
    body = [Text(finding.sentence), Text(f"Do: {_first_step(finding.action)}")]
    if finding.concession:
        body.append(Text(_conceded(finding.concession)))
    if finding.stand_ins:
        body.append(Text("Assumes: " + "; ".join(finding.stand_ins), style="dim"))
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
        return titled("Can't tell", Text("No verdict is unknown."))
    first = report.fields if most is None else report.fields[:most]
    made = table("Field to read", "verdicts ", "majors ", "at ", "where it is read")
    for field in first:
        made.add_row(field.column, str(field.verdicts), str(field.majors), str(len(field.tags)), field.read_at)
    left = len(report.fields) - len(first)
    note = "at: positions. One verdict may wait for several fields."
    if left:
        note += f" {left} more fields: startroll to-collect --all."
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


def _last_line(report: Report) -> RenderableType:
    failed = sum(report.grades[g]["failed"] for g in GRADES)
    majors = report.grades["major"]["failed"]
    cant = sum(report.grades[g]["cant-tell"] for g in GRADES)
    conceded = sum(report.conceded.values())
    borne = f", {conceded} of them conceded" if conceded else ""
    if not report.scope.positions:
        return Group(
            Text(), Text("There is no position yet: nothing was judged. startroll take-in reads a list.", style="bold")
        )
    text = f"{failed} failed ({majors} major){borne}, {cant} unknown."
    if report.findings:
        first = report.findings[0]
        follow = Text(f"startroll explain {first.tag} {first.rule}", no_wrap=True, overflow="ignore")
        return Group(Text(), Text(f"{text} Next:", style="bold"), follow)
    return Group(Text(), Text(text, style="bold"))


def _to_read(name: str, tags: tuple[str, ...]) -> str:
    at = f" of {few(tags)}" if tags else ""
    return f"{name}{at} (read at {read_at(name)})"


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
        parts.append(Text(f"Margin {shown(finding.margin, finding.margin_unit)}"))
    if finding.stand_ins and finding.outcome in ("passed", "failed"):
        parts.append(Text("It assumes:"))
        parts += [Padding(Text(stand_in), (0, 0, 0, 2)) for stand_in in finding.stand_ins]
    clauses = table("Clause", "With the values", "Holds")
    for text, valued, truth in finding.clauses:
        clauses.add_row(text, valued, {True: "yes", False: "no", None: "can't tell"}[truth])
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


def at_position(tag: str, verdicts: list[tuple[str, str, str, str]]) -> RenderableType:
    """Every rule's outcome at one position: failed first, then what is unknown."""
    made = table("Rule", "Grade", "Outcome")
    order = {outcome: place for place, outcome in enumerate(OUTCOMES)}
    for rule, grade, outcome, _ in sorted(verdicts, key=lambda v: (order[v[2]], v[0])):
        made.add_row(rule, grade, WORDS.get(outcome, outcome))
    return titled(f"{tag}: {len(verdicts)} rules", made)
