"""Six lists as other plants write them, taken in: cells taken, asked about, refused, set aside, wrong; questions.

Run by hand: `python benchmarks/bench_lists.py`. Once without an answer, and once after every question was answered from
what is true of the plant, else as it was suggested. `--random` tries 2,000 random sheets as well.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT / "tests" / "helpers"))

from list_score import answered, score  # noqa: E402
from strange_lists import lists  # noqa: E402

LINE = "{:36} {:>6} {:>6} {:>9} {:>6} {:>8} {:>6} {:>7} {:>6} {:>6}"


def main() -> None:
    heads = ("list", "cells", "taken", "share", "asked", "refused", "aside", "no val.", "wrong", "quest.")
    for title, given in (("Without an answer", False), ("After the questions are answered", True)):
        print(f"\n{title}\n{LINE.format(*heads)}")
        for strange in lists():
            with tempfile.TemporaryDirectory() as folder:
                paths = strange.write(Path(folder))
                mapping = answered(strange, paths, Path(folder)) if given else None
                got = score(strange, paths, Path(folder), mapping)
            share = f"{100 * got.share:.1f} %"
            print(
                LINE.format(
                    strange.name,
                    got.cells,
                    got.taken,
                    share,
                    got.asked,
                    got.refused,
                    got.aside,
                    got.no_value,
                    len(got.wrong),
                    got.questions,
                )
            )
            for line in got.wrong[:5]:
                print("    wrong:", line)
    if "--random" in sys.argv:
        os.environ["STARTROLL_RANDOM_SHEETS"] = "2000"
        subprocess.run(
            [sys.executable, "-m", "pytest", "-q", str(ROOT / "tests/intake/test_every_cell.py")], check=True
        )


if __name__ == "__main__":
    main()
