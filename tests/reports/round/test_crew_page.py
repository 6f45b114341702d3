"""A crew's page in a browser: filled in by hand, saved, taken back; hostile text; printed."""

import json
from dataclasses import replace

import pytest
from crew_day import page_of
from round_page import HOSTILE, NOW, saved_file

from register.reports.round.document import html
from register.rounds.model import Bring, Crew
from register.rounds.saved_file import read_saved
from register.rounds.take_round import take_round
from register.store.database import opened, writing

CHANGES = {"P-2117": [("current_limit_xfla", 1.5, 2.6)]}
SETTING = "cells.find((c) => c.target !== null)"


@pytest.fixture(scope="module")
def plant(demo, tmp_path_factory):
    path = tmp_path_factory.mktemp("crew") / "plant.db"
    path.write_bytes(demo.read_bytes())
    with opened(path, write=True) as db, writing(db, reason="assigned"):
        db.execute(
            "INSERT INTO action (tag, against_rule, task, assigned_to, assigned_on, due_on) VALUES"
            " ('P-2117', 'settings/limit-enough-to-start', NULL, 'rk', '2026-11-20', '2026-12-10'),"
            " ('P-2125', 'line-protection/present', 'fit fuses, class J', 'rk', '2026-11-20', '2026-12-10')"
        )
    return path


@pytest.fixture(scope="module")
def made(plant):
    return page_of(plant, bus="MCC-21", changes=CHANGES, crew="R. K., A. M.", top=12, readings=6)


@pytest.fixture
def crew_page(browser, made, tmp_path, forget):
    path = tmp_path / "crew.html"
    path.write_text(html(made), "utf-8")
    browser.size(820, 1180)
    browser.open(path)
    browser.run(forget)
    browser.open(path)
    browser.events.clear()
    yield browser
    browser.run("allSaved(); 0")


def test_it_says_what_must_be_off_what_to_bring_and_that_it_is_no_permit(made):
    text = html(made)
    assert "This page is no permit to work." in text and "Permit to work no." in text
    assert any("whole lineup" in line and "45 motors" in line for line in made.crew.off)
    brought = {one.what: one.places for one in made.crew.bring}
    assert "voltage tester for 480 V, with a source to prove it on" in brought and "P-2125" in brought["locks and tags"]
    assert [stop.at for stop in made.stops] == sorted(stop.at for stop in made.stops)  # no bucket is on file here
    (setting,) = [q for stop in made.stops for q in stop.questions if q.target is not None]
    assert (setting.on_file, setting.target, setting.station.place) == (1.5, 2.6, "Stopped")


def test_ticked_and_typed_by_hand_it_comes_back_as_records_corrections_and_closed_actions(
    crew_page, made, plant, tmp_path
):
    run = crew_page.run
    run(
        "window.tick = (cell, word) => { here = cell.station; draw(); [...cell.element.querySelectorAll('.ch button')].find((b) => b.textContent === word).click(); }; 0"
    )
    run("window.job = (table, at) => cells.find((c) => c.job && c.c.table === table && c.stop.at === at); 0")
    run("tick(job('action', 'P-2117'), 'done'); tick(job('action', 'P-2125'), 'half done'); 0")
    run(
        "const first = cells.find((c) => c.job && c.job.ask); tick(first, 'passed'); const f = first.element.querySelector('input.found'); f.value = '48,5'; f.dispatchEvent(new Event('input')); 0"
    )
    run(
        f"here = {SETTING}.station; draw(); const s = {SETTING}.element, g = s.querySelector('input.found'); g.value = '1.8'; g.dispatchEvent(new Event('input')); [...s.querySelectorAll('.same')][0].click(); 0"
    )
    run("document.getElementById('who').value = 'R. Kvernø'; 0")
    answered = json.loads(run(NOW))
    assert run("unsaved()") == 4 == len(answered)
    saved = read_saved(saved_file(crew_page), made.register)
    setting = next(a for a in saved.answers if a.column == "current_limit_xfla")
    assert (setting.base, setting.found, setting.value) == (1.5, 1.8, 2.6)
    task = next(a for a in saved.answers if a.table == "record")
    assert (task.value, task.found, task.found_unit) == ("passed", 48.5, "N·m")
    copy = tmp_path / "plant.db"
    copy.write_bytes(plant.read_bytes())
    with opened(copy, write=True) as db:
        back = take_round(db, saved, file="crew.json")
        assert (back.taken, back.recorded, back.closed, len(back.undone)) == (1, 1, 1, 1) and not back.refused
    # Opened again on another device, it goes on from there.
    whole = json.dumps(
        (crew_page.downloads / next(p.name for p in crew_page.downloads.glob("*.json"))).read_text("utf-8")
    )
    run("for (const key of [...answers.keys()]) answers.delete(key); 0")
    run(f"reopen(new File([{whole}], 'saved.json'))")
    assert json.loads(run(NOW)) == answered


def test_a_half_filled_job_is_not_counted_as_done(crew_page):
    """A note or a measurement without a result is kept, and goes into the file; no box is ticked for anybody."""
    crew_page.run(
        "const c = cells.find((one) => one.job && one.job.ask); here = c.station; draw(); change(c, {found: 'about 50'}); answered(c); 0"
    )
    (only,) = json.loads(crew_page.run(NOW))
    assert (only["state"], only["value"], only["found"], only["found_typed"]) == ("not known", None, None, "about 50")
    assert crew_page.run("isAnswered(cells.find((one) => one.job && one.job.ask))") is False


def test_hostile_text_stays_text(browser, made, tmp_path):
    bad = HOSTILE * 3
    stops = []
    for n, stop in enumerate(made.stops):
        jobs = tuple(
            replace(job, title=bad[n], told=(bad[n + 1],), steps=(bad[n + 2],), caution=bad[n + 3]) for job in stop.jobs
        )
        stops.append(replace(stop, at=f"{bad[n]}{n}", description=bad[n], jobs=jobs))
    crew = Crew(bad[0], "2026-11-25", tuple(Bring(text, (text,)) for text in HOSTILE), HOSTILE)
    path = tmp_path / "hostile.html"
    path.write_text(html(replace(made, stops=tuple(stops), crew=crew, title=bad[0])), "utf-8")
    browser.events.clear()
    browser.open(path)
    try:
        browser.run(
            "cells.forEach((c) => change(c, {note: '</script><b>x', found: '=1+1'})); at('find').value = '<'; draw(); paper(); 0"
        )
        assert (
            browser.run("document.querySelectorAll('#list script, #list img, h1 img, .crew img, #paper img').length")
            == 0
        )
        assert browser.run("document.title").endswith(bad[0]) and browser.complaints() == []
        read_saved(saved_file(browser), made.register)
    finally:
        browser.run("allSaved(); localStorage.clear(); 0")


@pytest.mark.parametrize(("width", "scheme"), [(390, "light"), (820, "dark"), (1440, "light")])
def test_axe_finds_no_violation(crew_page, axe, scheme, width):
    """axe-core 4.4 (Deque), all rules of WCAG 2.1 A and AA and its best practices."""
    crew_page.size(width, 844)
    crew_page.scheme(scheme)
    try:
        for station in range(4):
            crew_page.run(f"here = {station}; draw(); 0")
            crew_page.run(axe + ";0")
            found = crew_page.run(
                "axe.run().then(r => r.violations.map(v => [v.id, v.nodes.slice(0, 3).map(n => n.html)]))"
            )
            assert found == []
            assert crew_page.run("document.documentElement.scrollWidth") <= width
    finally:
        crew_page.scheme("light")


def test_it_prints_a_box_for_every_result_on_a4_and_letter(crew_page, made):
    crew_page.run("paper(); 0")
    text = crew_page.run("document.getElementById('paper').textContent")
    jobs = list(made.jobs)
    assert crew_page.run("document.querySelectorAll('#paper tr').length") == len(jobs) + made.count
    for _, job in jobs:
        assert job.title in text and all(step in text for step in job.steps)
        assert " ".join(job.caution.split()) in " ".join(text.split())
    assert text.count("☐ half done") == len(jobs) and "as found" in text and "as left" in text
    for paper in ("A4", "Letter"):
        assert crew_page.pdf(paper).startswith(b"%PDF")
