"""Many registers to one report: found, summarised or reused, put together."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import ExitStack
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from register.errors import Problem, StartrollError
from register.fleet.asked import Asked, judged_by
from register.fleet.confidential import nameless
from register.fleet.counts import counts
from register.fleet.engine import Engine, grouped
from register.fleet.extra import needed
from register.fleet.failures import failure_rows, rates, shared_rows, watched
from register.fleet.kept import Kept, Known
from register.fleet.league import MOST_NAMED, rule_rows, standings
from register.fleet.model import HARMS, FleetReport, Plant, Refused
from register.fleet.models import model_rows, outliers, to_read, years
from register.fleet.paragraphs import paragraphs
from register.fleet.places import Place, stamp
from register.fleet.places import found as found_at
from register.fleet.rates_file import rates_file

Progress = Callable[[int, int], None]
HEADS = (
    "place",
    "site",
    "practice",
    "register_id",
    "reason",
    "remedy",
    "notes",
    "positions",
    "verdicts",
    "own_rules",
    "program",
)

ONE_CORE = Engine()


def roll_up(
    places: Iterable[str],
    asked: Asked,
    *,
    engine: Engine = ONE_CORE,
    keep_in: Path | None = None,
    confidential: bool = False,
    progress: Progress | None = None,
) -> FleetReport:
    """One report on all registers of some places.

    Parameters
    ----------
    places : files, folders, patterns and addresses.
    keep_in : a folder in which summaries are kept, and from which those that still hold are reused.
    confidential : plants by number, no tag, no name.
    progress : told how many registers are done, of how many.

    Raises StartrollError where there is no register, or none that could be judged.
    """
    for library in ("pyarrow", "pyarrow.parquet"):
        needed(library)
    with ExitStack() as stack:
        registers = stack.enter_context(found_at(places))
        folder = keep_in or Path(stack.enter_context(TemporaryDirectory(prefix="startroll-fleet-")))
        kept = Kept(folder, packed=True)
        stack.enter_context(kept.alone())
        keys, reused = _mapped(registers, asked, engine, kept, progress)
        made = reduced(kept, keys, asked, reused=reused)
        kept.tidy()
    return nameless(made) if confidential else made


def _mapped(
    registers: Sequence[Place], asked: Asked, engine: Engine, kept: Kept, progress: Progress | None
) -> tuple[list[tuple[str, str]], int]:
    """Plant and day of every register, its summary kept; and how many were reused."""
    days, known = _reusable(registers, asked, kept.heads())
    reused = len(days)
    waiting = [place for place in registers if place.key not in days]
    told = progress or (lambda done, of: None)
    told(reused, len(registers))
    for part in engine.run(grouped(waiting, asked, known)) if waiting else ():
        kept.write_part(part)
        days |= {one.plant: one.day for one in part.summaries}
        reused += sum(not one.files for one in part.summaries)
        told(len(days), len(registers))
    return [(place.key, days[place.key]) for place in registers], reused


def _reusable(
    registers: Sequence[Place], asked: Asked, heads: Mapping[str, list[Known]]
) -> tuple[dict[str, str], dict[str, Known]]:
    """The day of each summary that still holds; and for the others what is kept, to be held against the file."""
    hashes: dict[Path | None, str] = {}
    days, known = {}, {}
    today = asked.today.isoformat() if asked.today else None
    for place in registers:
        own = [one for one in heads.get(place.key, ()) if one.is_of(today)]
        if not own:
            continue
        if place.own_rules not in hashes:
            try:
                hashes[place.own_rules] = judged_by(asked.packs(place.own_rules), asked)
            except StartrollError:
                hashes[place.own_rules] = ""  # judging it says what is wrong with its rules
        (one,) = own
        if one.judged_by == hashes[place.own_rules]:
            if one.stamp and one.stamp == stamp(place.path):
                days[place.key] = one.day
            else:
                known[place.key] = one
    return days, known


def reduced(kept: Kept, keys: Sequence[tuple[str, str]], asked: Asked, *, reused: int = 0) -> FleetReport:
    """One report of summaries that are kept: in whatever order they were made, it comes out the same."""
    heads = [row for part in kept.read("plants", keys, HEADS) for row in part.to_pylist()]
    refused = [Refused(h["place"], h["reason"], h["remedy"] or "") for h in heads if h["reason"]]
    judged = [head for head in heads if not head["reason"]]
    if not judged:
        problems = [Problem(one.reason, one.remedy, one.place) for one in refused]
        raise StartrollError(problems, summary="no register could be judged")
    plants = _plants(judged)
    days = [head["day"] for head in judged]
    return FleetReport(
        days=(min(days), max(days)),
        program=judged[0]["program"],
        pack=_pack_told(asked),
        positions=sum(plant.positions for plant in plants),
        verdicts=sum(head["verdicts"] for head in judged),
        refused=tuple(refused),
        years=tuple(years(kept, keys)),
        twins=_twins(judged, plants),
        reused=reused,
        **_of_verdicts(kept, keys, plants, asked),
        **_of_failures(kept, keys, plants, asked, judged),
    )


def _of_verdicts(kept: Kept, keys: Sequence[tuple[str, str]], plants: Sequence[Plant], asked: Asked) -> dict[str, Any]:
    """The league, and what is shown in its order."""
    by_rules = counts(kept, keys, [plant.key for plant in plants])
    by = "fleet" if "fleet" in by_rules else "own"
    league = standings(
        plants, by_rules[by], by_rules["own"] if by == "fleet" else None, to_read(kept, keys, MOST_NAMED)
    )
    row_of = {plant.key: row for row, plant in enumerate(plants)}
    order = [row_of[one.plant.key] for one in league]
    titles = _titles(kept, keys, asked)
    models = model_rows(kept, keys, [one.plant.key for one in league])
    odd = outliers(kept, keys, {plant.key: plant.name for plant in plants})
    totals = {name: int(by_rules[by].total(name).sum()) for name in ("failed", "passed", "cant_tell")}
    applies = sum(totals.values())
    return {
        "by": by,
        "known_pct": 100 * (applies - totals["cant_tell"]) / applies if applies else None,
        "majors": {harm: sum(one.majors[harm] for one in league) for harm in HARMS},
        "league": tuple(league),
        "rules": tuple(rule_rows(by_rules[by], order, titles)),
        "models": tuple(models),
        "outliers": tuple(odd),
        "paragraphs": tuple(paragraphs(league, titles, models, odd)),
    }


def _of_failures(
    kept: Kept, keys: Sequence[tuple[str, str]], plants: Sequence[Plant], asked: Asked, heads: Sequence[dict[str, Any]]
) -> dict[str, Any]:
    """Failure rates of all plants, and stock that plants could share."""
    names, places = ({plant.key: getattr(plant, told) for plant in plants} for told in ("name", "place"))
    seen = watched(kept, keys)
    found = rates(seen)
    registers = {head["plant"]: head["register_id"] for head in heads if head["register_id"]}
    data, left_out = rates_file(found, registers, made_on=max(head["day"] for head in heads))
    between = asked.days_between
    return {
        "rates_file": data,
        "rates_left_out": tuple(left_out),
        "failures": tuple(failure_rows(found, seen, names)),
        "shared": tuple(shared_rows(kept, keys, found, between, places, names)) if between else (),
        "days_between": between,
    }


def _plants(heads: Sequence[dict[str, Any]]) -> list[Plant]:
    """The plants, each under a name of its own."""
    times = Counter(head["site"] for head in heads)
    return [
        Plant(
            key=head["plant"],
            name=head["site"] if times[head["site"]] == 1 else f"{head['site']} ({head['plant']})",
            place=head["place"],
            day=head["day"],
            practice=head["practice"],
            positions=head["positions"],
            own_rules=bool(head["own_rules"]),
            notes=head["notes"] or "",
        )
        for head in heads
    ]


def _twins(heads: Sequence[dict[str, Any]], plants: Sequence[Plant]) -> tuple[tuple[str, ...], ...]:
    """Registers of one identity: a file and copies of it."""
    of: dict[str, list[str]] = defaultdict(list)
    for head, plant in zip(heads, plants, strict=True):
        if head["register_id"]:
            of[head["register_id"]].append(plant.name)
    return tuple(sorted(tuple(names) for names in of.values() if len(names) > 1))


def _titles(kept: Kept, keys: Sequence[tuple[str, str]], asked: Asked) -> dict[str, str]:
    """What is wrong where a rule fails, by rule; of the plants' own rules too."""
    titles: dict[str, str] = {}
    for part in kept.read("rules", keys, ("rule", "title_failed")):
        for row in part.to_pylist():
            titles.setdefault(row["rule"], row["title_failed"])  # of rules of one name that of the first plant
    return titles | {rule.id: rule.title_failed for pack in asked.packs(None).values() for rule in pack.rules}


def _pack_told(asked: Asked) -> str:
    pack = asked.packs(None)["fleet" if asked.fleet_rules else "own"]
    return f"{pack.name} {pack.version} ({pack.hash[:8]})"
