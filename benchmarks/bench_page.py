"""The page in a headless Chromium: its size, when something is first seen, how long a filter takes.

Run by hand: python benchmarks/bench_page.py [findings ...]
"""

import sys
import tempfile
import time
from pathlib import Path
from statistics import median

TESTS = Path(__file__).parent.parent / "tests"
sys.path.append(str(TESTS / "helpers"))

from chromium import Chromium  # noqa: E402
from report_cases import many  # noqa: E402

from register.reports.page.document import html  # noqa: E402

PAINT = "performance.getEntriesByName('first-contentful-paint')[0]?.startTime"
READY = "performance.getEntriesByName('ready')[0].startTime"
# What is asked → the control that is changed, and its new value; each starts from the last.
QUESTIONS = {
    "search, one word": ("query", "transfer"),
    "search, two words": ("query", "pump 8123"),
    "all again": ("query", ""),
    "area": ("area", "Area 07"),
    "every area": ("area", ""),
    "sort by tag": ("sort", "tag"),
    "sort by rule": ("sort", "rule"),
}


def asked(browser, control, value):
    """Milliseconds from the change to the list drawn anew and laid out."""
    return browser.run(
        f"(() => {{ const e = document.getElementById('{control}'); e.value = '{value}';"
        " const start = performance.now();"
        " e.dispatchEvent(new Event(e.id === 'query' ? 'input' : 'change', {bubbles: true}));"
        " document.body.getBoundingClientRect(); return performance.now() - start; })()"
    )


def measured(count, folder):
    path = Path(folder) / "page.html"
    start = time.perf_counter()
    report = many(count)
    built = time.perf_counter()
    path.write_text(html(report), encoding="utf-8")
    print(
        f"\n{count} findings: {path.stat().st_size / 1e6:.2f} MB, written in "
        f"{time.perf_counter() - built:.1f} s (made in {built - start:.1f} s)"
    )
    with Chromium() as browser:
        paints, readies = [], []
        for _ in range(3):
            browser.open(path)
            paints.append(browser.until(PAINT))
            readies.append(browser.run(READY))
        print(f"  first paint {median(paints):.0f} ms, list ready {median(readies):.0f} ms")
        for name, change in QUESTIONS.items():
            times = [asked(browser, *change) for _ in range(5)]
            print(f"  {name}: {median(times):.0f} ms, the first time {times[0]:.0f} ms")
        heap = browser.run("performance.memory.usedJSHeapSize")
        print(f"  memory of the script {heap / 1e6:.0f} MB")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        for count in map(int, sys.argv[1:] or ("200", "100000")):
            measured(count, folder)
