"""The page of many plants: for who does not see it, in narrow windows, in the dark, and on paper."""

import re
import shutil
import sys
from datetime import date
from pathlib import Path

import pytest
from axe_page import seen, violations
from chromium import LOADED

SAMPLES = Path(__file__).resolve().parents[3] / "samples"
DAY = date(2026, 11, 25)
SCHEMES = ("light", "dark")


@pytest.fixture(scope="module", params=[False, True], ids=["named", "confidential"])
def fleet_page(request, fleet_folder):
    """Twelve plants in two folders that could share spares, a copy of one, one that is damaged."""
    from register.fleet.asked import Asked
    from register.fleet.rollup import roll_up
    from register.reports.fleet.document import page

    report = roll_up(
        [str(fleet_folder)],
        Asked(today=DAY, days_between=(1.0, 4.0)),
        keep_in=fleet_folder.parent / "tables",
        confidential=request.param,
    )
    assert report.shared and report.twins and report.refused and report.years, "every section is there"
    path = fleet_folder.parent / f"fleet-{request.param}.html"
    path.write_text(page(report), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def fleet_folder(tmp_path_factory):
    pytest.importorskip("pyarrow", reason="the extra fleet is not installed")
    sys.path.insert(0, str(SAMPLES))
    from fleet import fleet

    folder = tmp_path_factory.mktemp("fleet-page") / "plants"
    for path in fleet(folder / "north", 12, 20, variants=4, kept=True)[::2]:
        (folder / "south").mkdir(exist_ok=True)
        path.rename(folder / "south" / path.name)
    first, *_, last = sorted(folder.rglob("*.db"))
    shutil.copyfile(first, first.with_name("copy.db"))
    last.with_name("damaged.db").write_bytes(last.read_bytes()[:5000])
    return folder


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("width", [390, 1200])
def test_axe_finds_no_violation(browser, fleet_page, axe, scheme, width):
    """axe-core 4.4 (Deque), all rules of WCAG 2.1 A and AA and its best practices."""
    with seen(browser, scheme, width):
        browser.open(fleet_page, ready=LOADED)
        browser.run("document.querySelectorAll('details').forEach((one) => { one.open = true; }); 0")
        assert violations(browser, axe) == []


@pytest.mark.parametrize("scheme", SCHEMES)
def test_axe_finds_no_violation_on_paper(browser, fleet_page, axe, scheme):
    browser.size(794, 1123)  # A4 at 96 points to the inch
    features = [{"name": "prefers-color-scheme", "value": scheme}]
    browser.ask("Emulation.setEmulatedMedia", media="print", features=features)
    try:
        browser.open(fleet_page, ready=LOADED)
        assert violations(browser, axe) == []
    finally:
        browser.ask("Emulation.setEmulatedMedia", media="", features=[])


@pytest.mark.parametrize("width", [320, 390, 768, 1200])
def test_nothing_is_wider_than_the_window(browser, fleet_page, width):
    browser.size(width, 800)
    browser.open(fleet_page, ready=LOADED)
    assert browser.run("document.documentElement.scrollWidth <= innerWidth")


def test_it_prints_and_nothing_is_cut_off(browser, fleet_page):
    browser.size(794, 1123)
    browser.ask("Emulation.setEmulatedMedia", media="print", features=[])
    try:
        browser.open(fleet_page, ready=LOADED)
        wide = "[...document.querySelectorAll('table')].filter((t) => t.getBoundingClientRect().right > innerWidth)"
        assert browser.run(f"{wide}.map((t) => t.closest('section').id)") == []
    finally:
        browser.ask("Emulation.setEmulatedMedia", media="", features=[])
    for paper in ("A4", "Letter"):
        assert 2 < len(re.findall(rb"/Type\s*/Page\b", browser.pdf(paper))) < 40
