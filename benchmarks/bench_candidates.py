"""Candidates for a position out of a large catalogue, and for many failed positions at once.

Run by hand: python benchmarks/bench_candidates.py [models] [failed positions]
"""

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

import random
import sys
import tempfile
import time
from datetime import date
from functools import partial
from itertools import islice, product
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "samples"))
sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "helpers"))
sys.path.insert(0, str(Path(__file__).parent.parent))  # this copy, whichever is installed

import by_path
from making.catalogue import FAMILIES, STEPS_A, model
from sample_plant import Sample

from register.planning.replace.candidates import Finder
from register.rulebook.load.pack import load_pack
from register.store.database import opened, writing

TODAY = date(2026, 11, 25)
PLACED = ("motor", "device", "protection", "bypass", "control")


def catalogue(count, seed=1):
    """Invented device types: the sample plants' families at ratings and prices of many makers."""
    chance = random.Random(seed)
    every = product(range(count), STEPS_A, FAMILIES)
    for number, (round_, step, letter) in enumerate(islice(every, count)):
        made = model(letter, step, practice="us")
        share = 0.9 + 0.2 * chance.random()
        made |= {
            "model": f"type {number:05d}",
            "model_maker": f"maker {round_ % 20}",
            "rated_current_a": round(share * step, 1),
            "price": round(made["price"] * (0.7 + 0.6 * chance.random())),
            "lead_time_days": chance.choice((7, 14, 28, 56)),
        }
        yield made


def enlarged(db, models, failed):
    """The demo plant with that many models more, and again and again until so many have failed."""
    with writing(db, reason="rated for a measurement"):
        db["model"].insert_all(catalogue(models))
        tags = [row[0] for row in db.execute("SELECT tag FROM position ORDER BY tag")]
        while db.execute("SELECT count(*) FROM position").fetchone()[0] < failed:
            again(db, db.execute("SELECT count(*) FROM position").fetchone()[0] // len(tags))
        db.execute(
            "UPDATE device SET device_status = 'failed' WHERE device IN (SELECT device FROM device"
            " WHERE tag IS NOT NULL AND device_status IS NOT 'scrapped' ORDER BY tag LIMIT ?)",
            [failed],
        )


def again(db, number):
    """Every position of the plant once more, with all that is installed."""
    for name in ("position", *PLACED):
        rows = list(db.query(f"SELECT * FROM {name} WHERE tag NOT LIKE '% %'"))
        for row in rows:
            row["tag"] = f"{row['tag']} {number}"
            if name in ("motor", "device"):
                row[name] = f"{row[name]} {number}"
        db[name].insert_all(rows)
    for row in list(db.query("SELECT * FROM setting WHERE device NOT LIKE '% %'")):
        device = f"{row['device']} {number}"
        if db.execute("SELECT 1 FROM device WHERE device = ?", [device]).fetchone():
            db["setting"].insert(row | {"device": device})


def timed(work):
    """Seconds, and the result."""
    begun = time.perf_counter()
    result = work()
    return time.perf_counter() - begun, result


def main(models, failed):
    with tempfile.TemporaryDirectory() as place:
        sample = Sample("demo-plant", Path(place))
        with opened(sample.path, write=True) as db:
            enlarged(db, models, failed)
            one(db)
        clock, made = timed(lambda: by_path.for_failed(sample.path, today=TODAY))
        fitting = sum(told.best is not None for told in made)
        print(
            f"{len(made)} failed positions, each of {made[0].tried} candidates: {clock:.1f} s;"
            f" {fitting} have a candidate that fails no major rule"
        )


def one(db, many=12):
    """Some positions, one at a time: how long each takes, and a bare pass of the facts."""
    pack = load_pack()
    tags = [row[0] for row in db.execute("SELECT tag FROM position ORDER BY tag")]
    took = []
    for tag in tags[:: len(tags) // many]:
        finder = Finder(db, [tag], pack=pack, today=TODAY)
        took.append((timed(partial(finder.ranked, [tag], top=5))[0], tag))
    took.sort()
    seconds, slowest = took[-1]
    finder = Finder(db, [slowest], pack=pack, today=TODAY)
    variants = [finder.catalogue.at(slowest, c) for c in finder.candidates]
    bare, _ = timed(partial(finder.trials.facts, variants))
    print(
        f"{len(variants)} candidates at one position: median {took[len(took) // 2][0]:.2f} s,"
        f" slowest {seconds:.2f} s ({slowest})"
    )
    print(f"a bare pass of their facts {bare:.2f} s; the slowest is {seconds / bare:.1f} ×")


if __name__ == "__main__":
    sizes = [int(word) for word in sys.argv[1:]]
    main(*(sizes + [2_000, 200][len(sizes) :]))
