"""The page of a round: filled in, left, saved, opened again; hostile text; what eyes, hands and ears need."""

import hashlib
import json
import os
import random
import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from round_page import HOSTILE
from round_trials import FILL, NOW, plain, saved_file, taken_back

from register.reports.round.data import packed
from register.reports.round.document import html
from register.rounds.model import Question, Round, Stop
from register.rounds.saved_file import canonical, read_saved
from register.store.database import opened
from register.store.identity import register_id

TRIALS = int(os.environ.get("STARTROLL_EXAMPLES", "3"))


def test_answers_outlast_a_reload_and_are_all_in_the_saved_file(page, lineup_page, lineup):
    """A trial answers a dozen questions at random in one part, leaves, comes back, and saves."""
    for trial in range(TRIALS):
        page.size((390, 820)[trial % 2], 844)
        tabs = page.run("document.querySelectorAll('#tabs button:not([hidden])').length")
        page.run(f"document.querySelectorAll('#tabs button:not([hidden])')[{trial % tabs}].click(); 0")
        page.run(f"{FILL}({random.Random(trial).randrange(2**31)})")
        answered = json.loads(page.run(NOW))
        page.reload()
        assert json.loads(page.run(NOW)) == answered, trial
        assert page.run("unsaved()") > 0
        found = read_saved(saved_file(page), lineup.register)
        assert [json.loads(json.dumps(a)) for a in map(plain, found.answers)] == answered, trial
        assert page.run("unsaved()") == 0 and found.site == lineup.site and found.title == "MCC-31"
    # Without a hand on it the browser asks nobody whether to leave, and says so.
    assert [told for told in page.complaints() if "beforeunload" not in told] == []


def test_what_one_shelf_lost_the_other_still_has(page, lineup_page):
    """A browser may come back with one of its stores empty."""
    page.run(f"{FILL}(23)")
    answered = page.run(NOW)
    page.run("new Promise((r) => setTimeout(() => r(1), 200))")
    page.run("localStorage.clear(); 0")
    page.reload()
    assert page.run(NOW) == answered != "[]"


def test_what_was_answered_in_a_browser_is_back_in_the_register_or_told(page, demo, tmp_path):
    """Random answers, sound and unsound: each is taken, the same, kept, in conflict or refused; what is taken is there."""
    for seed in range(12):
        page.run(f"document.querySelectorAll('#tabs button:not([hidden])')[{seed % 4}].click(); 0")
        page.run(f"{FILL}({seed + 100})")
    register = tmp_path / "plant.db"
    shutil.copy(demo, register)
    with opened(register, write=True) as db:
        saved = read_saved(saved_file(page), register_id(db))
        made = taken_back(db, saved)
        assert made["taken"] > 30 and made["there"] > 20


def test_the_saved_file_is_of_the_schema(page, lineup):
    schema = json.loads((Path(__file__).parents[3] / "docs/schema/round.schema.json").read_text("utf-8"))
    page.run(f"{FILL}(7)")
    page.run(
        "const w = document.getElementById('who'); w.value = 'R. Kvernø <b>'; w.dispatchEvent(new Event('input')); 0"
    )
    path = saved_file(page)
    Draft202012Validator(schema).validate(json.loads(path.read_text("utf-8")))
    assert read_saved(path, lineup.register).who == "R. Kvernø <b>"
    assert "/" not in path.name and "<" not in path.name


def test_a_saved_file_opened_on_another_device_goes_on(page, lineup_page, forget):
    page.run(f"{FILL}(11)")
    answered, path = page.run(NOW), saved_file(page)
    page.run(forget)
    page.open(lineup_page)
    assert page.run("answers.size") == 0
    text = json.dumps(path.read_text("utf-8"))
    page.run(f"reopen(new File([{text}], 'saved.json'))")
    assert page.run(NOW) == answered and page.run("unsaved()") == 0
    # An answer that was given since is newer, and stays.
    page.run(
        "const c = cells.find((one) => one.element && isAnswered(one)); change(c, {state: 'illegible'}); answers.get(c.id).at = '2099-01-01T00:00:00+00:00'; 0"
    )
    page.run(f"reopen(new File([{text}], 'saved.json'))")
    assert "1 are newer here" in page.run("document.getElementById('told').textContent")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda t: t[:-30], "a part of it is missing"),
        (lambda t: t.replace('"who": ""', '"who": "x"'), "changed or damaged"),
        (lambda t: t.replace('"round": 2', '"round": 9'), "later version"),
        (lambda t: "{}", "no saved round"),
    ],
)
def test_a_file_that_is_not_whole_is_refused_on_the_page_too(page, change, says):
    page.run(f"{FILL}(3)")
    text = change(saved_file(page).read_text("utf-8"))
    page.run(f"reopen(new File([{json.dumps(text)}], 'saved.json'))")
    assert says in page.run("document.getElementById('told').textContent")


def test_the_hash_is_sha_256(page):
    """FIPS 180-4 examples (NIST, SHA256.pdf): "abc", two blocks, empty; and lengths round a block, beside hashlib."""
    run = lambda text: page.run(f"sha256(new TextEncoder().encode({json.dumps(text)}))")  # noqa: E731
    assert run("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    two = "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"
    assert run(two) == "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"
    assert run("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
    for length in (1, 55, 56, 63, 64, 65, 119, 120, 1000):
        assert run("x" * length) == hashlib.sha256(b"x" * length).hexdigest(), length


def test_the_page_and_the_reader_write_the_same_canonical_form(page):
    """The cases of RFC 8785, 3.2.3 (order of keys) and appendix B (numbers)."""
    whole = {
        "numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 1e-27, 5e-324, 9007199254740992, 1e21, 1e-7, 0.000001],
        "text": "€$\u000f\nA'B\"\\\\\"/ \u2028ø", "literals": [None, True, False], "a": {"b": 1, "B": 2},
    }  # fmt: skip
    assert page.run(f"canonical({json.dumps(whole)})") == canonical(whole)


def test_hostile_text_stays_text(browser, lineup, tmp_path):
    number = next(q.column for s in lineup.stops for q in s.questions if q.column.name == "ramp_s")
    text = next(q.column for s in lineup.stops for q in s.questions if q.column.name == "motor_enclosure")
    stops = tuple(
        Stop(f"{bad}{n}", False, bad, bad, bad, bad, bad, True, (
            Question(number, bad, 4.0, bad, bad), Question(text, bad, bad, bad, bad, (bad, bad))))
        for n, bad in enumerate(HOSTILE)
    )  # fmt: skip
    path = tmp_path / "hostile.html"
    path.write_text(html(Round("reg", HOSTILE[0], HOSTILE[1], lineup.made_on, "us", stops)), "utf-8")
    browser.events.clear()
    browser.open(path)
    try:
        assert browser.run("D.stops.map((s) => s.at)") == [s.at for s in stops]
        assert (
            browser.run("document.querySelectorAll('#list script, #list img, #list b:not(.doubt), h1 img').length") == 0
        )
        browser.run(
            "cells.forEach((c) => change(c, {typed: '</script><b>x'})); at('find').value = '<'; draw(); paper(); 0"
        )
        found = json.loads(browser.run(NOW))
        assert [a["at"] for a in found] == [s.at for s in stops for _ in s.questions]
        assert {a["as_typed"] for a in found} == {"</script><b>x"}
        assert browser.run("document.title") == f"● {HOSTILE[1]}" and browser.complaints() == []
        assert "\u202e" not in browser.run("document.body.innerText")
        read_saved(saved_file(browser), "reg")
    finally:
        browser.run("allSaved(); localStorage.clear(); 0")


def test_it_asks_nothing_of_a_network(page, lineup_page):
    text = lineup_page.read_text("utf-8")
    assert "default-src 'none'" in text and not re.search(r"https?://", text)
    assert {url.partition(":")[0] for url in page.requests()} <= {"file", "about", "blob"}


def test_a_thousand_questions_take_a_hundred_kilobytes(whole):
    assert whole.count > 900
    assert len(html(whole).encode()) <= 100 * whole.count


def test_numbers_units_and_days_are_understood_as_typed(page):
    """A horsepower is 550 ft·lbf/s = 0.745 699 87 kW (NIST SP 811, appendix B.9)."""
    columns = {"power_kw": "kW", "ramp_s": "s", "poles": "", "made_on": ""}
    page.run(
        "window.as = (kind, unit, low, high, typed, given) => { const r = understood({c: {kind, unit, low, high}}, typed, given);"
        " return [r.value, r.wrong || '']; }; 0"
    )
    as_typed = lambda *given: page.run(f"as({json.dumps(given)[1:-1]})")  # noqa: E731
    assert columns
    assert as_typed("n", "s", 0, 600, "12,5", "s") == [12.5, ""]
    assert as_typed("n", "s", 0, 600, " 12.5 s ", "s") == [12.5, ""]
    assert as_typed("n", "h", 0, 9000, "8 760", "h") == [8760, ""]
    assert as_typed("n", "kW", 0, 999, "75", "hp")[0] == pytest.approx(55.9274903, rel=1e-8)
    assert as_typed("n", "kW", 0, 999, "55 kW", "hp") == [55, ""]
    assert as_typed("n", "°C", -40, 80, "104", "°F")[0] == pytest.approx(40)
    assert as_typed("n", "V", 1, 2000, "1,200", "V")[0] is None
    assert as_typed("n", "V", 1, 2000, "0,125", "V")[1].startswith("Outside")
    assert as_typed("n", "s", 0, 600, "9000", "s") == [9000, "Outside 0 to 600 s"]
    assert as_typed("n", "s", 0, 600, "12 or 13", "s")[0] is None
    assert as_typed("i", "", 2, 48, "4.5", "") == [4.5, "Not a whole number"]
    assert as_typed("d", "", None, None, "2026-02-30", "") == [None, "Write the day as 2026-03-01"]
    assert as_typed("d", "", None, None, "2024-02-29", "") == ["2024-02-29", ""]


def test_a_question_that_depends_on_another_comes_with_its_answer(page):
    found = page.run(
        "(() => { const c = cells.find((one) => one.c.needs && one.follows && one.c.needs.more === null && one.stop.cells.some((o) => o.c.name === one.c.needs.column));"
        " const on = c.stop.cells.find((o) => o.c.name === c.c.needs.column); at('find').value = c.stop.at; draw();"
        " const before = c.element.hidden; change(on, {typed: c.c.needs.words[0]}); answered(on); const with_ = c.element.hidden;"
        " change(c, {state: 'illegible'}); change(on, {typed: on.c.choices.find((w) => !c.c.needs.words.includes(w))}); answered(on);"
        " return [before, with_, c.element.hidden, c.element.className]; })()"
    )
    assert found[:3] == [True, False, False] and "odd" in found[3], found


def test_a_photo_is_handed_out_and_its_hash_is_in_the_file(page, lineup):
    data = bytes(range(256)) * 40
    page.run(
        "(async () => { const input = document.querySelector('.ph input'), box = new DataTransfer();"
        f" box.items.add(new File([new Uint8Array({list(data)})], 'IMG 1.JPG', {{type: 'image/jpeg'}})); input.files = box.files;"
        " input.dispatchEvent(new Event('change')); while (!photos.size) await new Promise((r) => setTimeout(r, 10)); })()"
    )
    answer = next(a for a in read_saved(saved_file(page), lineup.register).answers if a.photo)
    assert answer.photo.sha256 == hashlib.sha256(data).hexdigest() and answer.photo.file.endswith(".JPG")
    assert answer.state == "not known" and answer.note == "in the photo"
    kept = page.downloads / answer.photo.file
    page.until("new Promise((r) => setTimeout(() => r(true), 100))")
    assert kept.read_bytes() == data


def test_a_position_is_found_by_its_label_or_its_name(page):
    page.run(
        "window.BarcodeDetector = class { async detect() { return [{rawValue: 'not here'}, {rawValue: ' p-3103 '}]; } };"
        "Object.defineProperty(navigator, 'mediaDevices', {value: {getUserMedia: async () => new MediaStream()}, configurable: true});"
        "HTMLMediaElement.prototype.play = async () => {}; offerScan(); 0"
    )
    assert page.run("document.getElementById('offer-scan').hidden") is False
    page.run("scan()")
    assert page.run("[...document.querySelectorAll('.pos h3 bdi')].map((e) => e.textContent)") == ["P-3103"]
    assert page.run("document.getElementById('scan').open") is False
    page.run("at('find').value = 'cleaner'; draw(); 0")
    assert page.run("document.querySelectorAll('.pos').length") >= 1
    assert page.run("[...document.querySelectorAll('.safe')].length") >= 1


@pytest.mark.parametrize(("width", "scheme"), [(390, "light"), (820, "dark"), (1440, "light")])
def test_axe_finds_no_violation(page, axe, scheme, width):
    """axe-core 4.4 (Deque), all rules of WCAG 2.1 A and AA and its best practices."""
    page.size(width, 844)
    page.scheme(scheme)
    try:
        page.run(f"{FILL}(5); at('find').value = 'p-312'; draw(); 0")
        page.run(axe + ";0")
        found = page.run("axe.run().then(r => r.violations.map(v => [v.id, v.nodes.slice(0, 3).map(n => n.html)]))")
        assert found == []
        assert page.run("document.documentElement.scrollWidth") <= width
    finally:
        page.scheme("light")


def test_every_touch_field_is_large_enough(page):
    """WCAG 2.2, 2.5.8 asks for 24 px, 2.5.5 for 44; a glove for more: 44 at least, in each part."""
    small = page.run(
        "[...document.querySelectorAll('button, select, input:not([type=file])')].filter((e) => e.offsetParent"
        " && e.getBoundingClientRect().height < 44).map((e) => e.outerHTML.slice(0, 80))"
    )
    assert small == []


def test_it_prints_every_question_with_its_part_s_words_of_safety(page, lineup):
    page.run("paper(); 0")
    text = page.run("document.getElementById('paper').textContent")
    assert page.run("document.querySelectorAll('#paper tr').length") == lineup.count
    for words in ("Panels stay closed.", "prove dead", "Keep clear of moving parts."):
        assert words in text
    assert "live panel" in text and text.count("☐") > lineup.count
    for paper in ("A4", "Letter"):
        assert page.pdf(paper).startswith(b"%PDF")


def test_without_scripts_it_says_what_to_do(browser, lineup_page):
    browser.ask("Emulation.setScriptExecutionDisabled", value=True)
    try:
        browser.ask("Page.navigate", url=lineup_page.as_uri())
        browser.until("document.querySelector('noscript') && document.readyState === 'complete'")
        assert "needs scripts" in browser.run("document.body.innerText")
    finally:
        browser.ask("Emulation.setScriptExecutionDisabled", value=False)


def test_the_same_round_is_the_same_page_and_another_has_another_number(lineup):
    assert html(lineup) == html(lineup)
    number = lambda made: json.loads(packed(made).replace("\\u003c", "<"))["page"]  # noqa: E731
    assert number(lineup) != number(replace(lineup, made_on="2026-11-25T09:00:00+00:00"))
