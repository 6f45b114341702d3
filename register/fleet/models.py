"""Models, settings and years over all plants."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

from register.fleet.kept import Kept
from register.fleet.model import ModelRow, Outlier, Year

Keys = Sequence[tuple[str, str]]
COUNTED = ("positions", "critical", "failed", "in_store")
FEWEST = 3  # plants that have a model, before one can differ from the others


def model_rows(kept: Kept, keys: Keys) -> list[ModelRow]:
    """Every model that is withdrawn or ending, or of which any has failed, those in most positions first.

    The cells are in the order of `keys`, which is the league's.
    """
    place = {plant: number for number, (plant, _) in enumerate(keys)}
    found: dict[tuple[str, str], dict[str, Any]] = {}
    names = ("maker", "model", "kind", "lifecycle", "successor", "lead_time_days", *COUNTED)
    for part in kept.read("models", keys, names):
        for row in part.to_pylist():
            own = found.setdefault((row["maker"] or "", row["model"]), {"cells": {}, "words": set(), "lead": []})
            own["words"].add((row["kind"] or "", row["lifecycle"] or "", row["successor"] or ""))
            own["lead"] += [] if row["lead_time_days"] is None else [row["lead_time_days"]]
            own["cells"][place[row["plant"]]] = tuple(row[name] for name in COUNTED)
    rows = [_model(maker, model, own, len(keys)) for (maker, model), own in found.items()]
    asked = [row for row in rows if row.lifecycle in ("withdrawn", "ending") or row.failed]
    return sorted(asked, key=lambda r: (r.lifecycle != "withdrawn", -r.positions, -r.failed, r.maker, r.model))


def _model(maker: str, model: str, own: Mapping[str, Any], plants: int) -> ModelRow:
    cells = own["cells"]
    sums = [sum(cell[n] for cell in cells.values()) for n in range(len(COUNTED))]
    # Where plants say different things of one model, the word that comes last in its life counts.
    kind, _, successor = max(own["words"])
    lifecycle = max((words[1] for words in own["words"]), key=("", "current", "ending", "withdrawn").index)
    return ModelRow(
        model=model,
        maker=maker,
        kind=kind,
        lifecycle=lifecycle,
        successor=successor,
        plants=sum(cell[0] > 0 for cell in cells.values()),
        positions=sums[0],
        critical=sums[1],
        failed=sums[2],
        in_store=sums[3],
        bare=sum(cell[0] > 0 and cell[3] == 0 for cell in cells.values()),
        lead_time_days=(min(own["lead"]), max(own["lead"])) if own["lead"] else None,
        cells=tuple((c[0], c[2], c[3]) if (c := cells.get(n)) else (0, 0, 0) for n in range(plants)),
    )


def outliers(kept: Kept, keys: Keys, names: Mapping[str, str]) -> list[Outlier]:
    """Each plant of which no device of a model is set as in the other plants, while those all agree.

    Parameters
    ----------
    names : by plant, what it is called.
    """
    found: dict[tuple[str, str, str], dict[str, dict[str, int]]] = defaultdict(lambda: defaultdict(dict))
    one = {plant: plant for plant, _ in keys}  # the same text for each row of a plant, not millions
    for part in kept.read("settings", keys, ("maker", "model", "setting", "value", "devices")):
        columns = (part[name].to_pylist() for name in ("plant", "maker", "model", "setting", "value", "devices"))
        for plant, maker, model, setting, value, devices in zip(*columns, strict=True):
            found[maker or "", model, setting][value][one[plant]] = devices
    made = []
    for (maker, model, setting), values in found.items():
        plants = {plant for own in values.values() for plant in own}
        if len(values) < 2 or len(plants) < FEWEST:
            continue
        others, holders = max(values.items(), key=lambda item: (len(item[1]), item[0]))
        odd = plants - set(holders)
        if len(odd) != 1 or any(plant in own for plant in holders for v, own in values.items() if v != others):
            continue
        (plant,) = odd
        own = {value: by[plant] for value, by in values.items() if plant in by}
        value = " or ".join(sorted(own))
        made.append(Outlier(names[plant], maker, model, setting, value, sum(own.values()), others, len(holders)))
    return sorted(made, key=lambda o: (-o.plants, o.plant, o.maker, o.model, o.setting))


def years(kept: Kept, keys: Keys) -> list[Year]:
    """The audits that plants kept, by year: of each plant the last of the year."""
    last: dict[tuple[int, str], dict[str, Any]] = {}
    for part in kept.read("audits", keys, ("audited_on", "positions", "majors", "failed", "cant_tell", "asked")):
        for row in part.to_pylist():
            key = int(row["audited_on"][:4]), row["plant"]
            if key not in last or row["audited_on"] >= last[key]["audited_on"]:
                last[key] = row
    return [_year(year, [row for (y, _), row in last.items() if y == year]) for year in sorted({y for y, _ in last})]


def _year(year: int, rows: list[dict[str, Any]]) -> Year:
    positions, majors, asked, unknown = (sum(r[n] for r in rows) for n in ("positions", "majors", "asked", "cant_tell"))
    return Year(
        year=year,
        plants=len(rows),
        positions=positions,
        majors=majors,
        majors_per_100=100 * majors / positions if positions else 0.0,
        known_pct=100 * (asked - unknown) / asked if asked else None,
    )


def to_read(kept: Kept, keys: Keys, most: int) -> dict[str, list[tuple[str, int]]]:
    """For each plant so many blank fields that unknown verdicts read, those first that most majors wait for."""
    told: dict[str, list[tuple[str, int]]] = {}
    for part in kept.read("unknown", keys, ("field", "verdicts", "majors")):
        found: dict[str, list[tuple[int, int, str]]] = defaultdict(list)
        columns = (part[name].to_pylist() for name in ("plant", "majors", "verdicts", "field"))
        for plant, majors, verdicts, name in zip(*columns, strict=True):
            found[plant].append((-majors, -verdicts, name))
        told |= {plant: [(name, -verdicts) for _, verdicts, name in sorted(own)[:most]] for plant, own in found.items()}
    return told
