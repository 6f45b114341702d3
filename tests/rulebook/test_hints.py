"""What people write who know their plant and no SQL: the spot that is marked, and what is told.

The mistakes were collected by letting an electrician write rules.
"""

import logging
import sqlite3

import pytest

from register.columns import SUBJECTS
from register.rulebook.check.expression_check import check
from register.rulebook.tables import facts_table

# What was typed, what is marked of it, words of the cause, words of the remedy.
TYPED = [
    ("device_kind = drive", "drive", "without quotes", "word of device_kind: write 'drive'"),
    ("device_kind != drive", "drive", "without quotes", "word of device_kind"),
    ("device_kind IN ('soft starter', drive)", "drive", "without quotes", "word of device_kind"),
    ("device_kind IN (soft starter, drive)", "soft starter", "without quotes", "'soft starter'"),
    ("device_kind NOT IN (star-delta)", "star-delta", "without quotes", "'star-delta'"),
    ("device_kind = soft starter", "soft starter", "without quotes", "write 'soft starter'"),
    ("area = Pulp house", "Pulp house", "without quotes", "write 'Pulp house'"),
    ("device_kind = 'soft starter' or drive", "drive", "without quotes", "IN ('…', 'drive')"),
    ("device_kind = 'drive' or 'star-delta'", "'star-delta'", "a truth belongs", "device_kind = 'star-delta'"),
    ("must_run_during_repair = yes", "yes", "without quotes", "write 'yes'"),
    ("must_run_during_repair = true", "true", "no word of a column", "write 'yes'"),
    ("must_run_during_repair = false", "false", "no word of a column", "write 'no'"),
    ("must_run_during_repair", "must_run_during_repair", "a truth is wanted", "= 'yes'"),
    ("power_kw >= 75 kW", "75 kW", "a unit behind a number", "power_kw is in kW already"),
    ("power_kw >= 75kW", "75kW", "a unit behind a number", "power_kw is in kW already"),
    ("cable_length_m <= 100 m", "100 m", "a unit behind a number", "is in m already"),
    ("overload_set_a <= 90% * fla_a", "90%", "percent sign", "write 0.9 for the share"),
    ("power_kw >= 75,5", "75,5", "no comma", "75.5"),
    ("power_kw >= 1 000", "1 000", "no blank", "digits together"),
    ("last_powered_on >= :today - 1 year", ":today - 1 year", "not shifted so", "date(:today, '-1 year')"),
    ("last_powered_on >= :today - 365", ":today - 365", "not shifted so", "date(:today, '-365 days')"),
    ("last_powered_on + 730 >= :today", "last_powered_on", "a day where a number", "julianday(:today) - julianday("),
    ("last_powered_on <= 730", "last_powered_on <= 730", "a day is compared", "julianday(:today) -"),
    ("last_powered_on >= today", "today", "without its colon", "write :today"),
    ("last_powered_on > 2024-01-01", "2024-01-01", "a day without quotes", "'2024-01-01'"),
    ("last_powered_on > 01.02.2024", "01.02.2024", "not a day", "'2026-03-01'"),
    ("datediff(:today, last_powered_on) <= 730", "datediff(", "no such function", "julianday(:today) - julianday("),
    ("last_powered_on <= now()", "now()", "the clock", ":today"),
    ("load = 'pump' and power_kw >= 75", "load", "unknown column 'load'", "load_kind"),
    ("if load_kind = 'fan' then power_kw >= 75", "if load_kind = 'fan' then", "no if and then", "into applies"),
    ("power_kw => 75", "=>", "not among", "write >="),
    ("power_kw ≥ 75", "≥", "not among", "write >="),
    ("power_kw > 75 && fla_a > 3", "&&", "not among", "write AND"),
    ("load_kind contains 'pump'", "contains", "not among", "load_kind IN ('centrifugal pump',"),
    ("load_kind LIKE '%pump%'", "LIKE", "not among", "load_kind IN ('centrifugal pump',"),
    ("model LIKE '%x%'", "LIKE", "not among", "instr(model, "),
    ("device_kind is 'drive'", "is", "compares nothing", "write ="),
    ("device_kind not 'drive'", "not", "compares nothing", "write <>"),
    ("power_kw greater than 75", "greater than", "compares nothing", "write >"),
    ("power_kw is unknown", "is unknown", "not asked for", "can't tell by itself"),
    ("device_kind = 'drive'\npower_kw > 3", "p", "two lines", "AND"),
    ("power_kw >= 75 power_kw <= 100", "p", "two comparisons stand side by side", "AND"),
    (
        "75 <= power_kw <= 100",
        "75 <= power_kw <= 100",
        "two comparisons in a row",
        "75 <= power_kw AND power_kw <= 100",
    ),
    ("device_kind = ‘drive’", "‘drive’", "word processor", "'drive'"),
    ('device_kind = "drive"', '"drive"', "in single quotes", "write 'drive'"),
    ("device-kind = 'drive'", "device-kind", "unknown column", "did you mean device_kind"),
    ("power kw >= 75", "power kw", "unknown column", "did you mean power_kw"),
    ("POWER_KW >= 75", "POWER_KW", "unknown column", "did you mean power_kw"),
    ("position = 'P-7'", "position", "unknown column", "did you mean tag"),
    ("power_kw >= oversize_ratio", "oversize_ratio", "without its colon", ":oversize_ratio"),
    ("fla_a > :power_kw", ":power_kw", "no limit ':power_kw'", "without the colon"),
    ("{power_kw} >= 75", "{power_kw}", "curly brackets", "write power_kw"),
]
# Sound, though words of a slip or two stand in them.
SOUND = [
    "power_kw BETWEEN 75 AND 100 AND poles IN (2, 4)",
    "device_kind = 'drive'\nAND power_kw > 75\nOR NOT\npower_kw > 100",
    "instr(description, 'at least 75 kW, 90 % if not more than 1,5 ≥') > 0",
    "julianday(:today) - julianday(last_powered_on) <= 730 AND fla_a - 1e3 < 0",
]


@pytest.fixture(scope="module")
def faults():
    connection = sqlite3.connect(":memory:")
    for subject in SUBJECTS:
        connection.execute(facts_table(subject))

    def of(text):
        return check(text, wants="truth", limits={"oversize_ratio": ""}, deliberate=False, connection=connection).faults

    yield of
    connection.close()


@pytest.mark.parametrize(("text", "marked", "cause", "remedy"), TYPED, ids=[t[0] for t in TYPED])
def test_a_slip_is_marked_where_it_stands_with_what_to_write(faults, text, marked, cause, remedy):
    first = faults(text)[0]
    assert text[first.start : first.start + first.width] == marked
    assert cause in first.cause
    assert remedy in first.remedy


@pytest.mark.parametrize("text", SOUND)
def test_what_is_sound_is_left_alone(faults, text):
    assert not faults(text)


def test_every_word_without_quotes_is_told_at_once(faults):
    told = faults("device_kind IN (soft starter, drive) AND must_run_during_repair = yes")
    assert [f.remedy.rsplit(" ", 1)[1] for f in told] == ["starter'", "'drive'", "'yes'"]


def test_a_slip_hides_no_other_fault(faults):
    first, second = faults("device_kind = drive AND overlod_set_a > 3")
    assert "without quotes" in first.cause and "did you mean overload_set_a" in second.remedy


def test_nothing_is_said_beside_the_problem(faults, caplog, capfd):
    with caplog.at_level(logging.DEBUG):
        faults("load = 'pump' and power_kw >= 76")
    assert not caplog.records and capfd.readouterr() == ("", "")
