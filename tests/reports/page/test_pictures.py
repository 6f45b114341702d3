"""The pictures of the page hold the same numbers as the report, and lead to the list."""

from collections import Counter
from dataclasses import replace

import pytest
from report_cases import many

from register.audit.outline import GRADES
from register.reports.page import history
from register.reports.page.document import html
from register.reports.page.pictures import MOST_SQUARES, STRIPS, pictures
from register.store.overview import Overview, PastAudit

COUNT = "Number(document.getElementById('count').textContent.replace(/\\u202f/g, '').match(/^\\d+/)[0])"


@pytest.fixture(scope="module")
def drawn(demo_report, demo_overview):
    return pictures(demo_report, demo_overview)


def test_every_position_has_a_square_of_its_worst_grade(demo_report, drawn):
    squares = {sq.at: sq for row in drawn.lineups for sq in row.squares if not sq.is_lineup}
    assert len(squares) == sum(row.positions for row in drawn.lineups) <= demo_report.scope.positions
    worst = {}
    for found in demo_report.findings:
        if found.subject == "position":
            worst[found.tag] = min(worst.get(found.tag, 9), GRADES.index(found.grade))
    for at, square in squares.items():
        assert square.grade == (GRADES[worst[at]] if at in worst else "")
        assert square.critical == (demo_report.evidence.places[at]["criticality"] == "critical")


def test_the_heat_map_adds_up_to_the_majors(demo_report, drawn):
    cells = [cell for _, row in drawn.heat for cell in row]
    by_area = Counter()
    for cell in cells:
        by_area[cell.area] += cell.majors
    assert {a: n for a, n in by_area.items() if n} == {
        a.area: a.failed["major"] for a in demo_report.areas if a.failed["major"]
    }
    assert max(c.depth for c in cells) == 3 and all(c.depth > 0 for c in cells if c.majors)


def test_the_strips_show_every_position_that_was_judged(demo_report, drawn):
    rules = {rule.rule: rule for rule in demo_report.rules}
    assert {strip.rule for strip in drawn.strips} == set(STRIPS)
    for strip in drawn.strips:
        counts = rules[strip.rule].counts
        assert strip.within == counts["passed"] and strip.unknown == counts["cant-tell"]
        assert len(strip.short) + strip.otherwise <= counts["failed"]
        assert all(50 < x <= 97.1 or count for x, count, _ in strip.bars)
        assert sum(count for _, count, _ in strip.bars) <= counts["passed"]


def test_the_trend_has_the_kept_audits_and_today(demo_report):
    past = Overview(audits=(PastAudit("2024-11-20", 200, 3000, 9000), PastAudit("2025-11-20", 150, 2000, 9000)))
    majors, unknown = history.trend(demo_report, past)
    assert [value for _, value, _, _ in majors.points] == [200, 150, demo_report.grades["major"]["failed"]]
    heights = [y for *_, y in majors.points]
    assert heights == sorted(heights)  # fewer findings lie lower on the page
    assert "2024-11-20" in unknown.says
    assert history.trend(demo_report, Overview()) == ()


def test_years_without_a_device_are_there_and_old_ones_are_gathered():
    made = history.years(Overview(made={None: (3, 0), 1990: (2, 2), 2020: (4, 1), 2024: (1, 0)}))
    assert [y.year for y in made] == list(range(2005, 2025))
    assert (made[0].count, made[0].withdrawn) == (2, 2) and made[-5].height == 100
    assert sum(y.count for y in made) == 7


def test_of_very_many_positions_a_lineup_is_one_bar(demo_report, demo_overview):
    tags = [f"P-{n}" for n in range(MOST_SQUARES + 1)]
    word = next(iter(demo_report.evidence.verdicts.values()))
    evidence = replace(
        demo_report.evidence,
        verdicts=dict.fromkeys(tags, word),
        places={t: {"tag": t, "bus": demo_report.lineups[1].lineup, "area": "x"} for t in tags},
    )
    (row,) = pictures(replace(demo_report, evidence=evidence), demo_overview).lineups
    assert not row.squares and sum(share for _, share in row.shares) == pytest.approx(100)


def test_a_report_without_verdicts_has_no_pictures():
    assert pictures(many(10), Overview()) == pictures(many(10), None)
    assert 'id="map"' not in html(many(10))


def test_a_square_leads_to_what_stands_there(page, demo_report):
    tag = next(f.tag for f in demo_report.findings if f.subject == "position")
    page.run(f"[...document.querySelectorAll('.sq')].find(a => a.href.includes('at={tag}&')).click()")
    page.until("location.hash.includes('at=')")
    at = [f for f in demo_report.findings if f.at == tag] + [u for u in demo_report.evidence.unknowns if u.at == tag]
    page.until(f"{COUNT} === {len(at)}")


def test_the_map_is_one_stop_for_the_keyboard(page):
    assert page.run("document.querySelectorAll('.sq[tabindex=\"0\"]').length") == 1
    page.run("document.querySelector('.sq').focus()")
    page.key("ArrowRight")
    page.key("ArrowDown")
    assert page.run("document.activeElement.ariaLabel === document.getElementById('map-says').textContent")
    page.key("ArrowUp")
    assert page.run("[...document.querySelectorAll('.sq')].indexOf(document.activeElement)") in (0, 1, 2)


@pytest.mark.parametrize("name", ["lineup", "criticality", "harm", "kind", "firm"])
def test_filters_of_place_harm_and_values(page, demo_report, demo_overview, name):
    told = {
        "lineup": lambda f: f.place.get("bus"),
        "criticality": lambda f: f.place.get("criticality"),
        "harm": lambda f: f.priority.harm,
        "kind": lambda f: demo_overview.kinds.get(f.at),
        "firm": lambda f: "provisional" if f.provisional else "firm",
    }[name]
    counts = Counter(map(told, demo_report.findings))
    value = next(v for v, _ in counts.most_common() if v)
    page.run(
        f"(() => {{ const e = document.getElementById('{name}'); e.value = {value!r};"
        " e.dispatchEvent(new Event('change', {bubbles: true})); })()"
    )
    assert page.run(COUNT) == counts[value]
    assert f"{name}=" in page.run("location.hash")


def test_it_is_sorted_by_how_far_the_limit_is_missed(page, demo_report):
    page.run("document.querySelector('th[data-sort=margin] button').click()")
    first = page.run("document.querySelector('tr.row .c-margin').textContent")
    assert first.startswith("−")
