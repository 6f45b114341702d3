"""The page of a round in both browsers at two widths: filled in, reloaded, killed, saved, taken back; no answer lost.

`benchmarks/bench_round_page.py` makes the same trials by hundreds, and kills whole browsers.
"""

import sqlite3

import chromium
import firefox
import pytest
from round_trials import page_of, trial
from sqlite_utils import Database

BROWSERS = {"Chromium": (chromium, chromium.Chromium), "Firefox": (firefox, firefox.Firefox)}


@pytest.mark.dear
@pytest.mark.parametrize("name", BROWSERS)
def test_no_answer_is_lost(name, demo, lineup, tmp_path):
    module, made = BROWSERS[name]
    if module.installed() is None:
        pytest.skip(f"no {name} here: apt-get install {'chromium' if name == 'Chromium' else 'firefox-esr'}")
    shown = []

    def started(width):
        shown.append(made(width=width, height=844, profile=tmp_path / "profile"))
        if name == "Chromium":
            shown[-1].downloads = tmp_path / "downloads"
            shown[-1].ask("Page.setDownloadBehavior", behavior="allow", downloadPath=str(tmp_path / "downloads"))
        return shown[-1]

    def killed():
        if name == "Firefox":  # a phone ends the page's process too; the whole browser takes long to start again
            shown[-1].kill_page()
            return shown[-1]
        shown[-1].kill()
        return started(820)

    started(390)
    try:
        for number, width in enumerate((390, 820)):
            shown[-1].size(width, 844)
            with sqlite3.connect(demo) as source:
                db = Database(memory=True)
                source.backup(db.conn)
            db.conn.isolation_level = None
            seen = trial(shown[-1], page_of(lineup, tmp_path, number), number, killed, lineup.register, db)
            assert seen["answers"] > 5 and seen["taken"] > 0
            db.conn.close()
    finally:
        shown[-1].kill()
