"""The browser that the page is tried in; where there is none, these tests say so and are skipped."""

from importlib.util import find_spec
from pathlib import Path

import pytest
import report_cases
from by_path import of_register
from chromium import Chromium, installed
from sample_plant import Sample

from register.reports.page.document import html
from register.store.database import opened
from register.store.overview import overview


@pytest.fixture(scope="session")
def browser():
    if installed() is None:
        pytest.skip("no Chromium here: apt-get install chromium")
    with Chromium() as made:
        yield made


@pytest.fixture(scope="session")
def demo_register(tmp_path_factory):
    return Sample("demo-plant", tmp_path_factory.mktemp("page-demo")).path


@pytest.fixture(scope="session")
def demo_report(demo_register):
    return of_register(demo_register, today=report_cases.TODAY)


@pytest.fixture(scope="session")
def demo_overview(demo_register, demo_report):
    with opened(demo_register) as db:
        return overview(db)


@pytest.fixture(scope="session")
def demo_page(tmp_path_factory, demo_report, demo_overview):
    path = tmp_path_factory.mktemp("page") / "report.html"
    path.write_text(html(demo_report, demo_overview), encoding="utf-8")
    return path


@pytest.fixture
def page(browser, demo_page):
    browser.size(1280, 900)
    browser.events.clear()
    browser.open(demo_page)
    return browser


@pytest.fixture(scope="session")
def axe():
    found = find_spec("axe_core_python")
    if found is None:
        pytest.skip("axe-core-python is not installed")
    return (Path(found.origin).parent / "axe.min.js").read_text(encoding="utf-8")
