"""Many random trials of two surveyors who take a copy along, work on it, and bring it back in both orders.

    .venv/bin/python benchmarks/bench_merge.py [TRIALS] [FIRST] [PLANT]

Counts what was edited and what was in conflict. A trial in which an edit is lost, a conflict is not shown or shown
twice, the order matters, or a second merge changes anything is printed with its number.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "helpers")]

from sample_plant import Sample  # noqa: E402
from two_surveyors import trial  # noqa: E402

POSITIONS = 7  # few, so that both often come to the same one


def run(trials: int, first: int, plant: str) -> int:
    """How many trials failed."""
    seen: Counter[str] = Counter()
    failed, begun = 0, time.perf_counter()
    with Sample(plant, Path(tempfile.mkdtemp())).copy() as db:
        db.conn.isolation_level = None
        tags = [row[0] for row in db.execute(f"SELECT tag FROM position ORDER BY tag LIMIT {POSITIONS}")]
        for number in range(first, first + trials):
            try:
                seen += trial(db, number, tags)
            except Exception as error:
                failed += 1
                print(f"trial {number}: {type(error).__name__} {str(error)[:300]}", flush=True)
    print(f"{plant}: {seen['trials']} of {trials} trials held; {seen['edits']} edits, {seen['conflicts']} conflicts")
    print(f"{failed} failed; {time.perf_counter() - begun:.0f} s")
    return failed


if __name__ == "__main__":
    count, first, plant = (*sys.argv[1:], *("100", "0", "small-plant")[len(sys.argv) - 1 :])
    sys.exit(bool(run(int(count), int(first), plant)))
