"""Draw the pictures of "a day in the plant" from the demo plant: `make pictures` runs this too. Needs Chromium."""

from __future__ import annotations

import sys
import tempfile
from datetime import date
from pathlib import Path

from PIL import Image

from register.audit.session import AuditRequest, session
from register.reports.round.document import html
from register.reports.round.labels import labels
from register.rounds.questions import Which, round_of
from register.store.queries import positions

ROOT = Path(__file__).parents[1]
HERE = Path(__file__).parent / "pictures"
sys.path.insert(0, str(ROOT / "tests" / "helpers"))
BUS, TODAY, MADE_ON = "MCC-31", date(2026, 11, 25), "2026-11-25T08:00:00+00:00"
# Name → width and height of the window, and what is done on the page before.
SHOTS = {
    "round-closed": (390, 1100, "document.querySelectorAll('.ch button')[0].click()"),
    "round-open": (390, 1100, "document.querySelectorAll('#tabs button')[1].click()"),
    "round-find": (390, 1100, "at('find').value = 'P-3103'; draw()"),
}


def main() -> None:
    """Write the pictures beside those of the other guides."""
    from chromium import Chromium
    from sample_plant import Sample

    with tempfile.TemporaryDirectory() as folder, Chromium() as browser:
        plant, page, sheet = Sample("demo-plant", Path(folder)).path, Path(folder, "r.html"), Path(folder, "l.html")
        with session(plant, AuditRequest(today=TODAY)) as opened:
            page.write_text(html(round_of(opened, Which(bus=BUS), made_on=MADE_ON)), "utf-8")
            sheet.write_text(labels(positions(opened.db, bus=BUS)[:12], "Ombrecliff Board Mill"), "utf-8")
        for name, (width, height, script) in SHOTS.items():
            browser.size(width, height)
            browser.open(page)
            browser.run(f"{script}; scrollTo(0, 0); 0")
            _keep(browser, name)
            browser.run("allSaved(); 0")
        browser.size(760, 620)
        browser.open(sheet, ready="document.querySelectorAll('svg').length")
        _keep(browser, "labels")


def _keep(browser, name: str) -> None:
    """A screenshot of few colours, so that the repository stays small."""
    path = HERE / f"{name}.png"
    browser.picture(path)
    Image.open(path).convert("RGB").quantize(64).save(path, optimize=True)


if __name__ == "__main__":
    main()
