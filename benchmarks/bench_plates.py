"""100 nameplates drawn with known truth (as new, dark, tilted, worn, glare), photographed, read, accepted.

Counts what is read right, wrong, not at all; what of the wrong the plate itself contradicts; and what a person who
accepts every proposal by its name alone, without looking, would have written wrong. Needs the extra `photo`:
    PYTHONPATH=tests/helpers python benchmarks/bench_plates.py [HOW MANY]
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from pathlib import Path
from random import Random
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "helpers"))

import drawn_plate

from register.errors import StartrollError
from register.intake.nameplate.accept import accept, proposed
from register.intake.nameplate.model import PlateRead
from register.intake.nameplate.photo import read_photograph
from register.store.database import create, opened, writing
from register.store.queries import rows_at

SEED = 20261129
Tally = dict[str, Counter[str]]


def main(count: int) -> None:
    tallies: Tally = {harm: Counter() for harm in drawn_plate.HARMS}
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "plates.db"
        create(place, {"site": "Oldmarrow Works", "practice": "iec"})
        with opened(place, write=True) as db:
            for number in range(count):
                one(db, Path(folder), number, tallies)
                if number % 25 == 24:
                    table(tallies)


def table(tallies: Tally) -> None:
    words = ("right", "wrong", "several", "unread", "wrong doubted", "wrong unchecked", "wrong agrees", "written wrong")
    print(f"{'':10}" + "".join(f"{word:>17}" for word in (*words, "written right")))
    for harm, tally in {**tallies, "all": sum(tallies.values(), Counter())}.items():
        print(f"{harm:10}" + "".join(f"{tally[word]:>17}" for word in (*words, "written right")))


def one(db: Any, folder: Path, number: int, tallies: Tally) -> None:
    """Draw, read and accept one plate."""
    chance = Random(SEED + number)
    harm = drawn_plate.HARMS[number % len(drawn_plate.HARMS)]
    form = list(drawn_plate.FORMS)[number // len(drawn_plate.HARMS) % len(drawn_plate.FORMS)]
    plate = drawn_plate.drawn(chance, form)
    path = folder / f"plate-{number}.png"
    drawn_plate.picture(plate, chance, harm).save(path)
    tag = f"M-{number}"
    with writing(db, reason="drawn"):
        db.conn.execute("INSERT INTO position (tag) VALUES (?)", [tag])
    read = proposed(read_photograph(path), db, tag)
    known = {p.column: p for p in read.proposals}
    for name, truth in plate.truth.items():
        found = known.get(name)
        if found is None:
            kind = "unread"
        elif found.value is None:
            kind = "several"
        else:
            kind = "right" if same(found.value, truth) else "wrong"
            if kind == "wrong":
                state = {"doubted": "doubted", "agrees": "agrees"}.get(found.state, "unchecked")
                tallies[harm][f"wrong {state}"] += 1
                print(f"{path.name} {form} {harm}: {name} {found.value} for {truth}, {found.state}")
        tallies[harm][kind] += 1
    extra = set(known) - set(plate.truth)
    for name in extra:
        print(f"{path.name} {form} {harm}: {name} {known[name].readings} is not on the plate")
        tallies[harm]["wrong"] += 1
    careless(db, read, plate.truth, tallies[harm])


def careless(db: Any, read: PlateRead, truth: dict[str, Any], tally: Counter[str]) -> None:
    """Accept each proposal by name alone; count what the register then holds."""
    for proposal in read.proposals:
        try:
            with writing(db, reason="plate read"):
                accept(db, read, [proposal.column])
        except StartrollError:
            continue
    held = rows_at(db, read.tag or "").get("motor", {})
    for name, value in held.items():
        if value is not None and name in truth and not str(value).startswith("unmarked"):
            tally["written right" if same(value, truth[name]) else "written wrong"] += 1


def same(value: Any, truth: Any) -> bool:
    if isinstance(truth, str):
        return bool(value == truth)
    return abs(value - truth) <= 1e-4 * abs(truth)


if __name__ == "__main__":
    try:
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
    except StartrollError as error:
        sys.exit(str(error))
