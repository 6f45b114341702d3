"""Write a fleet of registers: python samples/fleet.py folder --plants 40 --positions 180.

Every plant is the demo plant varied: a few variants are changed in depth (blanks, settings, models out of sale, years
of making) and their facts built; every plant is a copy of one of them with its own name, identity and failures, which
change no fact. The same arguments give registers that say the same.
"""

from __future__ import annotations

import argparse
import random
import shutil
import sqlite3
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing
from datetime import date, timedelta
from itertools import product
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

from copies import copies  # noqa: E402

from register.audit.results import report_of  # noqa: E402
from register.audit.session import AuditRequest, session  # noqa: E402
from register.intake.take_in import take_in  # noqa: E402
from register.planning.answers import sample_site  # noqa: E402
from register.store.database import create, opened, writing  # noqa: E402

DAY = date(2026, 11, 25)
OF_A_PLANT = 180  # positions of the demo plant
FIRST = ("Ombre", "Quarl", "Vesk", "Orrel", "Dunsk", "Brathe", "Yelm", "Corv", "Pellin", "Ashkar", "Tirr", "Wexen")
SECOND = ("cliff", "strand", "garth", "holm", "mere", "fold")
WORKS = ("Board Mill", "Pulp Works", "Water Works", "Lime Works", "Sugar House", "Grain Terminal")
BLANKED = {
    "motor": ("hot_stall_s", "locked_rotor_ratio", "efficiency_pct", "fla_a", "starts_per_hour_limit"),
    "position": ("load_inertia_kgm2", "starts_per_hour", "ambient_c", "criticality"),
    "protection": ("interrupting_ka", "protection_rating_a"),
    "setting": ("current_limit_xfla", "ramp_s", "start_time_limit_s"),
}
SET = {
    "comms_loss_action": ("stop", "run on"),
    "overload_reset": ("manual", "automatic"),
    "stop_mode": ("coast", "ramp"),
}


def fleet(
    folder: Path, plants: int, positions: int = OF_A_PLANT, *, variants: int = 6, facts: bool = True, kept: bool = False
) -> list[Path]:
    """The registers written: so many plants of so many positions each.

    Parameters
    ----------
    variants : how many plants differ in depth; the others differ by name and failures alone.
    facts : whether the facts lie in the files, as after an audit of each.
    kept : whether each keeps an audit of 2024 and of 2025, which makes the files larger by half.
    """
    folder.mkdir(parents=True, exist_ok=True)
    width = len(str(plants))
    with tempfile.TemporaryDirectory(prefix="startroll-fleet-") as scratch:
        base = _base(Path(scratch), positions)
        made = [_variant(base, number, facts=facts, kept=kept) for number in range(min(variants, plants))]
        paths = [folder / f"plant-{number + 1:0{width}}.db" for number in range(plants)]
        for number, (path, name) in enumerate(zip(paths, _names(), strict=False)):
            # The second plant alone is set as the second variant.
            others = made[:1] + made[2:]
            shutil.copyfile(made[1] if number == 1 else others[number % len(others)], path)
            _own(path, number, name)
    return paths


def _names() -> Iterator[str]:
    yield from (f"{a}{b} {works}" for works, b, a in product(WORKS, SECOND, FIRST))
    yield from (f"Works {number}" for number in range(1, 10**6))


def _base(scratch: Path, positions: int) -> Path:
    """The demo plant's register, with as many positions as asked for."""
    path, sheets = scratch / "base.db", scratch / "sheets"
    copies(HERE / "demo-plant", -(-positions // OF_A_PLANT), sheets)
    create(path, sample_site(sheets / "site.csv"))
    take_in(path, sorted(sheets.glob("*.csv")), reason="sample", author="sample")
    with opened(path, write=True) as db, writing(db, reason="as many as asked for", author="sample"):
        gone = f"(SELECT tag FROM position ORDER BY tag LIMIT -1 OFFSET {positions})"
        for table in ("record", "event", "protection", "bypass", "control"):
            db.conn.execute(f"DELETE FROM {table} WHERE tag IN {gone}")
        db.conn.execute(f"UPDATE device SET device_status = 'scrapped', tag = NULL WHERE tag IN {gone}")
        db.conn.execute(f"UPDATE motor SET motor_status = 'scrapped', tag = NULL WHERE tag IN {gone}")
        db.conn.execute(f"DELETE FROM position WHERE tag IN {gone}")
    return path


def _variant(base: Path, number: int, *, facts: bool, kept: bool) -> Path:
    """The base changed in depth, the more unknown the higher its number."""
    chance, path = random.Random(number), base.with_name(f"variant-{number}.db")
    shutil.copyfile(base, path)
    with opened(path, write=True) as db, writing(db, reason="varied", author="sample"):
        for table, names in BLANKED.items():
            key = {"motor": "motor", "setting": "device"}.get(table, "tag")
            keys = [row[0] for row in db.conn.execute(f"SELECT DISTINCT {key} FROM {table} ORDER BY 1")]
            for name in names:
                some = [one for one in keys if chance.random() < 0.05 * number]
                db.conn.executemany(f"UPDATE {table} SET {name} = NULL WHERE {key} = ?", [(one,) for one in some])
        models = [row[0] for row in db.conn.execute("SELECT model FROM model ORDER BY 1")]
        for name, values in SET.items():
            of_model = "(SELECT device FROM device WHERE model = ?)"
            sql = f"UPDATE setting SET {name} = ? WHERE {name} IS NOT NULL AND device IN {of_model}"
            db.conn.executemany(sql, [(values[number == 1], model) for model in models])
        for model in chance.sample(models, min(number, len(models))):
            db.conn.execute("UPDATE model SET lifecycle = 'withdrawn' WHERE model = ?", (model,))
        years = chance.randint(-3, 0)
        db.conn.execute("UPDATE device SET made_on = date(made_on, ?)", (f"{years} years",))
    for day in (date(2024, 11, 25), date(2025, 11, 25)) if kept else ():
        with session(path, AuditRequest(today=day), write=True) as audited:
            report_of(audited, keep_as="sample")
    if facts:
        with session(path, AuditRequest(today=DAY), write=True) as audited:
            audited.audit()
    return path


def _own(path: Path, number: int, name: str) -> None:
    """Give a copy its own name, identity and failures; no fact changes by them."""
    chance = random.Random(1000 + number)
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA synchronous = OFF")
        connection.execute("PRAGMA journal_mode = MEMORY")
        connection.execute("BEGIN")
        connection.execute("UPDATE identity SET register_id = ?", (f"{chance.getrandbits(128):032x}",))
        connection.execute("UPDATE site SET site = ?", (name,))
        there = {row[0] for row in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")}
        if "facts" in there:
            known = {row[1] for row in connection.execute("PRAGMA table_info(facts)")}
            if "site" in known:
                connection.execute("UPDATE facts SET site = ?", (name,))
        # A third failure at one position would be a fact: none is added where there are two.
        quiet = connection.execute(
            "SELECT device, tag FROM device WHERE tag IS NOT NULL AND device_status = 'in service'"
            " AND (SELECT count(*) FROM event WHERE event.tag = device.tag) < 2 ORDER BY device"
        ).fetchall()
        failing = chance.sample(quiet, min(len(quiet), round(len(quiet) * chance.choice((0.0, 0.02, 0.05, 0.1)))))
        connection.executemany(
            "INSERT INTO event (tag, happened_on, failure_mode, device) VALUES (?, ?, 'BRD', ?)",
            [(tag, str(DAY - timedelta(days=chance.randint(1, 1500))), device) for device, tag in failing],
        )
        if "facts" in there:
            connection.execute("UPDATE facts_state SET change_id = (SELECT max(change_id) FROM change)")
        connection.execute("COMMIT")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--plants", type=int, default=40)
    parser.add_argument("--positions", type=int, default=OF_A_PLANT)
    parser.add_argument("--kept", action="store_true", help="keep audits of two years in each")
    asked = parser.parse_args()
    for place in fleet(asked.folder, asked.plants, asked.positions, kept=asked.kept):
        print(place)
