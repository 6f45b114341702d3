"""Write a sample plant many times over: python samples/copies.py demo-plant 100 folder.

Every copy but the first has its tags, lineups and serials suffixed, in all tables; models are the same,
as a plant has many devices of one model. What a copy holds is else the same, so that it is judged the same.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
# The columns that name a row, or refer to one, and are not shared by the copies.
OWN = {"tag", "bus", "fed_from", "motor", "device"}
ONCE = {"site", "model"}
NOT_TABLES = {"seeded", "refused"}


def copies(plant: Path, count: int, folder: Path) -> list[Path]:
    """The files written: each table of the plant `count` times over, in a folder of its own."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for source in sorted(plant.glob("*.csv")):
        if source.stem in NOT_TABLES:
            continue
        with source.open(encoding="utf-8", newline="") as file:
            headings, *rows = csv.reader(file)
        path = folder / source.name
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(headings)
            for number in range(1 if source.stem in ONCE else count):
                writer.writerows(_suffixed(row, headings, number) for row in rows)
        written.append(path)
    return written


def _suffixed(row: list[str], headings: list[str], number: int) -> list[str]:
    if not number:
        return row
    return [f"{text}.{number}" if text and name in OWN else text for name, text in zip(headings, row, strict=True)]


if __name__ == "__main__":
    plant, count, folder = sys.argv[1:]
    for path in copies(HERE / plant, int(count), Path(folder)):
        print(path)
