"""Many random trials of two surveyors who take a copy along, work on it, and bring it back in both orders.

    .venv/bin/python benchmarks/bench_merge.py [TRIALS] [FIRST] [PLANT]

Counts what was edited and what was in conflict. A trial in which an edit is lost, a conflict is not shown or shown
twice, the order matters, or a second merge changes anything is printed with its number.

PLANT is `few` (seven positions of the small plant with all that is theirs, so that both often come to the same one and
a trial takes a tenth of a second), `small-plant` or `demo-plant`. All registers of a trial are in memory.
"""

from __future__ import annotations

import csv
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from sqlite_utils import Database

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "helpers")]

from sample_plant import SAMPLES, rows, site_of, table_files  # noqa: E402
from two_surveyors import copied, trial  # noqa: E402

from register.intake.take_in import take_in  # noqa: E402
from register.store.database import create, opened  # noqa: E402

POSITIONS = 7


def plant(name: str, folder: Path) -> Database:
    """A sample plant's register in memory, or that of a few positions of the small one."""
    source = SAMPLES / ("small-plant" if name == "few" else name)
    tags = sorted(row["tag"] for row in rows(source / "position.csv"))[: POSITIONS if name == "few" else None]
    devices = {row["device"] for row in rows(source / "device.csv") if row["tag"] in ("", *tags)}
    for path in table_files(source):
        own = [r for r in rows(path) if r.get("tag", "") in ("", *tags)]
        if path.stem == "setting":
            own = [r for r in own if r["device"] in devices]
        with (folder / path.name).open("w", newline="", encoding="utf-8") as file:
            sheet = csv.DictWriter(file, rows(path)[0].keys())
            sheet.writeheader()
            sheet.writerows(own)
    create(folder / "register.db", site_of(source))
    take_in(folder / "register.db", table_files(folder), reason="sample", author="test")
    with opened(folder / "register.db") as db:
        return copied(db)


def run(trials: int, first: int, name: str) -> int:
    """How many trials failed."""
    seen: Counter[str] = Counter()
    failed = 0
    with tempfile.TemporaryDirectory() as folder:
        db = plant(name, Path(folder))
    tags = [row[0] for row in db.execute(f"SELECT tag FROM position ORDER BY tag LIMIT {POSITIONS}")]
    begun = time.perf_counter()
    for number in range(first, first + trials):
        try:
            seen += trial(db, number, tags)
        except Exception as error:
            failed += 1
            print(f"trial {number}: {type(error).__name__} {str(error)[:300]}", flush=True)
        if (number + 1 - first) % 1000 == 0:
            print(f"… {number + 1 - first} tried, {failed} failed", flush=True)
    print(f"{name}: {seen['trials']} of {trials} trials held; {seen['edits']} edits, {seen['conflicts']} conflicts")
    print(f"{failed} failed; {time.perf_counter() - begun:.0f} s, {time.process_time():.0f} s of processor")
    return failed


if __name__ == "__main__":
    count, first, name = (*sys.argv[1:], *("100", "0", "few")[len(sys.argv) - 1 :])
    sys.exit(bool(run(int(count), int(first), name)))
