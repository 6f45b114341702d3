"""The report as a workbook: every sheet but the first two, and what stands in their cells."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from register import columns
from register.audit.finding import Value
from register.audit.outline import OUTCOMES
from register.audit.report import Report, read_at
from register.reports.book import Link, Sheet, book_of, rounded, widths, worked_out
from register.reports.crew_sheet import NAME as CREW
from register.reports.crew_sheet import Crew, crew
from register.reports.first import rules_of, takes
from register.reports.workbook_summary import charts, summary
from register.text import steps, whole


def workbook(report: Report) -> bytes:
    """The whole report; the same report gives the same bytes."""
    title = f"Audit of {report.scope.site} on {report.scope.today}"
    return book_of(sheets(report), title=title, day=report.scope.today)


# Sheet: headings with their widths.
# fmt: off
COLUMNS = {
    "findings": "tag 12,description 22,area 16,bus 10,criticality 11,grade 12,rule 38,finding 76,margin 10,"
        "margin unit 8,priority 9,takes 14,action 110,caution 80,provisional 11,assumes 60,concession 50,basis 110",
    "values": "tag 14,rule 34,column 26,meaning 44,value 16,unit 8,comes from 50",
    "can't tell": "tag 14,area 20,grade 12,rule 34,fields to read 60",
    "fields to read": "field 26,meaning 50,unit 8,read at 34,verdicts 9,majors 9,positions 10,tags 60",
    "concessions": "tag 14,rule 34,stands 12,why 60,reason given 60,asked by 16,asked on 12,decided by 16,"
        "decided on 12,last day 12",
    "actions": "tag 14,rule 34,state 22,how that is known 60,to do 60,assigned to 16,assigned on 12,due 12,"
        "closed on 12,closed by 16,evidence 50",
    "rules": "rule 34,title 60,grade 12,failed 9,can't tell 10,passed 9,inapplicable 12,provisional 11,"
        "requires 70,basis 50",
    "to verify": "clause 70,seen 16,rules based on it 90,failed majors 9",
    "limits": "limit 30,value 10,unit 8,layer 10,at 16,meaning 60,basis or reason 60,by 14,on 12",
}
# fmt: on
PRINTED = 12  # columns of findings that A3 prints legibly: what to do is on the sheet to carry


def sheets(report: Report) -> Iterator[Sheet]:
    """The sheets in their order."""
    carried = crew(report)
    yield from (summary(report, carried), charts(report), carried.sheet())
    rows = (_values, _cant_tell, _fields, _concessions, _actions, _rules, _to_verify, _limits)
    made = dict(zip(list(COLUMNS)[1:], rows, strict=True))
    found = _findings(report, carried)
    yield Sheet("findings", widths(COLUMNS["findings"]), found, 1, "summary", printed=PRINTED)
    for name, of in made.items():
        yield Sheet(name, widths(COLUMNS[name]), of(report), 1, "summary")


def _findings(report: Report, carried: Crew) -> Iterator[Sequence[Any]]:
    rules = rules_of(report)
    values = 1
    for number, f in enumerate(report.findings):
        place = report.evidence.places.get(f.at, f.place)
        row = carried.row_of.get(number)
        yield (
            Link(f.at, CREW, row) if row else f.at,
            place.get("description"),
            place.get("area"),
            place.get("bus"),
            place.get("criticality"),
            f.grade,
            Link(f.rule, "values", values) if f.values or f.limits else f.rule,
            f.sentence,
            None if f.margin is None else worked_out(f.margin, [0.0]),
            f.margin_unit,
            round(f.priority.product, 1),
            takes(rules.get(f.rule)),
            "\n".join(steps(f.action)),
            " ".join(f.caution.split()),
            "yes" if f.provisional else "no",
            "; ".join(f.stand_ins),
            f.concession.why if f.concession else "",
            "; ".join(map(str, f.basis)),
        )
        values += len(f.values) + len(f.limits)


def _values(report: Report) -> Iterator[Sequence[Any]]:
    criteria = report.evidence.criteria
    units = {limit.name: limit.unit for limit in criteria.limits} if criteria else {}
    for f in report.findings:
        compared = [v.value for v in f.values if isinstance(v.value, float | int)]
        compared += [value for value, _, _ in f.limits.values() if value is not None]
        for v in f.values:
            yield f.at, f.rule, v.column, _meaning(v.column), _known(v, compared), v.unit, v.origin
        for name, (value, layer, reason) in f.limits.items():
            yield (f.at, f.rule, f":{name}", "limit", value, units.get(name, ""), f"{layer}: {reason}")


def _cant_tell(report: Report) -> Iterator[Sequence[Any]]:
    for unknown in report.evidence.unknowns:
        area = report.evidence.places.get(unknown.at, {}).get("area")
        yield unknown.at, area, unknown.grade, unknown.rule, ", ".join(unknown.fields)


def _fields(report: Report) -> Iterator[Sequence[Any]]:
    for f in report.fields:
        yield (f.column, f.sentence, f.unit, read_at(f.column), f.verdicts, f.majors, len(f.tags), ", ".join(f.tags))


def _concessions(report: Report) -> Iterator[Sequence[Any]]:
    for c in report.concessions:
        yield (
            c.at,
            c.rule,
            c.status,
            c.why,
            c.reason,
            c.asked_by,
            c.asked_on,
            c.decided_by,
            c.decided_on,
            c.expires_on,
        )


def _actions(report: Report) -> Iterator[Sequence[Any]]:
    for a in report.actions:
        yield (
            a.at,
            a.rule,
            a.state,
            a.why,
            a.task,
            a.assigned_to,
            a.assigned_on,
            a.due_on,
            a.closed_on,
            a.closed_by,
            a.evidence,
        )


def _rules(report: Report) -> Iterator[Sequence[Any]]:
    criteria = report.evidence.criteria
    texts = {rule.id: rule for rule in criteria.rules} if criteria else {}
    for rule in report.rules:
        whole = texts.get(rule.rule)
        more = (whole.requires, "; ".join(map(str, whole.basis))) if whole else ()
        yield (rule.rule, rule.title, rule.grade, *(rule.counts[o] for o in OUTCOMES), rule.provisional, *more)


def _to_verify(report: Report) -> Iterator[Sequence[Any]]:
    for v in report.to_verify:
        yield v.clause, v.seen, ", ".join(v.rules), v.failed_majors


def _limits(report: Report) -> Iterator[Sequence[Any]]:
    criteria = report.evidence.criteria
    for limit in criteria.limits if criteria else ():
        yield (limit.name, limit.value, limit.unit, "pack", "", limit.sentence, str(limit.basis))
        for laid in criteria.overrides:
            if laid.limit == limit.name:
                yield (
                    limit.name,
                    laid.value,
                    limit.unit,
                    laid.layer,
                    laid.at,
                    limit.sentence,
                    laid.reason,
                    laid.by,
                    laid.on,
                )


def _known(of: Value, compared: list[float]) -> Any:
    """What a person entered as it stands, what was worked out with the digits that tell it from what it is held to."""
    if of.value is None:
        return "unknown"
    column = columns.column(of.column)
    if isinstance(of.value, float):
        return worked_out(of.value, compared) if column.origin == "derived" else rounded(of.value)
    # A trip class of 20 is a number; one of 10A is not.
    return int(of.value) if column.choices and whole(str(of.value)) >= 0 else of.value


def _meaning(name: str) -> str:
    return columns.column(name).sentence
