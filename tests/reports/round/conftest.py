"""Rounds of the demo plant, and the browser that their page is tried in."""

from datetime import date
from importlib.util import find_spec
from pathlib import Path

import pytest
from chromium import Chromium, installed
from round_trials import FORGET
from sample_plant import Sample

from register.audit.session import AuditRequest, session
from register.reports.round.document import html
from register.rounds.questions import Which, round_of

MADE_ON = "2026-11-25T08:00:00+00:00"


def round_at(path, **which):
    """The round of a register, as on the day of the demo plant's audit."""
    with session(path, AuditRequest(today=date(2026, 11, 25))) as opened:
        return round_of(opened, Which(**which), made_on=MADE_ON)


@pytest.fixture(scope="session")
def demo(tmp_path_factory):
    return Sample("demo-plant", tmp_path_factory.mktemp("round-demo")).path


@pytest.fixture(scope="session")
def whole(demo):
    return round_at(demo)


@pytest.fixture(scope="session")
def lineup(demo):
    return round_at(demo, bus="MCC-31")


@pytest.fixture(scope="session")
def lineup_page(lineup, tmp_path_factory):
    path = tmp_path_factory.mktemp("round-page") / "round.html"
    path.write_text(html(lineup), "utf-8")
    return path


@pytest.fixture(scope="session")
def browser(tmp_path_factory):
    if installed() is None:
        pytest.skip("no Chromium here: apt-get install chromium")
    with Chromium(width=390, height=844) as made:
        made.downloads = tmp_path_factory.mktemp("downloads")
        made.ask("Page.setDownloadBehavior", behavior="allow", downloadPath=str(made.downloads))
        yield made


@pytest.fixture
def page(browser, lineup_page):
    """The page, opened as for the first time."""
    browser.size(390, 844)
    browser.open(lineup_page)
    browser.run(FORGET)
    browser.open(lineup_page)
    browser.events.clear()
    yield browser
    browser.run("allSaved(); 0")  # else the page asks whether to be left


@pytest.fixture(scope="session")
def axe():
    found = find_spec("axe_core_python")
    if found is None:
        pytest.skip("axe-core-python is not installed")
    return (Path(found.origin).parent / "axe.min.js").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def forget():
    return FORGET
