"""The browser that the page is tried in; where there is none, these tests say so and are skipped."""

import pytest
import report_cases
from chromium import Chromium, installed

from register.reports.page.document import html


@pytest.fixture(scope="session")
def browser():
    if installed() is None:
        pytest.skip("no Chromium here: apt-get install chromium")
    with Chromium() as made:
        yield made


@pytest.fixture(scope="session")
def demo_report(tmp_path_factory):
    return report_cases.demo(tmp_path_factory.mktemp("page-demo"))


@pytest.fixture(scope="session")
def demo_page(tmp_path_factory, demo_report):
    path = tmp_path_factory.mktemp("page") / "report.html"
    path.write_text(html(demo_report), encoding="utf-8")
    return path


@pytest.fixture
def page(browser, demo_page):
    browser.size(1280, 900)
    browser.events.clear()
    browser.open(demo_page)
    return browser
