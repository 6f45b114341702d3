"""Flat positions taken apart into the register's tables, and written as CSV files."""

from __future__ import annotations

import csv
from pathlib import Path
from random import Random

from making.places import PEOPLE
from register.columns import TABLES
from register.columns.practice import RECORD_KINDS

Row = dict[str, object]


def tables(
    site: Row, buses: list[Row], places: list[Row], catalogue: dict[str, Row], stock: list[Row]
) -> dict[str, list[Row]]:
    """The rows of every table of the register that the plant fills."""
    used = dict.fromkeys(p["model"] for p in places + stock if p.get("model"))
    found = {
        "site": [site],
        "bus": buses,
        "model": [catalogue[number] for number in sorted(used)],
        "record": _records(places),
        "event": _events(places),
    }
    for name in ("position", "motor", "device", "setting", "protection", "bypass", "control"):
        found[name] = [p for p in places if _stands(p, name)]
        if name in ("motor", "device"):
            found[name] += [item for item in stock if name in item]
    return found


def write(folder: Path, found: dict[str, list[Row]]) -> None:
    """One CSV file for each table, with the dictionary's columns as headings."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, rows in found.items():
        headings = [c.name for c in TABLES[name].columns if c.origin != "internal"]
        with (folder / f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow(headings)
            writer.writerows([text(row.get(h)) for h in headings] for row in rows)


def text(value: object) -> str:
    """A cell: a blank for what is not known, whole numbers without a point."""
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.10g}"
    return str(value)


def _stands(place: Row, table: str) -> bool:
    """True when the position has a row in that table: its key, and anything besides."""
    own = [c.name for c in TABLES[table].columns if c.name not in TABLES[table].key]
    keyed = all(place.get(key) is not None for key in TABLES[table].key)
    return keyed and any(place.get(name) is not None for name in own if name != "tag")


def _events(places: list[Row]) -> list[Row]:
    rows = [
        {"tag": place["tag"], "happened_on": day, "failure_mode": mode, "downtime_h": 1.5}
        for place in places
        for day, mode in place.get("events", ())
    ]
    return sorted(rows, key=lambda row: (row["happened_on"], row["tag"]))


def _records(places: list[Row]) -> list[Row]:
    rng = Random("who did it")
    rows = []
    for place in places:
        for kind in RECORD_KINDS.split("|"):
            stem = kind.replace(" ", "_")
            if place.get(f"{stem}_on"):
                rows.append(
                    {
                        "tag": place["tag"],
                        "record_kind": kind,
                        "done_on": place[f"{stem}_on"],
                        "done_by": rng.choice(PEOPLE),
                        "result": place.get(f"{stem}_result", "passed"),
                    }
                )
    rows += [record for place in places for record in place.get("history", ())]
    return sorted(rows, key=lambda row: (row["done_on"], row["tag"], row["record_kind"]))
