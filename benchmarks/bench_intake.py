"""Taking in 100,000 clean rows of a wide list, against a bare executemany of the same rows.

Run by hand: `python benchmarks/bench_intake.py [rows]`. Both write the same rows into the same
tables with their history triggers; the bare one does nothing else. Reading the file is outside
both; planning and applying are inside ours.
"""

import resource
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from register.columns import TABLES
from register.intake.sheet import Sheet
from register.intake.take_in import apply, plan_intake
from register.store.database import create, opened, writing

HEADINGS = [
    "Tag",
    "Service",
    "Area",
    "MCC",
    "HP",
    "Volts",
    "RPM",
    "FLA",
    "SF",
    "Code",
    "Serial",
    "Mfr",
    "Starter",
    "Starter S/N",
    "Cat No",
    "Breaker",
    "OL Setting",
    "Trip Class",
]


def rows(count: int) -> list[list[object]]:
    rng = np.random.default_rng(7)
    hp = rng.choice([1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 40, 50, 75, 100], count)
    fla = np.round(hp * 1.25 * rng.uniform(0.95, 1.02, count), 1)
    rpm = rng.integers(1740, 1790, count)
    return [
        [
            f"P-{i:06d}",
            f"Service {i % 5000}",
            f"Area {i % 40}",
            f"MCC-{i % 400}",
            float(hp[i]),
            460.0,
            float(rpm[i]),
            float(fla[i]),
            1.15,
            "G",
            f"S{i:08d}",
            f"Maker {i % 9}",
            "DOL",
            f"D{i:08d}",
            f"TYPE-{i % 60}",
            float(round(fla[i] * 2.5)),
            float(fla[i]),
            "10",
        ]
        for i in range(count)
    ]


def bare(folder: Path, plan) -> float:
    path = folder / "bare.db"
    create(path, {"site": "bench", "practice": "us"})
    with opened(path, write=True) as db:
        batches = []
        for name in TABLES:
            keys = plan.added.get(name)
            if keys:
                values = [plan.rows[name].values[k] for k in keys]
                names = list(dict.fromkeys(n for v in values for n in v))
                batches.append((name, names, [tuple(v.get(n) for n in names) for v in values]))
        start = time.perf_counter()
        with writing(db, reason="bench"):
            for name, names, lines in batches:
                marks = ", ".join("?" * len(names))
                db.conn.executemany(f"INSERT INTO {name} ({', '.join(names)}) VALUES ({marks})", lines)
        return time.perf_counter() - start


def main(count: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "ours.db"
        create(path, {"site": "bench", "practice": "us"})
        sheet = Sheet("bench.xlsx", "list", [HEADINGS, *rows(count)], "0", True)
        with opened(path, write=True) as db:
            start = time.perf_counter()
            plan = plan_intake(db, [sheet])
            planned = time.perf_counter() - start
            assert not plan.problems(), plan.problems()[:3]
            apply(db, plan, reason="bench")
            whole = time.perf_counter() - start
        floor = bare(Path(folder), plan)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{count} rows: plan {planned:.2f} s, plan and apply {whole:.2f} s,"
        f" bare executemany {floor:.2f} s, ratio {whole / floor:.2f},"
        f" peak {peak:.0f} MiB"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
