"""Reading a photographed nameplate from the command line; pictures where the extra is installed."""

import importlib.util
import json
import socket
from random import Random

import drawn_plate
import pytest

from register.intake.nameplate import photo
from register.intake.nameplate.check import proposals
from register.intake.nameplate.model import AGREES, Photograph, TextLine
from register.intake.nameplate.text import readings
from register.store.database import opened

needs_extra = pytest.mark.skipif(
    any(importlib.util.find_spec(name) is None for name in photo.NEEDED), reason="needs the extra photo"
)
LINES = ("kW 15 V 400 A 28,0 η 92,1 cos φ 0,84 Hz 50", "Nr. K123 min-1 1465 \x1b[2J")


@pytest.fixture
def read(monkeypatch):
    """A photograph as if it had been read."""
    corners = lambda y: ((0, y), (900, y), (900, y + 20), (0, y + 20))  # noqa: E731
    lines = tuple(TextLine(text, corners(60 * number)) for number, text in enumerate(LINES))
    made = Photograph("plate.jpg", "ab" * 32, 900, 300, lines)
    monkeypatch.setattr(photo, "read_photograph", lambda path: made)


def test_without_the_extra_it_says_how_to_get_it(startroll, plant, monkeypatch):
    monkeypatch.setattr(photo.importlib.util, "find_spec", lambda name: None)
    ran = startroll("plate", "plate.jpg")
    assert ran.code == 2 and "pip install 'startroll[photo]'" in ran.err


def test_a_look_shows_proposals_and_leaves_the_register_alone(startroll, untouched, read):
    ran = startroll("plate", "plate.jpg", "--at", "P-1")
    assert (ran.code, ran.err) == (0, "") and "\x1b" not in ran.out
    assert "Nothing is written" in ran.out and "28 A" in ran.out and "65 A" in ran.out
    assert max(map(len, ran.out.splitlines())) <= 80
    assert startroll("plate", "plate.jpg").code == 0


def test_json_holds_the_values_the_text_and_its_place(startroll, untouched, read):
    made = json.loads(startroll("plate", "plate.jpg", "--json").out)
    (amps,) = [p for p in made["proposals"] if p["column"] == "fla_a"]
    assert amps["state"] == AGREES and amps["readings"][0]["value"] == 28
    assert made["photograph"]["lines"][amps["readings"][0]["line"]]["corners"][0] == [0, 0]


def test_what_is_accepted_is_said_back(startroll, plant, read):
    ran = startroll("plate", "plate.jpg", "--at", "P-2", "--accept", "fla_a", "--reason", "plate read", "--by", "rk")
    assert (ran.code, ran.err) == (0, "") and "P-2 fla_a: unknown → 28 A" in ran.out
    with opened(plant) as db:
        assert db.execute("SELECT fla_a, power_kw FROM motor WHERE tag = 'P-2'").fetchall() == [(28.0, None)]


@pytest.mark.parametrize(
    ("typed", "said"),
    (
        (("--accept", "fla_a"), "give --at TAG"),
        (("--accept", "fla_a", "--at", "P-2"), "a change needs its reason"),
        (("--at", "P-9"), "P-9"),
        (("--accept", "speed_rpm", "--at", "P-2", "--reason", "plate read"), "confirms speed_rpm"),
    ),
)
def test_what_is_missing_is_asked_for(startroll, untouched, read, typed, said):
    ran = startroll("plate", "plate.jpg", *typed)
    assert ran.code == 2 and said in ran.err


@needs_extra
def test_a_file_that_is_no_picture_is_refused(startroll, plant, tmp_path):
    (tmp_path / "notes.jpg").write_text("not a picture")
    assert "is not a picture" in startroll("plate", "notes.jpg").err
    assert "cannot be read" in startroll("plate", "nowhere.jpg").err


@needs_extra
@pytest.mark.parametrize(("form", "harm"), (("us", "as new"), ("de", "tilted"), ("fr", "worn")))
def test_pictures_are_read_without_a_network(form, harm, tmp_path, monkeypatch):
    def refuse(*_):
        raise AssertionError("a connection was tried")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    chance = Random(5)
    plate = drawn_plate.drawn(chance, form)
    drawn_plate.picture(plate, chance, harm).save(tmp_path / "plate.png")
    found = photo.read_photograph(tmp_path / "plate.png")
    made = proposals(readings(found.lines))
    same = {p.column for p in made if _same(p.value, plate.truth.get(p.column))}
    assert not {p.column for p in made if p.state == AGREES} - same
    assert len(same) >= len(plate.truth) * (0.9 if harm == "as new" else 0.6)


def _same(value, truth):
    return value == truth if isinstance(truth, str) else value == pytest.approx(truth, rel=1e-5)
