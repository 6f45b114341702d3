"""Write the sample plants: python samples/make.py [folder].

Everything follows from the scenes and a fixed seed, so that two runs write the same files.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path
from random import Random

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

from making import demo_faults, small_faults  # noqa: E402
from making.asfound import write_workbook  # noqa: E402
from making.catalogue import model  # noqa: E402
from making.faults import Fault, seed  # noqa: E402
from making.holes import dig, hide_names  # noqa: E402
from making.places import places  # noqa: E402
from making.readme import readme  # noqa: E402
from making.scenes import DEMO, SMALL, Scene  # noqa: E402
from making.stock import stock  # noqa: E402
from making.tables import tables, write  # noqa: E402

HOLES = 0.14
Seeded = list[tuple[str, str, str]]


def plant(scene: Scene, faults: tuple[Fault, ...], folder: Path) -> Seeded:
    """Write one plant to `folder`: clean positions, seeded with faults, then holed."""
    rng = Random(scene.folder)
    stand = places(scene, rng)
    entries = [model(p["letter"], p["rated_a"], practice=scene.practice) for p in stand]
    catalogue = {entry["model"]: entry for entry in entries}
    seeded = sorted(seed(stand, catalogue, faults) + weak_lineups(scene, stand))
    spares = stock(stand, rng)
    dig(stand, catalogue, rng, share=HOLES)
    hide_names(stand, catalogue, rng)
    found = tables(scene.site, list(scene.buses), stand, catalogue, spares)
    write(folder, found)
    with (folder / "seeded.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("tag", "rule", "note"))
        writer.writerows(seeded)
    if scene is DEMO:
        write_workbook(folder / "as-found.xlsx", found, rng)
    return seeded


def weak_lineups(scene: Scene, stand: list[dict]) -> Seeded:
    """The fault of a whole lineup, once for each position on it."""
    weak = {b["bus"] for b in scene.buses if b["fault_current_ka"] > b["lineup_withstand_ka"]}
    return [
        (p["tag"], "line-protection/lineup-withstands-fault", "bus bars braced for less")
        for p in stand if p["bus"] in weak
    ]  # fmt: skip


def main(target: Path = HERE) -> None:
    """Write every sample under `target`."""
    seeded = {
        scene.folder: plant(scene, faults, target / scene.folder)
        for scene, faults in ((DEMO, demo_faults.FAULTS), (SMALL, small_faults.FAULTS))
    }
    (target / "README.md").write_text(readme(seeded), encoding="utf-8")


if __name__ == "__main__":
    main(*map(Path, sys.argv[1:2]))
