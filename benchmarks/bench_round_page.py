"""A round's page filled in, reloaded, killed, opened again, saved and taken back, in two browsers and at two widths.

    .venv/bin/python benchmarks/bench_round_page.py [TRIALS] [BROWSER] [FIRST]

Counts answers, and prints every trial in which one is lost, with its number. BROWSER is `chromium`, `firefox` or
`both`; TRIALS are shared between the widths of 390 and 820 px. A trial answers two dozen questions at random in two
parts of the round of a lineup. Chromium is killed in each trial, with all its processes; of Firefox, which takes long
to start, in nine of ten only the process that shows the page, as a phone does for want of memory, and in the tenth all.
What was touched last is 0.3 s old when the kill comes.
"""

from __future__ import annotations

import sys
import tempfile
import time
import traceback
from collections import Counter
from contextlib import suppress
from datetime import date
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "helpers")]

import chromium  # noqa: E402
import firefox  # noqa: E402
from round_trials import page_of, trial  # noqa: E402
from sample_plant import Sample  # noqa: E402

from register.audit.session import AuditRequest, session  # noqa: E402
from register.rounds.questions import Which, round_of  # noqa: E402

WIDTHS, HEIGHT = (390, 820), 844
WHOLE_EVERY = 10
A_BLINK_S = 0.3  # between the last touch and a kill


class Shown:
    """The browser that shows the page, and its end."""

    def __init__(self, name: str, width: int, folder: Path) -> None:
        self.name, self.width, self.folder = name, width, folder
        self.kills: Counter[str] = Counter()
        self.browser = self._started()

    def _started(self):
        if self.name == "firefox":
            return firefox.Firefox(width=self.width, height=HEIGHT, profile=self.folder)
        made = chromium.Chromium(width=self.width, height=HEIGHT, profile=self.folder)
        made.downloads = self.folder / "downloads"
        made.ask("Page.setDownloadBehavior", behavior="allow", downloadPath=str(made.downloads))
        return made

    def begin_again(self) -> None:
        """Start another browser, whatever became of this one."""
        with suppress(Exception):
            self.browser.kill()
        self.browser = self._started()

    def killed(self):
        """End it, and give what shows the page next."""
        if self.name == "firefox" and sum(self.kills.values()) % WHOLE_EVERY:
            self.kills["the page's process"] += 1
            self.browser.kill_page()
        else:
            self.kills["the whole browser"] += 1
            self.browser.kill()
            self.browser = self._started()
        return self.browser


def _blink(_: object) -> None:
    time.sleep(A_BLINK_S)


def told_of(error: Exception) -> str:
    """What went wrong, and in which line."""
    where = traceback.extract_tb(error.__traceback__)[-1]
    return f"{type(error).__name__} {str(error)[:300]}, {where.name}: {where.line}"


def run(trials: int, first: int, name: str, width: int, sample: Sample) -> int:
    """How many trials failed in one browser at one width."""
    seen: Counter[str] = Counter()
    failed, begun = 0, time.perf_counter()
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        with session(sample.path, AuditRequest(today=date(2026, 11, 25))) as opened:
            made = round_of(opened, Which(bus="MCC-31"), made_on="2026-11-25T08:00:00+00:00")
        shown = Shown(name, width, Path(folder) / "profile")
        for number in range(first, first + trials):
            page = page_of(made, Path(folder), number)
            try:
                with sample.copy() as db:
                    db.conn.isolation_level = None
                    seen += Counter(held=1) + trial(
                        shown.browser, page, number, shown.killed, made.register, db, before_kill=_blink
                    )
            except Exception as error:
                failed += 1
                print(f"{name} {width} px, trial {number}: {told_of(error)}", flush=True)
                shown.begin_again()
            if (number + 1 - first) % 25 == 0:
                print(f"… {number + 1 - first} tried, {failed} failed, {time.perf_counter() - begun:.0f} s", flush=True)
        shown.browser.kill()
    told = ", ".join(f"{what} {count} times" for what, count in shown.kills.items())
    print(
        f"{name}, {width} px: {seen['held']} of {trials} trials held, {failed} failed; {seen['answers']} answers, "
        f"{seen['taken']} taken, {seen['refused']} refused; killed {told}; {time.perf_counter() - begun:.0f} s",
        flush=True,
    )
    return failed


def main(trials: int, names: tuple[str, ...], first: int) -> int:
    """How many trials failed in all."""
    plan = [(name, width) for name in names for width in WIDTHS]
    each = max(1, trials // len(plan))
    with tempfile.TemporaryDirectory() as folder:
        sample = Sample("demo-plant", Path(folder))
        return sum(run(each, first + each * at, *where, sample) for at, where in enumerate(plan))


if __name__ == "__main__":
    count, name, first = (*sys.argv[1:], *("8", "both", "0")[len(sys.argv) - 1 :])
    sys.exit(bool(main(int(count), ("chromium", "firefox") if name == "both" else (name,), int(first))))
