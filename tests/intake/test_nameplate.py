"""From the text of a nameplate to values, how far the plate confirms them, and what may be written of it.

Truth is that of plates drawn with numbers that close by A = kW / (√3·V·η·cos φ), IEC 60034-1; no picture is read here.
"""

from random import Random

import drawn_plate
import pytest

from register.errors import StartrollError
from register.intake.nameplate.accept import accept, proposed
from register.intake.nameplate.check import BEYOND, CLOSURE, proposals
from register.intake.nameplate.model import AGREES, ALONE, DOUBTED, SEVERAL, Photograph, Reading, TextLine
from register.intake.nameplate.text import readings
from register.store.database import create, opened, writing
from register.store.history import position_history
from register.store.origins import origin_of

WIDE, HIGH = 16, 30


def line(text, left=0, top=0, slope=0.0):
    """Text on a picture, on a plate that lies askew by `slope`."""
    right = left + WIDE * len(text)
    places = ((left, top), (right, top), (right, top + HIGH), (left, top + HIGH))
    return TextLine(text, tuple((x - slope * y, y + slope * x) for x, y in places))


def as_lines(plate, slope=0.0):
    return [
        line(text, 40 + 100 * place, 40 + 90 * number, slope)
        for number, row in enumerate(plate.rows)
        for place, text in row
    ]


def values(*texts):
    found = {}
    for reading in readings([line(text, top=90 * number) for number, text in enumerate(texts)]):
        found.setdefault(reading.column, []).append(reading.value)
    return found


@pytest.mark.parametrize("form", drawn_plate.FORMS)
@pytest.mark.parametrize("slope", (0.0, 0.12, -0.12))
def test_each_form_gives_its_truth_and_nothing_else_whatever_the_tilt(form, slope):
    chance = Random(7)
    for _ in range(20):
        plate = drawn_plate.drawn(chance, form)
        lines = as_lines(plate, slope)
        chance.shuffle(lines)
        made = {p.column: p for p in proposals(readings(lines))}
        # 20 hp stands for 14.914 kW: to the digits that are kept.
        truth = {n: v if isinstance(v, str) else pytest.approx(v, rel=1e-5) for n, v in plate.truth.items()}
        assert {name: p.value for name, p in made.items()} == truth, lines
        assert {made[name].state for name in CLOSURE} == {AGREES}
        assert made["speed_rpm"].state == ALONE


@pytest.mark.parametrize(
    ("text", "column", "expected"),
    (
        ("V 400 Y Hz 50 kW 15,0", "power_kw", [15.0]),
        ("400 V 50 Hz 15 kW 28,5 A", "fla_a", [28.5]),
        ("Spannung 400 V Strom 28,5 A Leistung 15 kW", "fla_a", [28.5]),
        ("V 230/400 D/Y A 49,3/28,5", "motor_voltage_v", [230.0, 400.0]),
        ("HP 7-1/2 RPM 1765", "power_kw", [pytest.approx(5.593, abs=1e-3)]),
        ("min-1 1.465", "speed_rpm", [1465.0]),
        ("SFA 27.5 AMPS 24", "fla_a", [24.0]),
        ("P.F. 84 %", "power_factor", [0.84]),
        ("Rendement 92,1 %", "efficiency_pct", [92.1]),
        ("IE3 92,1% (100%)", "efficiency_pct", [92.1]),
        ("Wärmekl. 155(F)", "insulation_class", ["F"]),
        ("Clase aisl. F", "insulation_class", ["F"]),
        ("IP 55", "motor_enclosure", ["IP55"]),
        ("DUTY CONT.", "duty_type", ["S1"]),
        ("NEMA DESIGN B", "design_letter", ["B"]),
        ("KVA CODE G", "code_letter", ["G"]),
        ("Fabr.-Nr. 12-AB/7", "motor", ["12-AB/7"]),
        ("3 PH 60 HZ", "phases", [3.0]),
    ),
)  # fmt: skip
def test_labels_and_units_stand_before_or_behind(text, column, expected):
    assert values(text)[column] == expected


@pytest.mark.parametrize(
    "text",
    (
        "4O0 V",  # a letter among figures is not put right
        "I5 kW",
        "kW 400 V 28.5 A",  # a number is lost: units before, or behind?
        "28.5 V",  # no motor has that
        "1465",  # without a label or a unit
        "Type AB160M-4 IC411 50kg 40°C",
    ),
)
def test_what_cannot_be_told_stays_unread(text):
    assert values(text) == {}


def test_a_number_lost_among_others_costs_no_other_its_unit():
    assert values("4O0 V 690 A") == {"fla_a": [690.0]}


def test_under_a_head_that_was_not_read_a_column_of_a_table_stays_unread():
    plate = drawn_plate.drawn(Random(3), "table")
    lines = [one for one in as_lines(plate) if one.text != "cos φ"]
    found = {reading.column for reading in readings(lines)}
    assert "power_factor" not in found and {"fla_a", "speed_rpm", "efficiency_pct"} <= found


def test_several_ratings_are_a_question_and_are_checked_pair_by_pair():
    made = {p.column: p for p in proposals(readings([line("kW 15 V 230/400 A 48,7/28,0 η 92,1 cos φ 0,84")]))}
    assert made["motor_voltage_v"].state == made["fla_a"].state == SEVERAL
    wrong = {p.column: p for p in proposals(readings([line("kW 15 V 230/400 A 48,7/82,0 η 92,1 cos φ 0,84")]))}
    assert wrong["fla_a"].state == DOUBTED


@pytest.mark.parametrize("name", CLOSURE)
def test_a_figure_read_wrong_is_doubted_where_the_numbers_no_longer_close(name):
    chance = Random(11)
    doubted = 0
    for _ in range(200):
        truth = drawn_plate.motor(chance, us=False)
        wrong = {n: truth[n] for n in CLOSURE} | {name: truth[name] * chance.choice((0.1, 0.8, 0.9, 1.1, 1.3, 10))}
        (own,) = [p for p in proposals(Reading(n, v, "") for n, v in wrong.items()) if p.column == name]
        assert own.state == DOUBTED and "was read" in own.why
        doubted += 1
    assert doubted == 200 and BEYOND < 0.1


@pytest.mark.parametrize(
    ("column", "value", "other"),
    (
        ("motor_frequency_hz", 56.0, {}),
        ("motor_voltage_v", 408.0, {}),
        ("speed_rpm", 1265.0, {"motor_frequency_hz": 50.0}),  # 15.7 % below 1500: no cage motor slips so far
        ("speed_rpm", 1500.0, {"motor_frequency_hz": 50.0}),
        ("motor_enclosure", "IP95", {}),
        ("phases", 2.0, {}),
    ),
)
def test_what_no_list_and_no_motor_has_is_doubted(column, value, other):
    found = {p.column: p for p in proposals(Reading(n, v, "") for n, v in {column: value, **other}.items())}
    assert found[column].state == DOUBTED and found[column].why


# What is written of it.


@pytest.fixture(scope="module")
def bare(tmp_path_factory):
    path = tmp_path_factory.mktemp("plates") / "plant.db"
    create(path, {"site": "Oldmarrow Works", "practice": "iec"})
    with opened(path, write=True) as db, writing(db, reason="walk"):
        db.conn.execute("INSERT INTO position (tag) VALUES ('P-1')")
        db.conn.execute("INSERT INTO position (tag) VALUES ('P-2')")
        db.conn.execute("INSERT INTO motor (motor, tag, fla_a) VALUES ('K77', 'P-2', 285)")
    return path.read_bytes()


@pytest.fixture
def db(bare, tmp_path):
    path = tmp_path / "plant.db"
    path.write_bytes(bare)
    with opened(path, write=True) as made:
        yield made


PLATE = Photograph(
    "plate.jpg", "ab" * 32, 1200, 500, (line("kW 15 V 400 A 28,0 η 92,1 cos φ 0,84 Hz 50"), line("Nr. K123 min-1 1465", top=90))
)  # fmt: skip


def take(db, tag, *asked, sure=False, photograph=PLATE):
    with writing(db, reason="plate read", author="rk", source_file="photograph: plate.jpg", source_hash="ab" * 32):
        return accept(db, proposed(photograph, db, tag), asked, sure=sure)


def motors(db):
    return list(db.query("SELECT motor, tag, power_kw, fla_a, speed_rpm FROM motor ORDER BY tag"))


def test_a_look_writes_nothing(db):
    before = list(db.conn.iterdump())
    made = proposed(PLATE, db, "P-2")
    assert made.on_file == {"motor": "K77", "fla_a": 285} and "K77" in made.note
    assert list(db.conn.iterdump()) == before


def test_only_what_is_accepted_is_written_with_the_photograph_as_its_source(db):
    made = take(db, "P-1", "fla_a", "speed_rpm=1465", "power_kw=15 kW")
    assert [name for name, _, _ in made.accepted] == ["fla_a", "speed_rpm", "power_kw"]
    (own, _) = motors(db)
    assert own == {"motor": "unmarked motor at P-1", "tag": "P-1", "power_kw": 15, "fla_a": 28, "speed_rpm": 1465}
    kept = next(db.query("SELECT * FROM change_set ORDER BY change_set DESC LIMIT 1"))
    assert (kept["source_file"], kept["source_hash"]) == ("photograph: plate.jpg", "ab" * 32)
    assert "from photograph: plate.jpg, by rk" in origin_of(db, ["P-1"], ["fla_a"])["P-1", "fla_a"]
    assert any(entry.author == "rk" for entry in position_history(db, "P-1"))


@pytest.mark.parametrize(
    ("asked", "said"),
    (
        ("speed_rpm", "nothing else on the plate confirms speed_rpm"),
        ("motor", "nothing else on the plate confirms motor"),
        ("service_factor", "was not read"),
        ("ramp_s=3", "no column that a motor's plate fills"),
        ("fla_a=", "no value"),
        ("fla_a=280", "280 A was read"),
        ("fla_a=much", "much"),
    ),
)
def test_what_cannot_be_accepted_so_is_said_and_nothing_is_written(db, asked, said):
    before = motors(db)
    with pytest.raises(StartrollError, match=said):
        take(db, "P-1", "power_kw", asked)
    assert motors(db) == before


def test_every_value_that_cannot_be_taken_is_named_at_once(db):
    with pytest.raises(StartrollError) as refused:
        take(db, "P-1", "speed_rpm", "service_factor", "fla_a")
    assert len(refused.value.problems) == 2


def test_a_value_that_is_a_slip_beside_what_is_on_file_is_asked_as_correct_asks(db):
    with pytest.raises(StartrollError, match="looks like a slip"):
        take(db, "P-2", "fla_a=28.5")
    take(db, "P-2", "fla_a=28.5", sure=True)
    assert motors(db)[0]["fla_a"] == 28.5


def test_another_serial_than_on_file_may_be_another_motor(db):
    with pytest.raises(StartrollError, match="another motor may stand there"):
        take(db, "P-2", "motor=K123")
    take(db, "P-1", "motor=K123")
    assert [row["motor"] for row in motors(db)] == ["K123", "K77"]


def test_a_doubted_value_is_written_only_as_a_person_read_it(db):
    misread = Photograph("p.jpg", "00", 900, 90, (line("kW 15 V 400 A 280 η 92,1 cos φ 0,84"),))
    with pytest.raises(StartrollError, match="fla_a is doubted"):
        take(db, "P-1", "fla_a", photograph=misread)
    take(db, "P-1", "fla_a=28", photograph=misread)
    assert motors(db)[0]["fla_a"] == 28
