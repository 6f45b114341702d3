"""The roll-up of many plants as a workbook."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from register.columns import column
from register.fleet.model import HARMS, FleetReport, places
from register.reports.book import Sheet, book_of, widths
from register.reports.terminal.fleet import NOTE, TWINS, TWINS_NOTE, headline


def workbook(report: FleetReport) -> bytes:
    """The whole roll-up; the same one gives the same bytes."""
    return book_of(_sheets(report), title=f"{len(report.league)} plants", day=report.days[1])


def _sheets(report: FleetReport) -> Iterator[Sheet]:
    harms = ",".join(f"{harm} 10" for harm in HARMS)
    yield Sheet(
        "league",
        widths(
            f"place 6,plant 34,positions 10,{harms},majors for 100 10,unknown for 100 10,expected for 100 10,known % 8,"
            "provisional % 10,by own rules for 100 12,day 12,register 60"
        ),
        _league(report),
        2,
        "rules",
        printed=12,
    )
    yield Sheet(
        "rules",
        widths("rule 40,what is wrong 70,grade 12,harm 12,plants 8,failed 8,unknown 8"),
        [(r.rule, r.title, r.grade, r.harm, r.plants, r.failed, r.unknown) for r in report.rules],
        1,
        "league",
    )
    names = [one.plant.name for one in report.league]
    by_plant = widths("rule 40,plant 34,failed 8,passed 8,unknown 8")
    yield Sheet("rules by plant", by_plant, _cells(report.rules, names), 2, "rules")
    yield _models(report)
    by_plant = widths("model 20,plant 34,positions 10,failed 8,in store 8")
    yield Sheet("models by plant", by_plant, _installed(report, names), 2, "models")
    yield from _of_settings_and_years(report)
    yield Sheet("plants", widths("plant 34,in words 140"), [(p.plant, p.text) for p in report.paragraphs], 1, "league")
    yield Sheet(
        "not judged",
        widths("register 60,why 70,what to do 60"),
        [(r.place, r.reason, r.remedy) for r in report.refused],
        1,
        "league",
    )
    yield Sheet("basis", widths("what 30,is 120"), list(_basis(report)), 0, "league")


def _of_settings_and_years(report: FleetReport) -> Iterator[Sheet]:
    yield Sheet(
        "settings",
        widths("plant 34,model 20,maker 20,setting 44,set to 16,devices 8,the others 16,plants 8"),
        [
            (o.plant, o.model, o.maker, column(o.setting).sentence, o.value, o.devices, o.others, o.plants)
            for o in report.outliers
        ],
        1,
        "league",
    )
    yield Sheet(
        "shared spares",
        widths("model 20,devices 8,together 10,alone 8,held 8,enough % 10,way d 8,plants 8,which 100"),
        list(_shared(report)),
        1,
        "league",
    )
    yield Sheet(
        "failures",
        widths("kind 30,failures a device and year 60,more often than before? 60,more often at 60"),
        [(f.kind, f.rate, f.trend, ", ".join(f.more_often_at)) for f in report.failures],
        1,
        "league",
    )
    yield Sheet(
        "years",
        widths("year 8,plants 8,positions 10,majors 8,for 100 positions 12,known % 8"),
        [(y.year, y.plants, y.positions, y.majors, y.majors_per_100, y.known_pct) for y in report.years],
        1,
        "league",
    )


def _league(report: FleetReport) -> Iterator[tuple[Any, ...]]:
    for place, one in zip(places(report.league), report.league, strict=True):
        yield (
            *(place, one.plant.name, one.plant.positions, *(one.majors[harm] for harm in HARMS)),
            *(one.majors_per_100, one.unknown_per_100, one.expected_per_100, one.known_pct, one.provisional_pct),
            *(one.own_per_100, one.plant.day, one.plant.place),
        )


def _shared(report: FleetReport) -> Iterator[tuple[Any, ...]]:
    for one in report.shared:
        figures = one.devices, one.needed, one.alone, one.held, one.enough_pct, one.wait_days
        yield one.model, *figures, len(one.plants), ", ".join(one.plants)


def _cells(rows: Any, names: list[str]) -> Iterator[tuple[Any, ...]]:
    for row in rows:
        for name, (failed, passed, unknown) in zip(names, row.cells, strict=True):
            if failed:
                yield row.rule, name, failed, passed, unknown


def _models(report: FleetReport) -> Sheet:
    rows = [
        (
            *(m.model, m.maker, m.kind, m.lifecycle, m.successor, *(m.lead_time_days or (None, None))),
            *(m.plants, m.positions, m.critical, m.failed, m.in_store, m.bare),
        )
        for m in report.models
    ]
    return Sheet(
        "models",
        widths(
            "model 20,maker 20,kind 18,sold 12,successor 20,delivered d at least 10,delivered d at most 10,plants 8,"
            "positions 10,critical 8,failed 8,in store 8,plants with none held 12"
        ),
        rows,
        1,
        "league",
    )


def _installed(report: FleetReport, names: list[str]) -> Iterator[tuple[Any, ...]]:
    for row in report.models:
        for name, cell in zip(names, row.cells, strict=True):
            if any(cell):
                yield row.model, name, *cell


def _basis(report: FleetReport) -> Iterator[tuple[str, str]]:
    yield "the answer", headline(report)
    yield "how the league is ordered", NOTE
    yield "judged as on", " to ".join(dict.fromkeys(report.days))
    yield "rule pack", report.pack
    yield "program", f"startroll {report.program}"
    for names in report.twins:
        yield TWINS[0].lower() + TWINS[1:], f"{', '.join(names)}. {TWINS_NOTE}"
