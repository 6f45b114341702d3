"""A plan of replacements as a workbook."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from register import columns
from register.planning.years.plan import Plan
from register.reports.book import Chart, Link, Sheet, book_of, widths, worked_out
from register.reports.terminal.plan import CAUTION, NOTE, outstanding


def planbook(made: Plan) -> bytes:
    """The whole plan; the same plan gives the same bytes."""
    title = f"Replacements at {made.site}, planned on {made.today}"
    return book_of(_sheets(made), title=title, day=made.today)


def _sheets(made: Plan) -> Iterator[Sheet]:
    price = f"price {made.currency}".strip()
    yield Sheet(
        "plan",
        widths(
            f"year 6,tag 14,description 28,area 20,criticality 12,old device 16,"
            f"old model 18,new model 18,from store 16,{price} 12,delivered d 11,"
            "risk now h/a 12,risk taken away h 18,likelihood 60,consequence 70,corrects 50,"
            "can't tell 60,read before ordering 60,risk sharper once read 40"
        ),
        _items(made),
        2,
        "years",
        printed=14,
    )
    yield _bought(made, price)
    yield Sheet(
        "years",
        widths(
            "after year 10,spent 12,replaced 10,spares bought 14,risk h/a 12,"
            "risk without the plan h/a 22,majors failed 14,checks outstanding 12,can't tell 11,"
            "corrected 10,new majors 11"
        ),
        _years(made),
        1,
        "plan",
        charts=_charts(made),
    )
    yield Sheet("changes", widths("after year 10,tag 14,rule 44,what 12"), _changes(made), 1, "years")
    yield Sheet(
        "settings", widths("tag 14,new model 18,setting 26,value 14,unit 8,meaning 60"), _settings(made), 1, "plan"
    )
    yield _not_planned(made)
    yield Sheet("basis", widths("what 30,is 120"), _basis(made), 0, "plan")


def _bought(made: Plan, price: str) -> Sheet:
    return Sheet(
        "spares",
        widths(
            f"year 6,model 18,kind 16,number 8,{price} 12,delivered d 11,risk taken away h 18,"
            "failures that find one % 22,positions 12,tags 70"
        ),
        _spares(made),
        2,
        "years",
        printed=10,
    )


def _not_planned(made: Plan) -> Sheet:
    return Sheet(
        "not planned",
        widths(
            "tag 14,criticality 12,risk now h/a 12,"
            "would take away h 18,why not 70,fields to read 30,likelihood 60,consequence 70"
        ),
        _left(made),
        1,
        "plan",
        printed=6,
    )


def _items(made: Plan) -> Iterator[Sequence[Any]]:
    for item in made.items:
        new = item.candidate
        yield (
            item.year,
            item.tag,
            item.description,
            item.area,
            item.criticality,
            item.old_device,
            item.old_model,
            new.model,
            new.stored,
            item.price,
            _known(new.lead_time_days),
            worked_out(item.risk.now),
            worked_out(item.taken_away),
            item.risk.likelihood,
            item.risk.consequence,
            ", ".join(new.clears),
            ", ".join(new.open),
            ", ".join(new.to_read),
            ", ".join(item.risk.to_read),
        )


def _spares(made: Plan) -> Iterator[Sequence[Any]]:
    for one in made.spares:
        yield (
            one.year,
            one.model,
            one.kind,
            one.nth,
            one.price,
            _known(one.lead_time_days),
            worked_out(one.taken_away),
            worked_out(one.found_pct),
            len(one.tags),
            ", ".join(one.tags),
        )


def _years(made: Plan) -> Iterator[Sequence[Any]]:
    first: dict[int, int] = {}
    for number, item in enumerate(made.items, 1):
        first.setdefault(item.year, number)
    for end in made.ends:
        due = outstanding(made.ends, end.year)
        yield (
            Link(end.year, "plan", first[end.year]) if end.year in first else end.year,
            end.spent,
            end.replaced,
            end.bought,
            worked_out(end.risk),
            worked_out(end.risk_unplanned),
            end.majors - due,
            due,
            end.cant_tell,
            len(end.cleared),
            len(end.new),
        )


def _charts(made: Plan) -> tuple[Chart, ...]:
    """The risk at the end of each year, with and without the plan."""
    if not made.ends:
        return ()
    last = len(made.ends)
    title = "Risk after each year, weighted h/a, with the plan and without"
    return (Chart(title, 0, (4, 5), 1, last, (last + 2, 1), colours=("#1F6F54", "#A83A1C"), kind="line"),)


def _changes(made: Plan) -> Iterator[Sequence[Any]]:
    for end in made.ends:
        for word, verdicts in (("corrected", end.cleared), ("new", end.new), ("outstanding", end.outstanding)):
            for tag, rule in verdicts:
                yield end.year, tag, rule, word


def _settings(made: Plan) -> Iterator[Sequence[Any]]:
    for item in made.items:
        for name, value in item.candidate.settings.items():
            column = columns.column(name)
            yield item.tag, item.candidate.model, name, value, column.unit, column.sentence


def _left(made: Plan) -> Iterator[Sequence[Any]]:
    for one in made.left:
        yield (
            one.tag,
            one.criticality,
            worked_out(one.risk.now),
            worked_out(one.risk.taken_away()[0]),
            one.why,
            ", ".join(one.to_read),
            one.risk.likelihood,
            one.risk.consequence,
        )


def _basis(made: Plan) -> Iterator[Sequence[Any]]:
    yield "site", made.site
    yield "planned on", made.today
    yield "years", made.years
    yield "budget a year", made.budget
    yield "currency", made.currency or "unknown"
    yield "replacements a year", "no limit" if made.outages is None else made.outages
    yield "best choice better by at most, %", made.better_pct
    yield "devices no better for it", made.sound
    for kind, told in made.rates:
        yield f"failures a year, {kind}", told
    yield "how to read it", NOTE
    yield "caution", CAUTION


def _known(value: float | None) -> float | str:
    return "unknown" if value is None else value
