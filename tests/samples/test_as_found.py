"""The list as found gives the register of the CSV files, but for the cells that it says."""

from __future__ import annotations

import math

import pytest
from sample_plant import SAMPLES, rows, site_of

from register.columns import TABLES
from register.intake.take_in import take_in
from register.store.database import create, opened

REFUSED = rows(SAMPLES / "demo-plant" / "refused.csv")


@pytest.fixture(scope="module")
def found(tmp_path_factory):
    folder = tmp_path_factory.mktemp("found")
    plant = SAMPLES / "demo-plant"
    create(folder / "found.db", site_of(plant))
    plan, _ = take_in(
        folder / "found.db", [plant / "as-found.xlsx"], mapping=plant / "as-found.yml", reason="as found", author="test"
    )
    return folder / "found.db", plan


def contents(path) -> dict[tuple[str, str, str], object]:
    """Every known cell of a register: (table, key, column) → value."""
    cells = {}
    with opened(path) as db:
        for table in TABLES.values():
            key = ("tag", "record_kind", "done_on") if table.name == "record" else table.key
            names = [c.name for c in table.columns if c.origin != "internal" and c.name not in key]
            for row in db[table.name].rows:
                at = " | ".join(str(row[k]) for k in key)
                cells |= {(table.name, at, n): row[n] for n in names if row[n] is not None}
    return cells


def alike(one: object, other: object) -> bool:
    # the nameplate's hp and the kW of the CSV files differ in the fifth figure
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-4)
    return one == other


def test_register_is_that_of_the_tables_but_for_the_refused_cells(found, demo):
    clean, messy = contents(demo.path), contents(found[0])
    differ = {key for key in clean | messy if not alike(clean.get(key), messy.get(key))}
    motor_at = {v: key[1] for key, v in clean.items() if key[0] == "motor" and key[2] == "tag"}
    documented = {
        (table, motor_at[r["tag"]] if table == "motor" else r["tag"], r["column"])
        for r in REFUSED
        for table in TABLES
        if any(c.name == r["column"] for c in TABLES[table].columns)
    }
    assert differ == documented
    assert not any(key in messy for key in documented), "a refused cell stays unknown"


def test_every_refused_cell_is_named_with_its_place(found):
    from making.asfound import TWICE

    said = "\n".join(str(problem) for problem in found[1].refused)
    for refusal in REFUSED:
        assert refusal["typed"] in said
    assert TWICE[1] in said
