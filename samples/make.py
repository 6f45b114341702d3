"""Write the sample plants: python samples/make.py [folder].

Everything follows from the scenes and a fixed seed, so that two runs write the same files.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterable
from dataclasses import astuple
from pathlib import Path
from random import Random

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

from making import demo_faults, newer_faults, small_faults  # noqa: E402
from making.apart import spoil_lineups, spoil_store  # noqa: E402
from making.asfound import refused, write_workbook  # noqa: E402
from making.catalogue import model  # noqa: E402
from making.faults import Fault, seed  # noqa: E402
from making.holes import dig, hide_names, name_services  # noqa: E402
from making.places import places  # noqa: E402
from making.programme import programme  # noqa: E402
from making.readme import readme  # noqa: E402
from making.scenes import DEMO, SMALL, Scene  # noqa: E402
from making.service import seen_in_order  # noqa: E402
from making.stock import stock  # noqa: E402
from making.tables import tables, write  # noqa: E402

HOLES = 0.21
SEEDED = ("tag", "rule", "note")
REFUSED = ("sheet", "column", "typed", "tag")
Seeded = list[tuple[str, str, str]]


def plant(scene: Scene, faults: tuple[Fault, ...]) -> tuple[dict[str, list[dict]], Seeded]:
    """The tables of one plant: clean positions, seeded with faults, then holed."""
    rng = Random(scene.folder)
    stand = places(scene, rng)
    entries = [model(p["letter"], p["rated_a"], practice=scene.practice) for p in stand]
    catalogue = {entry["model"]: entry for entry in entries}
    buses = [dict(bus) for bus in scene.buses]
    seeded = spoil_lineups(buses, stand) if scene is DEMO else []
    seeded += seed(stand, catalogue, faults)
    spares = stock(stand, catalogue, rng)
    dig(stand, catalogue, rng, share=HOLES)
    hide_names(stand, catalogue, rng)
    name_services(stand)
    if scene is DEMO:
        seen_in_order(stand)
        seeded += spoil_store(spares, catalogue, practice=scene.practice)
    programme(stand)
    return tables(scene.site, buses, stand, catalogue, spares), sorted(seeded)


def main(target: Path = HERE) -> None:
    """Write every sample under `target`."""
    seeded = {}
    for scene, faults in ((DEMO, demo_faults.FAULTS + newer_faults.FAULTS), (SMALL, small_faults.FAULTS)):
        found, seeded[scene.folder] = plant(scene, faults)
        write(target / scene.folder, found)
        _write_list(target / scene.folder / "seeded.csv", SEEDED, seeded[scene.folder])
        if scene is DEMO:
            refusals = refused(found)
            write_workbook(target / scene.folder / "as-found.xlsx", found, refusals)
            _write_list(target / scene.folder / "refused.csv", REFUSED, map(astuple, refusals))
    (target / "README.md").write_text(readme(seeded, refusals), encoding="utf-8")


def _write_list(path: Path, headings: tuple[str, ...], rows: Iterable[tuple]) -> None:
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file, lineterminator="\n").writerows((headings, *rows))


if __name__ == "__main__":
    main(*map(Path, sys.argv[1:2]))
