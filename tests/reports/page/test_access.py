"""What hands, eyes and ears need: axe-core's rules, contrast, forced colours, and a page without scripts."""

import re

import pytest
from axe_page import seen, violations

from register.reports.page.document import STYLES, style

SCHEMES = ("light", "dark")


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("width", [390, 1440])
def test_axe_finds_no_violation(page, axe, scheme, width):
    """axe-core 4.4 (Deque), all rules of WCAG 2.1 A and AA and its best practices."""
    with seen(page, scheme, width):
        page.run("document.querySelectorAll('tr.row button')[0].click()")
        page.until("document.querySelector('.opened')")
        page.run("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
        assert violations(page, axe) == []


def _colours(scheme):
    """The variables of the style, as (r, g, b) of 0 to 1."""
    sheet = str(style(*STYLES))
    light, dark = re.findall(r":root \{(.*?)\}", sheet, re.DOTALL)[:2]
    text = light + (dark if scheme == "dark" else "")
    return {name: _rgb(code) for name, code in re.findall(r"--(\w+): #([0-9a-f]{6})", text)}


def _rgb(code):
    return tuple(int(code[n : n + 2], 16) / 255 for n in (0, 2, 4))


def _contrast(one, other):
    """WCAG 2.2: relative luminance, contrast ratio."""

    def light(colour):
        parts = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour]
        return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]

    low, high = sorted((light(one), light(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_measure_of_contrast_is_that_of_wcag():
    """WCAG 2.2, 1.4.3: black on white is 21 to 1; #767676 on white is the usual example of 4.54."""
    assert _contrast((0, 0, 0), (1, 1, 1)) == pytest.approx(21)
    assert _contrast(_rgb("767676"), (1, 1, 1)) == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_text_has_four_and_a_half_and_graphics_have_three(scheme):
    """WCAG 2.2, 1.4.3 (text) and 1.4.11 (graphics), each colour on every ground it stands on."""
    colours = _colours(scheme)
    for ground in ("paper", "sheet"):
        for text in ("ink", "soft", "link", "major", "minor", "observation"):
            assert _contrast(colours[text], colours[ground]) >= 4.5, (text, ground)
    for drawn in ("major", "minor", "observation", "tell", "within", "firm", "focus"):
        assert _contrast(colours[drawn], colours["paper"]) >= 3, drawn


@pytest.mark.parametrize("scheme", SCHEMES)
def test_numbers_on_the_heat_map_can_be_read_in_every_depth(scheme):
    colours = _colours(scheme)
    depths = [int(share) / 100 for share in re.findall(r"\.d\d \{[^}]*?(\d+)%, var\(--paper\)", str(style(*STYLES)))]
    assert len(depths) == 3
    for share in depths:
        ground = tuple(share * a + (1 - share) * b for a, b in zip(colours["major"], colours["paper"], strict=True))
        assert _contrast(colours["ink"], ground) >= 4.5, share


def test_with_forced_colours_the_marks_stay(page):
    """What the user's own colours leave of a picture still differs from its ground."""
    page.ask("Emulation.setEmulatedMedia", features=[{"name": "forced-colors", "value": "active"}])
    try:
        ground = page.run("getComputedStyle(document.body).backgroundColor")
        for drawn in (".axis .ok", ".next .bar", ".wd", "symbol .mj", "symbol .mn"):
            assert page.run(f"getComputedStyle(document.querySelector('{drawn}')).fill") != ground, drawn
    finally:
        page.ask("Emulation.setEmulatedMedia", features=[{"name": "forced-colors", "value": "none"}])


def test_without_scripts_every_finding_stands_as_plain_text(browser, demo_page, demo_report):
    browser.ask("Emulation.setScriptExecutionDisabled", value=True)
    try:
        browser.ask("Page.navigate", url=demo_page.as_uri())
        browser.until("document.querySelectorAll('.plain-list tbody tr').length")
        rows = browser.run("[...document.querySelectorAll('.plain-list tbody tr')].map(r => r.innerText)")
        text = browser.run("document.body.innerText")
    finally:
        browser.ask("Emulation.setScriptExecutionDisabled", value=False)
    assert len(rows) == len(demo_report.findings)
    for found, row in zip(demo_report.findings, rows, strict=True):
        assert found.at in row and found.grade in row and " ".join(found.sentence.split()) in " ".join(row.split())
    assert "Reading the findings" not in text


@pytest.mark.parametrize(
    ("spoilt", "rule"),
    [
        ("document.querySelectorAll('tr.row button')[20].textContent = ''", "button-name"),
        ("document.querySelectorAll('tr.row button')[20].style.color = '#999'", "color-contrast"),
        ("document.querySelectorAll('tr.row')[20].id = document.querySelector('[id]').id", "duplicate-id"),
    ],
)
def test_one_bad_row_of_many_is_noticed(page, axe, spoilt, rule):
    page.run(f"{spoilt};0")
    assert {found for found, _ in violations(page, axe, rule)} == {rule}
