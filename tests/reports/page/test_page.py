"""The page in a real browser: what a person sees, types, presses and prints."""

import re
from collections import Counter
from urllib.parse import quote

import pytest
import report_cases
from report_cases import COURSE, HOSTILE, finding, hostile, many, standing

from register.columns import SUBJECTS
from register.reports.page.document import html
from register.text import visible

COUNT = "Number(document.getElementById('count').textContent.replace(/\\u202f/g, '').match(/^\\d+/)[0])"
TAGS = "[...document.querySelectorAll('tr.row .c-tag button')].map(b => b.textContent)"


def _set(page, name, value, event="change"):
    page.run(
        f"(() => {{ const e = document.getElementById('{name}'); e.value = {value!r};"
        f" e.dispatchEvent(new Event('{event}', {{bubbles: true}})); }})()"
    )


def _tick(page, name, value):
    page.run(f"document.querySelector('input[name={name}][value={value}]').click()")


def _shown(page, made, tmp_path, fragment=""):
    path = tmp_path / "page.html"
    path.write_text(html(made), encoding="utf-8")
    page.events.clear()
    page.open(path, fragment)
    return path


def test_it_asks_for_nothing_but_itself_and_complains_of_nothing(page, demo_page):
    page.run("document.querySelector('tr.row button').click()")
    page.until("document.querySelector('.opened')")
    assert set(page.requests()) <= {demo_page.as_uri(), "about:blank"}
    assert page.complaints() == []


def test_its_policy_forbids_every_request(page):
    told = page.run("fetch('https://example.invalid/').then(() => 'went', e => e.name)")
    assert told == "TypeError"
    page.run("1")
    assert any("Content Security Policy" in text for text in page.complaints())


def test_all_findings_are_there_most_pressing_first(page, demo_report):
    assert page.run(COUNT) == len(demo_report.findings)
    first = page.run(TAGS)[:10]
    assert first == [f.at for f in demo_report.findings[:10]]


@pytest.mark.parametrize("grade", ["major", "minor"])
def test_filter_by_grade(page, demo_report, grade):
    for other in {"major", "minor", "observation"} - {grade}:
        _tick(page, "grade", other)
    assert page.run(COUNT) == sum(f.grade == grade for f in demo_report.findings)


def test_filter_by_area_and_rule_and_search_and_back(page, demo_report):
    area = demo_report.areas[1].area
    in_area = [f for f in demo_report.findings if demo_report.evidence.places[f.at]["area"] == area]
    _set(page, "area", area)
    assert page.run(COUNT) == len(in_area)
    rule = Counter(f.rule for f in in_area).most_common(1)[0][0]
    _set(page, "rule", rule)
    assert page.run(COUNT) == sum(f.rule == rule for f in in_area)
    _set(page, "rule", rule.split("/")[0])
    assert page.run(COUNT) == sum(f.rule.startswith(rule.split("/")[0] + "/") for f in in_area)
    page.run("document.getElementById('clear').click()")
    page.until(f"{COUNT} === {len(demo_report.findings)}")
    found = demo_report.findings[5]
    _set(page, "query", f"{found.tag.lower()} {found.rule.split('/')[1]}", "input")
    assert page.run(TAGS) == [found.tag]


@pytest.mark.parametrize("outcome", ["cant-tell", "passed", "inapplicable"])
def test_every_outcome_can_be_listed(page, demo_report, outcome):
    _tick(page, "outcome", "failed")
    _tick(page, "outcome", outcome)
    assert page.run(COUNT) == sum(g[outcome] for g in demo_report.grades.values())


def _letters_and_number(tag):
    letters, number = re.fullmatch(r"(\D*)(\d+)", tag).groups()
    return letters, int(number)


def test_what_is_sorted_by_a_heading_is_in_that_order_and_back(page, demo_report):
    head = "document.querySelector('th[data-sort=tag] button').click()"
    page.run(head)
    rising = page.run(TAGS)
    numbers = [_letters_and_number(tag) for tag in rising]
    assert numbers == sorted(numbers)
    assert page.run("document.querySelector('th[data-sort=tag]').ariaSort") == "ascending"
    page.run(head)
    assert page.run(TAGS)[0] == max((f.at for f in demo_report.findings), key=_letters_and_number)
    assert page.run("document.querySelector('th[data-sort=tag]').ariaSort") == "descending"


def test_a_row_opens_to_clauses_values_origins_action_caution_and_basis(page, demo_report):
    found = next(f for f in demo_report.findings if f.margin is not None and f.caution)
    _set(page, "query", f"{found.tag} {found.rule}", "input")
    page.run("document.querySelector('tr.row button').click()")
    text = page.until("document.querySelector('.opened')?.innerText")
    flat = " ".join(text.split())
    for clause, valued, _ in found.clauses:
        assert clause in flat and valued in flat
    for value in found.values:
        assert value.column in flat and value.origin in flat
    assert " ".join(found.caution.split()) in flat and str(found.basis[0]) in flat
    assert found.priority.explained() in flat
    assert page.run("document.querySelector('tr.row button').ariaExpanded") == "true"
    sheet = page.run("document.querySelector('tr.row button').getAttribute('aria-controls')")
    assert page.run(f"document.getElementById('{sheet}').contains(document.querySelector('.opened'))")
    page.run("document.querySelector('tr.row button').click()")
    assert page.run("document.querySelector('.opened')") is None


def test_what_cannot_be_told_names_the_fields_and_where_to_read_them(page, demo_report):
    unknown = next(u for u in demo_report.evidence.unknowns if u.fields)
    _tick(page, "outcome", "failed")
    _tick(page, "outcome", "cant-tell")
    _set(page, "query", f"{unknown.tag} {unknown.rule}", "input")
    page.run("document.querySelector('tr.row button').click()")
    text = page.until("document.querySelector('.opened')?.innerText")
    assert all(field in text for field in unknown.fields)


@pytest.mark.parametrize("subject", SUBJECTS)
def test_a_link_leads_to_its_finding(page, demo_page, demo_report, subject):
    found = [f for f in demo_report.findings if f.subject == subject][-1]
    page.open(demo_page, f"#findings?open={found.rule}@{quote(found.at)}")
    page.until("document.querySelector('.opened')")
    assert page.run("document.activeElement.textContent") == found.at
    top = "document.activeElement.closest('tr').getBoundingClientRect().top"
    page.until(f"{top} >= 0 && {top} < 140")


def test_a_count_leads_to_its_list(page, demo_page, demo_report):
    page.open(demo_page)
    page.run("document.querySelector('#verdicts tbody a').click()")
    page.until(f"{COUNT} === {demo_report.grades['major']['failed']}")


def test_it_is_used_from_the_keyboard(page):
    page.key("/")
    assert page.run("document.activeElement.id") == "query"
    page.run("document.querySelectorAll('tr.row button')[0].focus()")
    for _ in range(3):
        page.key("ArrowDown")
    assert page.run(f"document.activeElement.textContent === {TAGS}[3]")
    page.key("ArrowUp")
    page.key("Enter")
    page.until("document.querySelector('.opened')")
    assert page.run("document.activeElement.ariaExpanded") == "true"


def test_the_skip_link_comes_first_and_the_count_is_told(page):
    page.key("Tab")
    assert page.run("document.activeElement.className") == "skip"
    assert page.run("document.getElementById('count').getAttribute('aria-live')") == "polite"


def test_it_is_a_table_to_those_who_hear_it(page, demo_report):
    """WAI-ARIA 1.2: rows that are not all there are counted by aria-rowcount and aria-rowindex."""
    tree = page.ask("Accessibility.getFullAXTree")["nodes"]
    roles = Counter(n["role"]["value"] for n in tree if not n["ignored"])
    assert roles["table"] and roles["columnheader"] and roles["rowheader"] and roles["searchbox"] == 1
    unnamed = [
        n
        for n in tree
        if not n["ignored"]
        and n["role"]["value"] in ("button", "combobox", "searchbox", "checkbox", "link")
        and not n["name"]["value"]
    ]
    assert unnamed == []
    assert page.run("document.getElementById('list').getAttribute('aria-rowcount')") == str(
        len(demo_report.findings) + 1
    )


@pytest.mark.parametrize("width", [320, 390, 768, 1000, 1024, 1280, 1920])
def test_nothing_is_wider_than_the_window(page, width):
    page.size(width, 800)
    page.run("document.querySelectorAll('tr.row button')[1].click()")
    page.until("document.querySelector('.opened')")
    assert page.run("document.documentElement.scrollWidth <= innerWidth")


def _contrast(page, selector):
    """WCAG 2.2, relative luminance and contrast ratio."""
    colours = page.run(
        f"(() => {{ const e = document.querySelector({selector!r}); let b = e;"
        " while (getComputedStyle(b).backgroundColor === 'rgba(0, 0, 0, 0)') b = b.parentElement;"
        " return [getComputedStyle(e).color, getComputedStyle(b).backgroundColor]; })()"
    )
    lights = []
    for colour in colours:
        parts = [int(p) / 255 for p in re.findall(r"\d+", colour)[:3]]
        parts = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        lights.append(0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2])
    return (max(lights) + 0.05) / (min(lights) + 0.05)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_has_the_contrast_that_wcag_asks_for(page, scheme):
    page.scheme(scheme)
    page.run("document.querySelector('tr.row button').click()")
    page.until("document.querySelector('.opened')")
    try:
        assert _contrast(page, ".c-grade.major") >= 4.5
        for selector in (
            "body",
            ".aside",
            ".lede .major",
            "#verdicts a",
            ".what",
            "thead th",
            "dt",
            ".opened h3",
            ".opened .small code",
            ".opened .foot",
            ".foot a",
            ".holds.t0",
        ):
            assert _contrast(page, selector) >= 4.5, selector
        _tick(page, "grade", "major")
        assert _contrast(page, ".c-grade.minor") >= 4.5
    finally:
        page.scheme("light")


def test_on_paper_every_filtered_row_stands_and_the_headings_come_again(page, demo_report):
    page.ask("Emulation.setEmulatedMedia", media="print")
    page.run("dispatchEvent(new Event('beforeprint'))")
    rows = page.run("document.querySelectorAll('tr.row').length")
    heading = page.run("getComputedStyle(document.getElementById('list').tHead).display")
    hidden = page.run("getComputedStyle(document.getElementById('controls')).display")
    page.run("dispatchEvent(new Event('afterprint'))")
    page.ask("Emulation.setEmulatedMedia", media="")
    assert (rows, heading, hidden) == (len(demo_report.findings), "table-header-group", "none")
    for paper in ("A4", "Letter"):
        assert 5 < len(re.findall(rb"/Type\s*/Page\b", page.pdf(paper))) <= 12, paper
    page.until("document.querySelectorAll('tr.row').length >= 30")


def test_of_very_many_rows_the_page_holds_few_and_scrolls_through_all(browser, tmp_path):
    made = many(20_000)
    _shown(browser, made, tmp_path)
    assert browser.run(COUNT) == 20_000
    assert browser.run("document.querySelectorAll('tr.row').length") < 300
    browser.run(
        "scrollTo(0, document.querySelector('#to-collect').getBoundingClientRect().top + scrollY - innerHeight)"
    )
    browser.until("[...document.querySelectorAll('tr.row')].some(r => r.getAttribute('aria-rowindex') === '20001')")
    assert browser.run("document.querySelectorAll('tr.row').length") < 300


def test_the_print_says_where_it_stops(browser, tmp_path):
    _shown(browser, many(3_500), tmp_path)
    assert "first 3\u202f000 are printed" in browser.run("document.getElementById('printed').textContent")


def test_the_start_is_drawn_where_there_is_one(browser, tmp_path):
    _shown(browser, report_cases.of([finding()], [], course=COURSE), tmp_path)
    browser.run("document.querySelector('tr.row button').click()")
    browser.until("document.querySelector('svg.chart')")
    assert browser.run("document.querySelectorAll('svg.chart path:not(.grid)').length") == 5
    said = browser.run("document.querySelector('svg.chart').getAttribute('aria-label')")
    assert "4.00 × FLA" in said and "91.5 %" in said and "11.2 s" in said


def test_conceded_findings_are_marked_counted_and_can_be_left_out(browser, tmp_path):
    used, void = (standing(tag, "", status) for tag, status in (("P-1", "used"), ("P-2", "void")))
    found = [finding("P-1", concession=used), finding("P-2", concession=void), finding("P-3")]
    _shown(browser, report_cases.of(found, [], concessions=(used, void)), tmp_path)
    marks = browser.run("[...document.querySelectorAll('tr.row')].map(r => r.querySelector('.c-grade').innerText)")
    assert ["conceded" in m for m in marks] == [True, False, False]
    assert ["concession void" in m for m in marks] == [False, True, False]
    assert "1 of the 3 findings is conceded" in " ".join(
        browser.run("document.querySelector('.lede').innerText").split()
    )
    browser.run("document.getElementById('conceded').click()")
    assert browser.run(TAGS) == ["P-2", "P-3"]
    browser.run("document.querySelector('tr.row button').click()")
    assert "holds until" in browser.until("document.querySelector('.opened')?.innerText")
    assert browser.run("document.getElementById('concessions').innerText.includes('void')")


def test_nothing_at_all_is_said_plainly(browser, tmp_path):
    _shown(browser, report_cases.of([finding()], []), tmp_path)
    _set(browser, "query", "there is no such word", "input")
    assert browser.run("document.getElementById('count').textContent").startswith("0 verdicts")
    assert browser.run("document.getElementById('list').hidden")


@pytest.mark.parametrize("kind", HOSTILE)
def test_hostile_text_is_shown_whole_and_does_nothing(browser, tmp_path, kind):
    text = HOSTILE[kind]
    path = _shown(browser, hostile(text), tmp_path)
    browser.run("document.getElementById('open-all').click()")
    browser.until("document.querySelector('.opened')")
    shown = browser.run("document.querySelector('.opened .is:not(:empty)').closest('tbody').textContent")
    assert visible(text) in shown
    assert browser.run(f"{TAGS}[0]") == visible(f"tag {text}")
    assert browser.run("document.title").startswith("Audit of ")
    assert set(browser.requests()) <= {path.as_uri(), "about:blank"}
    assert browser.complaints() == []
    assert browser.run("document.querySelectorAll('img, iframe, object, embed, link').length") == 0
    assert browser.run(
        "[...document.querySelectorAll('*')].every(e => [...e.attributes].every(a => !/^on/i.test(a.name)))"
    )


@pytest.mark.parametrize("kind", ["turned", "hebrew"])
def test_text_of_the_other_direction_turns_nothing_around_it(browser, tmp_path, kind):
    """UAX #9: what stands isolated does not reorder its surroundings."""
    _shown(browser, hostile(HOSTILE[kind]), tmp_path)
    assert browser.run("getComputedStyle(document.querySelector('tr.row bdi')).unicodeBidi") == "isolate"
    browser.run("document.getElementById('open-all').click()")
    browser.until("document.querySelector('.opened')")
    stray = browser.run(r"""(() => {
      const walk = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT), found = [];
      while (walk.nextNode()) if (/[\u0590-\u08ff\u202a-\u202e\u2066-\u2069]/.test(walk.currentNode.data)
        && !walk.currentNode.parentElement.closest('bdi, option, script, noscript')) found.push(walk.currentNode.data.slice(0, 60));
      return found; })()""")
    assert stray == []
