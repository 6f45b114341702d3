"""The file of failure rates from many plants: read as it was written, refused with a plain reason where it was not."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from register.errors import StartrollError
from register.maintenance.rates_file import FORM, Gamma, RatesFile, SharedRate, fingerprint, rates_text, read_rates

SCHEMA = json.loads((Path(__file__).parents[2] / "docs/schema/rates.schema.json").read_text("utf-8"))
DRIVES = SharedRate("drive", False, Gamma(0.7, 35.0), 0.02, 0.0004, 0.07, 40, 360, 17900.0, {"r-1": Gamma(0.6, 31.0)})
STARTERS = replace(DRIVES, kind="across-the-line", above_1000_v=True, failures=0, without={})
MADE = RatesFile("2026-11-25", (DRIVES, STARTERS))


@pytest.fixture
def written(tmp_path):
    """A file of rates, as it was written or with what a case changes; its hash fits."""

    def write(change=None):
        data = json.loads(rates_text(MADE))
        if change:
            change(data)
            data["sha256"] = fingerprint(data)
        path = tmp_path / "rates.json"
        path.write_text(json.dumps(data), "utf-8")
        return path

    return write


def test_what_was_written_is_read_back(written):
    found = read_rates(written())
    assert (found.made_on, found.name) == ("2026-11-25", "rates.json")
    assert found.rates == (STARTERS, DRIVES)
    assert len(found.sha256) == 64
    assert rates_text(found) == rates_text(MADE)


def test_the_text_is_of_the_published_form():
    Draft202012Validator.check_schema(SCHEMA)
    data = json.loads(rates_text(MADE))
    assert [*Draft202012Validator(SCHEMA).iter_errors(data)] == []
    assert SCHEMA["properties"]["form"]["const"] == FORM
    assert [*Draft202012Validator(SCHEMA).iter_errors(data | {"made_on": 7})] != []


def test_a_register_that_was_counted_gets_what_the_others_tell():
    assert MADE.of("drive", False, "r-9").gamma == Gamma(0.7, 35.0)
    assert MADE.of("drive", False, "r-1").gamma == Gamma(0.6, 31.0)
    assert MADE.of("drive", True, "r-1") is None
    alone = RatesFile("2026-11-25", (replace(DRIVES, plants=1),))
    assert alone.of("drive", False, "r-1") is None


def test_a_changed_file_is_refused(written, tmp_path):
    path = written()
    path.write_text(path.read_text().replace("0.7", "0.1"))
    with pytest.raises(StartrollError, match="SHA-256 does not fit"):
        read_rates(path)
    path.write_text("shape: 0.7")
    with pytest.raises(StartrollError, match="no file of rates"):
        read_rates(path)
    path.write_text("[]")
    with pytest.raises(StartrollError, match="no file of rates"):
        read_rates(path)
    with pytest.raises(StartrollError, match="cannot be read"):
        read_rates(tmp_path / "none.json")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda d: d["rates"][0].update(shape=0), "shape is 0, not a number above 0"),
        (lambda d: d["rates"][0].update(device_years="35"), "device_years is '35'"),
        (lambda d: d["rates"][1].update(plants=40.5), "plants is 40.5, not a whole number"),
        (lambda d: d["rates"][1].update(failures=None), "failures is None"),
        (lambda d: d["rates"][1].update(kind="kettle"), "'kettle' is no kind of device"),
        (lambda d: d["rates"].append(d["rates"][0]), "across-the-line is there twice"),
        (lambda d: d["rates"][1]["without"].update({"r-2": {"shape": 1.0}}), "without r-2  device_years is None"),
        (lambda d: d["rates"][1].pop("without"), "does not say which plants it is without"),
        (lambda d: d.update(made_on="soon"), "'soon' is not a day"),
        (lambda d: d.update(rates=None), "it has no list of rates"),
        (lambda d: d.update(form="rates 9"), "its form is not"),
    ],
)
def test_what_cannot_be_is_refused(written, change, told):
    with pytest.raises(StartrollError) as refused:
        read_rates(written(change))
    assert told in str(refused.value)
    assert "--rates-to" in str(refused.value)


def test_all_that_is_wrong_is_told_at_once(written):
    def change(data):
        data["rates"][0].update(shape=-1.0, plants=0)
        data["rates"][1].update(per_year=None)

    with pytest.raises(StartrollError) as refused:
        read_rates(written(change))
    assert len(refused.value.problems) == 3
