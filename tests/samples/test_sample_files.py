"""The committed samples are what samples/make.py writes, and they can be believed."""

from __future__ import annotations

import math

import pytest
from sample_plant import PLANTS, SAMPLES, rows, table_files

from register.columns import TABLES


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    import make

    folder = tmp_path_factory.mktemp("made")
    make.main(folder)
    return folder


def cells(path):
    """Every cell of a workbook; its bytes differ between builds of zlib."""
    from python_calamine import CalamineWorkbook

    book = CalamineWorkbook.from_path(str(path))
    return {name: book.get_sheet_by_name(name).to_python() for name in book.sheet_names}


def test_two_runs_write_the_committed_files(made):
    for path in [p for p in made.rglob("*") if p.is_file()]:
        committed = SAMPLES / path.relative_to(made)
        if path.suffix == ".xlsx":
            assert cells(path) == cells(committed), f"run samples/make.py: {committed} is stale"
        else:
            assert path.read_bytes() == committed.read_bytes(), f"run samples/make.py: {committed}"


@pytest.mark.parametrize("plant", PLANTS)
def test_headings_are_the_dictionary_s(plant):
    for path in table_files(SAMPLES / plant):
        names = [c.name for c in TABLES[path.stem].columns if c.origin != "internal"]
        assert list(rows(path)[0]) == names


@pytest.mark.parametrize("plant", PLANTS)
def test_every_value_is_within_what_can_be_believed(plant):
    for path in table_files(SAMPLES / plant):
        for row in rows(path):
            for column in TABLES[path.stem].columns:
                text = row.get(column.name, "")
                if text and column.is_number and column.low is not None:
                    assert column.low <= float(text) <= column.high, (path.name, column.name, text)
                if text and column.choices:
                    assert text in column.choices, (path.name, column.name, text)


def test_demo_plant_has_the_mix_it_promises():
    # 180 positions on 5 lineups; kinds of starting as in samples/README.md
    positions = rows(SAMPLES / "demo-plant" / "position.csv")
    assert len(positions) == 180
    assert len({p["bus"] for p in positions}) == 5
    kind_of = {m["model"]: m["device_kind"] for m in rows(SAMPLES / "demo-plant" / "model.csv")}
    devices = [d for d in rows(SAMPLES / "demo-plant" / "device.csv") if d["tag"]]
    share = {kind: sum(kind_of[d["model"]] == kind for d in devices) / len(devices) for kind in kind_of.values()}
    assert 0.40 < share["across-the-line"] < 0.50
    assert 0.22 < share["soft starter"] < 0.32
    assert 0.17 < share["drive"] < 0.23


def test_clean_nameplates_agree_with_themselves_and_the_published_tables():
    # I = P / (√3 U η cos φ); NFPA 70 table 430.250 at 460 V: 14, 27, 40, 65, 124, 240 A;
    # nameplate over table 0.80 to 1.00 for 2 and 4 poles (common practice)
    table = {10: 14, 20: 27, 30: 40, 50: 65, 100: 124, 200: 240}
    spoilt = {r["tag"] for r in rows(SAMPLES / "demo-plant" / "seeded.csv") if r["rule"].startswith("nameplate/")}
    seen = 0
    for motor in rows(SAMPLES / "demo-plant" / "motor.csv"):
        if motor["tag"] in spoilt or not (motor["efficiency_pct"] and motor["power_factor"]):
            continue
        kw, amps = float(motor["power_kw"]), float(motor["fla_a"])
        current = kw * 1e5 / (math.sqrt(3) * 460 * float(motor["efficiency_pct"]) * float(motor["power_factor"]))
        assert amps == pytest.approx(current, rel=0.01)
        hp = round(kw / 0.7457, 1)
        if hp in table and motor["poles"] in ("2", "4"):
            assert 0.80 <= amps / table[hp] <= 1.0, motor
            seen += 1
    assert seen > 20


def test_table_copies_of_the_samples_agree_with_the_program_s():
    # two transcriptions of NFPA 70 tables 430.250 and 430.251(B), made apart
    from making.nameplates import US

    text = (SAMPLES.parent / "rules" / "tables" / "full-load-current.csv").read_text()
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    head = lines[0].split(",")
    at_460 = next(i for i, name in enumerate(head) if "460" in name)
    found = {float(l.split(",")[0]): l.split(",")[at_460] for l in lines[1:]}  # noqa: E741
    assert {hp: float(found[hp]) for hp in US} == {hp: float(US[hp][0]) for hp in US}
