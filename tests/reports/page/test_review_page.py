"""The review on paper, and for who does not see it."""

import re
import shutil

import by_path
import pytest
from axe_page import seen, violations
from chromium import LOADED
from report_cases import TODAY


@pytest.fixture(scope="module")
def review_page(demo_register, tmp_path_factory):
    """The demo plant's review, compared with the audit of a year ago, one major conceded since."""
    folder = tmp_path_factory.mktemp("printed")
    path = shutil.copy(demo_register, folder / "plant.db")
    then = by_path.of_register(path, today=TODAY.replace(year=2025), keep_as="rk")
    major = next(f for f in then.findings if f.grade == "major" and f.subject == "position")
    number = by_path.ask(
        path, major.tag, major.rule, until=TODAY.replace(year=2027), reason="ordered", by="rk", today=TODAY
    )
    by_path.decide(path, number, "approved", reason="seen", by="sb", today=TODAY)
    by_path.of_register(path, today=TODAY, keep_as="rk")
    by_path.make_review(path, folder / "pack", today=TODAY, since="2025-11-25")
    return folder / "pack" / "review.html"


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_demo_plants_review_is_at_most_25_pages(browser, review_page, paper):
    browser.size(1280, 900)
    browser.open(review_page, ready=LOADED)
    assert 10 < len(re.findall(rb"/Type\s*/Page\b", browser.pdf(paper))) <= 25


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1440])
def test_axe_finds_no_violation_in_the_review(browser, review_page, axe, scheme, width):
    """axe-core 4.4 (Deque), all rules of WCAG 2.1 A and AA and its best practices."""
    with seen(browser, scheme, width):
        browser.open(review_page, ready=LOADED)
        assert violations(browser, axe) == []


@pytest.mark.parametrize("width", [320, 390, 768, 1440])
def test_nothing_of_the_review_is_wider_than_the_window(browser, review_page, width):
    browser.size(width, 800)
    browser.open(review_page, ready=LOADED)
    assert browser.run("document.documentElement.scrollWidth <= innerWidth")
