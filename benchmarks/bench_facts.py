"""Time and memory of the facts: built whole, and again after one edit.

Run by hand: python benchmarks/bench_facts.py [positions]
"""

import random
import resource
import sys
import tempfile
import time
from itertools import islice
from pathlib import Path

from register.facts.assumptions import load_assumptions
from register.facts.build import refresh
from register.facts.standard_tables import load_tables
from register.resources import rules_folder
from register.store.database import create, opened, writing

KINDS = ("across-the-line", "star-delta", "soft starter", "drive")


def rows(count, seed=1):
    """Invented positions with all that is installed, one value in seven blank."""
    chance = random.Random(seed)

    def maybe(value):
        return value if chance.random() > 0.15 else None

    for i in range(count):
        tag = f"P-{i:07d}"
        hp = chance.choice((1, 5, 10, 25, 50, 100, 200))
        yield {
            "position": (
                tag,
                maybe("pump"),
                f"area {i % 20}",
                f"MCC-{i % 50}",
                maybe("essential"),
                maybe(6.0),
                maybe(35.0),
            ),
            "motor": (
                f"m{i}",
                tag,
                maybe(hp * 0.7457),
                maybe(460.0),
                maybe(1.25 * hp),
                maybe(3),
                maybe(60.0),
                maybe(4),
                maybe(1.15),
                maybe(92.0),
                maybe(0.84),
            ),
            "device": (f"d{i}", f"model {i % 300}", tag, "in service"),
            "setting": (f"d{i}", "2025-03-01", maybe("current limit"), maybe(1.25 * hp)),
            "protection": (tag, maybe("inverse-time breaker"), maybe(2.5 * hp), maybe("device")),
            "record": (tag, "bump test", f"20{10 + i % 15}-05-01", "passed"),
        }


COLUMNS = {
    "position": "tag, description, area, bus, criticality, starts_per_hour, ambient_c",
    "motor": "motor, tag, power_kw, motor_voltage_v, fla_a, phases, motor_frequency_hz, poles,"
    " service_factor, efficiency_pct, power_factor",
    "device": "device, model, tag, device_status",
    "setting": "device, setting_recorded_on, start_mode, fla_set_a",
    "protection": "tag, protection_kind, protection_rating_a, overload_place",
    "record": "tag, record_kind, done_on, result",
}


def fill(db, count):
    """Put that many positions into an empty register."""
    with writing(db, reason="rated for a measurement"):
        db.conn.executemany("INSERT INTO bus (bus, bus_voltage_v) VALUES (?, 480)", [(f"MCC-{i}",) for i in range(50)])
        db.conn.executemany(
            "INSERT INTO model (model, device_kind, rated_current_a, overload_min_a, "
            "overload_max_a) VALUES (?, ?, ?, ?, ?)",
            [(f"model {i}", KINDS[i % 4], i + 1.0, i / 4 + 0.1, i + 1.0) for i in range(300)],
        )
        made = rows(count)
        while batch := list(islice(made, 10_000)):
            for table, names in COLUMNS.items():
                marks = ", ".join("?" * len(names.split(",")))
                db.conn.executemany(f"INSERT INTO {table} ({names}) VALUES ({marks})", [row[table] for row in batch])


def main(count):
    folder = rules_folder()
    method = {"tables": load_tables(folder / "tables"), "assumptions": load_assumptions(folder / "assumptions.yml")}
    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / "plant.db"
        create(path, {"site": "Anywhere", "practice": "us", "site_ambient_c": 38.0})
        with opened(path, write=True) as db:
            fill(db, count)
            before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
            whole, facts = timed(db, method)
            print(f"{facts.rows} positions built whole: {whole:.2f} s")
            with writing(db, reason="one edit"):
                db.conn.execute("UPDATE motor SET fla_a = 12.25 WHERE motor = 'm7'")
            again, facts = timed(db, method)
            print(f"after one edit ({facts.rebuilt} row): {1000 * again:.1f} ms, 1/{whole / again:.0f} of that")
            print(f"nothing changed: {1000 * timed(db, method)[0]:.1f} ms")
        size = path.stat().st_size / 2**20
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"peak memory {peak:.0f} MiB ({before:.0f} before the build), file {size:.0f} MiB")


def timed(db, method):
    start = time.perf_counter()
    facts = refresh(db, **method)
    return time.perf_counter() - start, facts


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
