"""Several starts simulated at once are those simulated one by one."""

import numpy as np
import pytest

from register.starts import load_case, study
from register.store.database import opened


def test_starts_at_once_equal_one_by_one(demo):
    with opened(demo.path) as db:
        tags = [tag for (tag,) in db.conn.execute("SELECT tag FROM position ORDER BY tag LIMIT 60")]
        cases = load_case.of_positions(db, tags)
    together = {case.values["tag"]: (course, outcome) for case, course, outcome in study.courses_of(cases)}
    alone = {case.values["tag"]: study.of_case(case) for case in cases}
    assert set(together) == {tag for tag, made in alone.items() if made.start is not None} and len(together) > 10
    for tag, (course, outcome) in together.items():
        start = alone[tag].start
        assert outcome == next(figure.value for figure in start.figures if figure.name == "outcome")
        for name, values in vars(course).items():
            assert values == pytest.approx(getattr(start.course, name), rel=1e-9, abs=1e-9), (tag, name)


def test_no_starts_are_no_trouble():
    assert list(study.courses_of([])) == []
    assert np.size(study.Run.together([])) == 0
