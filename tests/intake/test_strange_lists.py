"""Lists as other plants write them: nearly all is taken, few questions are asked, nothing is wrong, nothing lost."""

import pytest
from list_score import answered, score
from strange_lists import cannery, dairy, mill, quarry, sugar, waterboard

from register.intake.sheet import read
from register.intake.take_in import plan_intake
from register.store.database import create, opened

LISTS = (sugar, cannery, quarry, mill, dairy, waterboard)


@pytest.mark.parametrize("make", LISTS, ids=lambda f: f.__name__)
def test_a_list_of_another_plant(make, tmp_path):
    strange = make()
    paths = strange.write(tmp_path)
    got = score(strange, paths, tmp_path, None)
    assert got.wrong == []
    assert got.share >= 0.85 and got.questions <= 12
    (tmp_path / "scored.db").unlink()
    after = score(strange, paths, tmp_path, answered(strange, paths, tmp_path))
    assert after.wrong == []
    assert after.share >= 0.95 and after.asked == 0


@pytest.mark.parametrize("make", LISTS, ids=lambda f: f.__name__)
def test_every_cell_of_it_is_accounted_for(make, tmp_path):
    paths = make().write(tmp_path)
    create(tmp_path / "plant.db", {"site": "Oldmarrow Works", "practice": "iec"})
    sheets = [s for p in paths for s in read(p)]
    with opened(tmp_path / "plant.db") as db:
        plan = plan_intake(db, sheets)
    cells = sum(1 for s in sheets for row in s.rows for c in row if c not in (None, "") and str(c).strip())
    assert sum(ends.total() for ends in plan.cells.values()) == cells
