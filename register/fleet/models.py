"""Models, settings and years over all plants."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from register.fleet.coded import Coded, coded
from register.fleet.kept import Kept
from register.fleet.model import ModelRow, Outlier, Year

Keys = Sequence[tuple[str, str]]
COUNTED = ("positions", "critical", "failed", "in_store")
WORDS = ("kind", "lifecycle", "successor")
FEWEST = 3  # plants that have a model, before one can differ from the others


def model_rows(kept: Kept, keys: Keys, plants: Sequence[str]) -> list[ModelRow]:
    """Every model that is withdrawn or ending, or of which any has failed, those in most positions first.

    Parameters
    ----------
    keys : plant and day of the summaries.
    plants : those that could be judged, in the order of the cells, which is the league's.
    """
    place = {plant: number for number, plant in enumerate(plants)}
    texts = ("maker", "model", "kind", "lifecycle", "successor")
    found = coded(kept, "models", keys, texts, ("lead_time_days", *COUNTED))
    cell_of = np.array([place[plant] for plant in found.words["plant"]], np.int64)
    rows = [_model(found, own, cell_of, len(plants)) for own in found.grouped(("maker", "model"))]
    asked = [row for row in rows if row is not None]
    return sorted(asked, key=lambda r: (r.lifecycle != "withdrawn", -r.positions, -r.failed, r.maker, r.model))


def _model(found: Coded, rows: np.ndarray, cell_of: np.ndarray, plants: int) -> ModelRow | None:
    """One model; None where it can be bought and none has failed."""
    cells = np.zeros((plants, len(COUNTED)), np.int64)
    cells[cell_of[found.columns["plant"][rows]]] = np.column_stack([found.columns[name][rows] for name in COUNTED])
    positions, critical, failed, in_store = cells.sum(axis=0).tolist()
    told = np.unique(np.column_stack([found.columns[name][rows] for name in WORDS]), axis=0).tolist()
    words = [tuple(found.words[name][at] for name, at in zip(WORDS, own, strict=True)) for own in told]
    # Where plants say different things of one model, the word that comes last in its life counts.
    kind, _, successor = max(words)
    lifecycle = max((own[1] for own in words), key=("", "current", "ending", "withdrawn").index)
    if lifecycle not in ("withdrawn", "ending") and not failed:
        return None
    lead = found.columns["lead_time_days"][rows]
    lead = lead[~np.isnan(lead)]
    return ModelRow(
        model=found.word("model", rows[0]),
        maker=found.word("maker", rows[0]),
        kind=kind,
        lifecycle=lifecycle,
        successor=successor,
        plants=int((cells[:, 0] > 0).sum()),
        positions=positions,
        critical=critical,
        failed=failed,
        in_store=in_store,
        bare=int(((cells[:, 0] > 0) & (cells[:, 3] == 0)).sum()),
        lead_time_days=(float(lead.min()), float(lead.max())) if lead.size else None,
        cells=tuple(map(tuple, cells[:, [0, 2, 3]].tolist())),
    )


def outliers(kept: Kept, keys: Keys, names: Mapping[str, str]) -> list[Outlier]:
    """Each plant of which no device of a model is set as in the other plants, while those all agree.

    Parameters
    ----------
    names : by plant, what it is called.
    """
    found = coded(kept, "settings", keys, ("maker", "model", "setting", "value"), ("devices",))
    made = [_outlier(found, rows, names) for rows in found.grouped(("maker", "model", "setting"))]
    return sorted((o for o in made if o is not None), key=lambda o: (-o.plants, o.plant, o.maker, o.model, o.setting))


def _outlier(found: Coded, rows: np.ndarray, names: Mapping[str, str]) -> Outlier | None:
    """The one plant that sets a model otherwise; None where there is none, or are several."""
    values, plants = found.columns["value"][rows], found.columns["plant"][rows]
    told, holders = np.unique(values, return_counts=True)
    if len(told) < 2 or len(np.unique(plants)) < FEWEST:
        return None
    others = max(zip(holders.tolist(), (found.words["value"][own] for own in told), told.tolist(), strict=True))
    odd = np.flatnonzero(values != others[2])
    plant = plants[odd[0]]
    if (plants[odd] != plant).any() or (plants[values == others[2]] == plant).any():
        return None
    return Outlier(
        plant=names[found.words["plant"][plant]],
        maker=found.word("maker", rows[0]),
        model=found.word("model", rows[0]),
        setting=found.word("setting", rows[0]),
        value=" or ".join(sorted({found.word("value", row) for row in rows[odd]})),
        devices=int(found.columns["devices"][rows[odd]].sum()),
        others=others[1],
        plants=others[0],
    )


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
