"""The roll-up against a plain script of pandas over the kept tables, and what a confidential one tells."""

import re
import shutil
from dataclasses import asdict
from io import StringIO

import pandas as pd
import pytest
from fleet_made import DAY, PLANTS, POSITIONS
from rich.console import Console

from register.errors import StartrollError
from register.fleet.asked import Asked
from register.fleet.model import places
from register.fleet.paragraphs import _held
from register.fleet.places import found
from register.fleet.rollup import roll_up
from register.reports.fleet.document import page
from register.reports.fleet.workbook import workbook
from register.reports.json_data import plain, written
from register.reports.terminal.fleet import TWINS_NOTE, headline
from register.reports.terminal.fleet import fleet as shown
from register.store.database import opened


@pytest.fixture(scope="module")
def verdicts(tables):
    return pd.read_parquet(tables / "verdicts")


@pytest.fixture(scope="module")
def sites(tables):
    return pd.read_parquet(tables / "plants").astype({"plant": str}).set_index("plant")


def test_the_league_is_what_pandas_makes_of_the_tables(report, verdicts, sites):
    majors = verdicts[verdicts.grade == "major"]
    sums = majors.groupby("plant", observed=True)[["failed", "passed", "cant_tell"]].sum()
    every = verdicts.groupby("plant", observed=True)[["failed", "passed", "cant_tell"]].sum()
    positions = sites.positions.reindex(sums.index.astype(str)).to_numpy()
    expected = sums.failed / (sums.failed + sums.passed) * sums.sum(axis=1) / positions * 100
    order = expected.sort_values(ascending=False)
    assert [s.expected_per_100 for s in report.league] == pytest.approx(order.tolist())
    harms = majors.pivot_table(index="plant", columns="harm", values="failed", aggfunc="sum", observed=True)
    for standing in report.league:
        plant = standing.plant.key
        assert standing.plant.name == sites.site[plant]
        assert standing.majors == harms.loc[plant].to_dict()
        assert standing.majors_per_100 == pytest.approx(100 * sums.failed[plant] / POSITIONS)
        assert standing.unknown_per_100 == pytest.approx(100 * sums.cant_tell[plant] / POSITIONS)
        known = 100 * (1 - every.cant_tell[plant] / every.loc[plant].sum())
        assert standing.known_pct == pytest.approx(known)
    assert report.positions == PLANTS * POSITIONS


def test_a_plant_of_which_little_is_known_leads_and_has_no_place(plants):
    path = min(plants.glob("*.db"))
    emptied(path)
    report = roll_up([str(plants)], Asked(today=DAY))
    standing = report.league[0]
    assert standing.plant.place == str(path)
    assert standing.little_known
    assert standing.expected_per_100 is None
    assert standing.unknown_per_100 == max(s.unknown_per_100 for s in report.league)
    assert places(report.league) == [None, *range(1, len(report.league))]
    assert report.paragraphs[0].text.startswith("Without a place, ")
    assert "too little for a place in the league" in report.paragraphs[0].text
    assert report.paragraphs[1].text.startswith(f"Place 1 of {len(report.league) - 1}, ")


def test_a_fleet_of_which_little_is_known_says_so_before_what_it_found(plants):
    for path in plants.glob("*.db"):
        emptied(path)
    report = roll_up([str(plants)], Asked(today=DAY))
    assert all(s.little_known for s in report.league)
    told = headline(report)
    assert re.search(r"only (nothing|\d+ %|under 1 %) of what applies is known; so far \d+ majors failed", told), told


def emptied(path):
    """A register of which hardly anything is left but its positions."""
    with opened(path, write=True) as db:
        for table in ("setting", "record", "event", "protection", "bypass", "control", "device", "motor"):
            db.conn.execute(f"DELETE FROM {table}")
        db.conn.execute("UPDATE position SET criticality = NULL, load_kind = NULL, bus = NULL, area = NULL")


def test_rules_and_plants_are_what_pandas_makes_of_the_tables(report, verdicts):
    failed = verdicts.pivot_table(index="rule", columns="plant", values="failed", aggfunc="sum", observed=True)
    failed = failed[failed.sum(axis=1) > 0]
    assert {row.rule for row in report.rules} == set(failed.index)
    for row in report.rules:
        told = [cell[0] for cell in row.cells]
        assert told == failed.loc[row.rule, [s.plant.key for s in report.league]].fillna(0).astype(int).tolist()
        assert (row.plants, row.failed) == ((failed.loc[row.rule] > 0).sum(), failed.loc[row.rule].sum())


def test_outliers_are_what_pandas_makes_of_the_tables(report, tables, sites):
    settings = pd.read_parquet(tables / "settings").astype({"plant": str})
    expected = set()
    for (model, setting), own in settings.groupby(["model", "setting"]):
        values = own.groupby("plant").value.agg(frozenset)
        for plant, told in values.items():
            others = values.drop(plant)
            agreed = set().union(*others) if len(others) else set()
            if len(others) >= 2 and len(agreed) == 1 and not agreed & told:
                expected.add((sites.site[plant], model, setting, *agreed))
    assert {(o.plant, o.model, o.setting, o.others) for o in report.outliers} == expected
    assert expected, "the fleet has a plant that is set otherwise"


def test_models_are_what_pandas_makes_of_the_tables(report, tables):
    models = pd.read_parquet(tables / "models").astype({"plant": str})
    sums = models.groupby("model")[["positions", "failed", "in_store"]].sum()
    bare = models[(models.positions > 0) & (models.in_store == 0)].groupby("model").size()
    gone = set(models[models.withdrawn].model)
    assert gone <= {row.model for row in report.models}
    for row in report.models:
        assert [row.positions, row.failed, row.in_store] == sums.loc[row.model].tolist()
        assert row.bare == bare.get(row.model, 0)


def test_years_are_those_of_the_kept_audits(report, tables):
    audits = pd.read_parquet(tables / "audits")
    audits["year"] = audits.audited_on.str[:4].astype(int)
    sums = audits.groupby("year")[["positions", "majors"]].sum()
    assert [(y.year, y.positions, y.majors) for y in report.years] == [(y, *row) for y, row in sums.T.items()]
    assert len(report.years) == 2


def test_a_confidential_report_names_no_plant_no_tag_no_file(made, report):
    told = roll_up([str(made)], Asked(today=DAY), confidential=True)
    with opened(min(made.glob("*.db"))) as db:
        tags = [row[0] for row in db.conn.execute("SELECT tag FROM position")]
        tags += [row[0] for row in db.conn.execute("SELECT area FROM position WHERE area IS NOT NULL")]
        makers = [row[0] for row in db.conn.execute("SELECT DISTINCT model_maker FROM model")]
    hidden = [s.plant.name for s in report.league] + [s.plant.key for s in report.league] + [str(made), *tags]
    texts = {"page": page(told), "json": written(plain(told)), "fields": repr(asdict(told))}
    texts["workbook"] = _text_of(workbook(told))
    for name, text in texts.items():
        assert [word for word in hidden if word in text] == [], name
        assert "Plant 1" in text, name
    assert any(maker in texts["page"] for maker in makers)
    assert [s.majors for s in told.league] == [s.majors for s in report.league]


def _text_of(book: bytes) -> str:
    import io
    import zipfile

    with zipfile.ZipFile(io.BytesIO(book)) as archive:
        return "".join(archive.read(name).decode("utf-8", "replace") for name in archive.namelist())


def test_two_plants_of_one_name_and_copies_of_one_register_are_told_apart(plants):
    paths = sorted(plants.glob("*.db"))
    shutil.copyfile(paths[0], paths[0].with_name("copy.db"))
    report = roll_up([str(plants)], Asked(today=DAY))
    names = [s.plant.name for s in report.league]
    assert len(set(names)) == len(names) == PLANTS + 1
    (twins,) = report.twins
    assert len(twins) == 2 and set(twins) <= set(names)
    assert TWINS_NOTE in page(report)


def test_where_rules_lie_beside_a_register_page_and_screen_say_so(plants):
    first = min(plants.glob("*.db"))
    rules = first.with_name(f"{first.stem}.site-rules")
    rules.mkdir()
    (rules / "limits.yml").write_text("overrides: []\n", encoding="utf-8")
    report = roll_up([str(plants)], Asked(today=DAY))
    assert [one.plant.place for one in report.league if one.plant.own_rules] == [str(first)]
    assert page(report).count(", with rules beside it") == 1 and "--site-rules" in page(report)
    screen = StringIO()
    Console(width=200, file=screen).print(shown(report))
    assert "(1 with rules beside the register)" in screen.getvalue()


@pytest.mark.parametrize(
    ("bare", "models", "told"),
    [
        (0, 1, ", and one or more in store here"),
        (1, 1, ", and none in store here"),
        (0, 5, ", each with a device in store here"),
        (1, 5, "; 1 of these models has no device in store here"),
        (2, 5, "; 2 of these models have no device in store here"),
    ],
)
def test_what_is_held_of_withdrawn_models_is_a_sentence(bare, models, told):
    assert _held(bare, models) == told


def test_a_register_refused_is_told_with_the_others(plants):
    path = min(plants.glob("*.db"))
    path.write_bytes(b"")
    report = roll_up([str(plants)], Asked(today=DAY))
    assert [one.place for one in report.refused] == [str(path)]
    assert len(report.league) == PLANTS - 1
    assert str(path) in page(report)


def test_places_are_folders_patterns_and_addresses(plants):
    for typed in ([str(plants)], [str(plants / "*.db")], [str(plants / "plant-1.db"), str(plants)]):
        with found(typed) as registers:
            assert len(registers) == PLANTS
    with pytest.raises(StartrollError, match="no register"), found([str(plants), str(plants / "none")]):
        pass


@pytest.mark.parametrize("store", ["memory", "file"])
def test_an_object_store_is_copied_and_says_the_same(plants, report, store):
    fsspec = pytest.importorskip("fsspec", reason="the extra fleet is not installed")
    address = f"file://{plants}" if store == "file" else "memory://works/north"
    if store == "memory":
        files = fsspec.filesystem("memory")
        for path in plants.glob("*.db"):
            files.pipe(f"/works/north/{path.name}", path.read_bytes())
    told = roll_up([address], Asked(today=DAY))
    assert [(s.plant.name, s.majors) for s in told.league] == [(s.plant.name, s.majors) for s in report.league]
    assert all(s.plant.place.startswith(store) for s in told.league)
    assert roll_up([f"{address}/plant-1*"], Asked(today=DAY)).positions == POSITIONS
