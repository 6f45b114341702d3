"""The settings sheet: one page, hostile text harmless, what is based on what, and what is outstanding."""

import re
from dataclasses import fields, is_dataclass, replace
from datetime import date

import pytest
from by_path import checklist, sheet
from chromium import LOADED, Chromium, installed
from fan import TAG
from sample_plant import Sample

from register.errors import StartrollError
from register.intake.correct import add_record, set_value
from register.reports.sheet_page import page
from register.store.database import opened, writing
from register.store.queries import position

TODAY = date(2026, 11, 25)
HOSTILE = '\x1b[31m</td><script>alert("x")</script><img src=x onerror=alert(1)> &amp; ' + "w" * 300
SIZES = {"A4": (595, 842), "letter": (612, 792)}
# A drive, a soft starter with a bypass, one whose motor contradicts itself, a direct start.
SOME = ("P-2109", "A-4140", "C-3127", "F-2132")


@pytest.fixture(scope="module")
def browser():
    if installed() is None:
        pytest.skip("no Chromium here: apt-get install chromium")
    with Chromium() as made:
        yield made


def printed(browser, html, size, folder):
    """(pages, width, height) of the page as Chromium prints it."""
    source = folder / "sheet.html"
    source.write_text(html.replace("size: auto", f"size: {size}"), encoding="utf-8")
    browser.open(source, ready=LOADED)
    data = browser.pdf(None)
    boxes = re.findall(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)", data)
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", data)), *(round(float(n)) for n in boxes[0])


def everything(value, text):
    """The same object with every text of it replaced."""
    if isinstance(value, str):
        return text
    if isinstance(value, tuple):
        return tuple(everything(item, text) for item in value)
    if is_dataclass(value):
        return replace(
            value,
            **{
                f.name: everything(getattr(value, f.name), text)
                for f in fields(value)
                if f.name not in ("column", "name", "unit")
            },
        )
    return value


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("tag", SOME)
def test_it_prints_on_one_page(browser, demo, tmp_path, tag, size):
    html = page(sheet(demo.path, tag, today=TODAY))
    pages, width, height = printed(browser, html, size, tmp_path)
    assert pages == 1
    assert (width, height) == pytest.approx(SIZES[size], abs=1)


@pytest.mark.parametrize("size", SIZES)
def test_long_and_hostile_names_stay_on_the_page(browser, demo, tmp_path, size):
    made = sheet(demo.path, "A-4140", today=TODAY)
    named = replace(made, tag=HOSTILE, description=HOSTILE, site=HOSTILE, place=HOSTILE, device=HOSTILE, source=HOSTILE)
    assert printed(browser, page(named), size, tmp_path)[0] == 1


def test_text_of_the_register_is_never_markup(demo):
    made = everything(sheet(demo.path, "A-4140", today=TODAY), HOSTILE)
    html = page(made)
    assert "<script" not in html
    assert "<img" not in html
    assert "&lt;script&gt;" in html
    assert "\x1b" not in html


def test_a_hand_that_could_be_hurt_is_warned(demo):
    html = page(sheet(demo.path, "A-2106", today=TODAY))
    for caution in (
        "Local codes and licensed practice come first",
        "prove dead",
        "arc flash",
        "nobody near",
        "wrong way",
        "restart by itself",
        "locked, tagged",
    ):
        assert caution in html, caution


def test_the_steps_are_in_the_order_in_which_they_are_safe(demo):
    # Source: common practice; rules/commissioning/connections-verified.yml gives the same order.
    names = [s.name for s in sheet(demo.path, "A-2106", today=TODAY).checklist.steps]
    order = ["Isolate", "Connections", "Safety", "Parameters", "Close and clear", "Bump", "Load"]
    assert [n for n in names if n in order] == order


@pytest.fixture(scope="module")
def sheets(sample):
    """The sheets of every so many positions that have a device."""
    with opened(sample.path) as db:
        tags = [r[0] for r in db.conn.execute("SELECT DISTINCT tag FROM device WHERE tag IS NOT NULL ORDER BY tag")]
    return [sheet(sample.path, tag, today=TODAY) for tag in tags[::14]]


def test_every_setting_has_a_value_or_the_fields_to_read(sheets):
    for made in sheets:
        for line in made.lines:
            assert (line.value is None) == bool(line.to_read), (made.tag, line.column)
            assert line.why


def test_nothing_is_shown_that_is_no_value(sheets):
    for made in sheets:
        text = re.sub(r"<style>.*?</style>", "", page(made), flags=re.S)
        assert not re.search(r"\b(None|nan|NaN|inf)\b", text), made.tag


def test_a_stand_in_is_said(demo):
    made = sheet(demo.path, "K-1128", today=TODAY)
    assert "breakdown_torque_pct" in {i.column for i in made.assumed}
    assert not sheet(demo.path, "K-1128", today=TODAY, measured_only=True).assumed


def test_another_device_brings_no_settings_of_its_own(demo):
    """A device that stands elsewhere is set for this motor, not as it was there."""
    with opened(demo.path) as db:
        serial, model = db.conn.execute(
            "SELECT device, device.model FROM device JOIN setting USING (device) JOIN model"
            " ON model.model = device.model WHERE device_kind = 'soft starter'"
            " AND rated_current_a > 100 AND current_limit_xfla IS NOT NULL"
        ).fetchone()
    by_serial = sheet(demo.path, "A-2106", today=TODAY, device=serial)
    by_model = sheet(demo.path, "A-2106", today=TODAY, model=model)
    assert [(x.column, x.value) for x in by_serial.lines] == [(x.column, x.value) for x in by_model.lines]
    assert all(line.now is None for line in by_serial.lines)
    assert not any(step.done for step in by_serial.checklist.steps)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"device": "nothing of that kind"}, "no device"),
        ({"model": "NOT-A-1"}, "no model"),
        ({"device": "a", "model": "b"}, "name one of the two"),
    ],
)
def test_what_does_not_exist_is_refused(demo, asked, said):
    with pytest.raises(StartrollError, match=said):
        sheet(demo.path, "A-2106", today=TODAY, **asked)


@pytest.fixture
def own(tmp_path):
    """A demo plant of one's own, to be written in."""
    return Sample("demo-plant", tmp_path)


def test_records_entered_clear_the_checklist(own):
    with opened(own.path, write=True) as db:
        with writing(db, reason="swap", author="mh"):
            for column in ("device_installed_on", "motor_installed_on"):
                set_value(db, "A-2106", column, "2026-11-20")
        owed = {step.kind for step in checklist(own.path, "A-2106", today=TODAY).outstanding}
        assert "bump test" in owed and "load test" in owed
        with writing(db, reason="in service", author="mh"):
            for kind in owed:
                add_record(db, "A-2106", kind, "passed", on="2026-11-24", by="mh")
            add_record(db, "A-2106", "load test", "passed", on="2026-11-25", by="mh", value=2.1, unit="s")
    made = checklist(own.path, "A-2106", today=TODAY)
    assert made.outstanding == ()
    load = next(step for step in made.steps if step.kind == "load test")
    assert load.last == "passed, 2.1 s, 2026-11-25, mh"


def test_a_failed_check_is_still_owed(own):
    with opened(own.path, write=True) as db, writing(db, reason="x", author="mh"):
        add_record(db, "A-2106", "bump test", "failed", on="2026-11-24", by="mh")
    made = checklist(own.path, "A-2106", today=TODAY)
    assert "bump test" in {step.kind for step in made.outstanding}


def test_a_value_belongs_to_its_unit(own):
    with opened(own.path, write=True) as db, writing(db, reason="x", author="mh"):
        with pytest.raises(StartrollError, match="belong together"):
            add_record(db, "A-2106", "load test", "passed", value=2.1)
        assert not any(r["value"] == 2.1 for r in position(db, "A-2106")["records"])


def test_what_even_the_best_setting_passes_is_said(demo):
    # Seeded: a fan that takes longer than its soft starter's code allows (samples/demo-plant).
    made = sheet(demo.path, "F-2135", today=TODAY)
    assert any("duty code" in words for words in made.exceeded)


def test_a_start_is_not_told_of_settings_that_are_not(fan):
    """Which modes the fan's device offers nobody has read; the limit recorded is not the sheet's."""
    made = sheet(fan, TAG, today=TODAY)
    assert made.figures == ()
    assert "start_mode" in made.why_no_start
    (mode,) = (line for line in made.lines if line.column == "start_mode")
    assert mode.to_read == ("start_modes",)
