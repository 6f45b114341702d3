"""The plan of a sample plant: what is forecast is what an audit says once it is done."""

import sqlite3
from datetime import date

import pytest
from by_path import candidates, plan, spares
from python_calamine import CalamineWorkbook
from sample_plant import Sample
from sqlite_utils import Database

from register.audit.judge import run
from register.facts.assumptions import load_assumptions
from register.intake.replace_device import FAILED, Swap, swap
from register.planning.replace.fitting import of_the_device
from register.planning.stock.holdings import STALE
from register.reports.plan_workbook import planbook
from register.reports.terminal.plan import headline
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Outcome
from register.store.database import opened, writing

TODAY = date(2026, 11, 25)
BUDGET = 20_000.0


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    return Sample("demo-plant", tmp_path_factory.mktemp("demo"))


@pytest.fixture(scope="module")
def made(demo):
    return plan(demo.path, years=3, budget=BUDGET, today=TODAY, area="Stock preparation")


@pytest.fixture(scope="module")
def audited(demo, made):
    """The audit of a copy in which everything planned has been done, all in one."""
    with opened(demo.path) as db:
        copy = Database(sqlite3.connect(":memory:", isolation_level=None))
        db.conn.backup(copy.conn)
    with writing(copy, reason="done"):
        for n, spare in enumerate(made.spares):
            there = dict(device=f"spare {n}", model=spare.model, device_status="in store")
            copy["device"].insert(there | {"stored_since": TODAY.isoformat()})
        for item in made.items:
            new = item.candidate
            model, serial = ("", "") if new.stored else (new.model, f"N-{item.tag}")
            swap(copy, Swap(item.tag, FAILED, "done", new.stored, model, serial, new.settings), today=TODAY)
    yield run(copy, load_pack(), today=TODAY)
    copy.conn.close()


def test_what_was_forecast_is_what_the_audit_says(made, audited):
    pack = load_pack()
    rules = of_the_device(pack, load_assumptions(pack.folder / "assumptions.yml"))
    assert made.items
    for item in made.items:
        outcomes = {rule: audited.outcome(item.tag, rule) for rule in rules}
        found = [{r for r, o in outcomes.items() if o == word} for word in (Outcome.FAILED, Outcome.CANT_TELL)]
        assert found == [set(item.candidate.failed), set(item.candidate.open)], item.tag


def test_the_last_year_is_the_audit_of_all_of_it(made, audited):
    majors = {v for v in audited.failed() if str(audited.pack.rule(v[1]).grade) == "major"}
    assert made.ends[-1].majors == len(majors)
    new = {v for end in made.ends for v in end.new}
    assert new <= majors


def test_no_year_spends_more_than_its_budget(made):
    for end in made.ends[1:]:
        own = [item for item in made.items if item.year == end.year]
        spares = [spare for spare in made.spares if spare.year == end.year]
        assert end.spent == pytest.approx(sum(one.price for one in (*own, *spares)))
        assert end.spent <= BUDGET
        assert (end.replaced, end.bought) == (len(own), len(spares))


def test_the_plan_lowers_the_risk_and_says_what_it_would_be_without(made):
    for end in made.ends[1:]:
        assert end.risk <= end.risk_unplanned
    gain = sum(end.risk_unplanned - end.risk for end in made.ends[1:])
    # Source: arithmetic, year by year what is taken away is what the items promise.
    assert gain == pytest.approx(made.taken_away)


def test_what_has_failed_is_replaced_from_store_at_once(made):
    (item,) = [item for item in made.items if item.tag == "A-3109"]
    assert (item.year, item.price) == (1, 0.0)
    assert item.candidate.stored
    assert "it has failed" in item.risk.likelihood
    # The last of its type leaves the store: who is left without a spare is named.
    assert ("A-3109", "lifecycle/critical-has-spare") in made.ends[1].new


def test_candidates_tell_what_the_plan_chose(demo, made):
    for item in [made.items[0], next(i for i in made.items if i.tag == "A-3109")]:
        told = candidates(demo.path, item.tag, today=TODAY).plan
        assert (item.candidate.stored or f"a new {item.candidate.model}") in told, told


def test_every_position_left_out_has_its_reason(made):
    assert all(left.why for left in made.left)
    assert not {item.tag for item in made.items} & {left.tag for left in made.left}
    for left in made.left:
        assert left.to_read == ("price",) or "price of" not in left.why


def test_a_spare_is_bought_where_a_failure_waits_and_needs_no_outage(demo):
    with opened(demo.path) as db:
        have = {tag for (tag,) in db.execute("SELECT tag FROM device WHERE tag IS NOT NULL")}
    bought = plan(demo.path, years=1, budget=200_000.0, outages=0, today=TODAY, area="Stock preparation")
    assert bought.spares and not bought.items
    tags = [tag for spare in bought.spares if spare.nth == 1 for tag in spare.tags]
    assert len(set(tags)) == len(tags) and set(tags) <= have
    assert all(spare.taken_away > 0 and 0 < spare.found_pct < 100 for spare in bought.spares)
    assert len(tags) + bought.unstocked <= bought.waiting
    first = bought.ends[1]
    assert first.risk_unplanned - first.risk == pytest.approx(bought.taken_away)
    assert "Buy" in headline(bought) and "spare" in headline(bought)


def test_the_workbook_holds_the_plan_as_numbers(made, tmp_path):
    target = tmp_path / "plan.xlsx"
    target.write_bytes(planbook(made))
    book = CalamineWorkbook.from_path(target)
    rows = book.get_sheet_by_name("plan").to_python()
    assert [row[1] for row in rows[1:]] == [item.tag for item in made.items]
    heading = next(cell for cell in rows[0] if cell.startswith("price"))
    assert heading == "price USD"
    assert [row[rows[0].index(heading)] for row in rows[1:]] == [i.price for i in made.items]
    spares = book.get_sheet_by_name("spares").to_python()
    assert [row[1] for row in spares[1:]] == [spare.model for spare in made.spares]
    years = book.get_sheet_by_name("years").to_python()
    assert [row[0] for row in years[1:]] == [0, 1, 2, 3]
    assert planbook(made) == target.read_bytes()


def test_what_the_store_of_an_area_should_hold(demo):
    made = spares(demo.path, service_level_pct=95.0, today=TODAY, area="Effluent plant")
    tags = [tag for group in made.groups for tag in group.tags] + [b.tag for b in made.bare]
    with opened(demo.path) as db:
        own = [r[0] for r in db.execute("SELECT tag FROM position WHERE area = 'Effluent plant'")]
    # Every position is in one group, or no model is known to cover it.
    assert sorted(tags) == sorted(own)
    held = [serial for group in made.groups for serial in group.held]
    assert len(set(held)) == len(held)
    # Seeded: a drive that lies there without power since 2021.
    assert [(s.serial, s.state) for s in made.not_ready] == [("S51100267", STALE)]
