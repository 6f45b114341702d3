"""The starts that a report draws are those of the study, and only where a finding is based on one."""

import pytest
from by_path import of_register, study
from report_cases import TODAY
from sample_plant import Sample

from register.facts.derived import STUDIED


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    return Sample("demo-plant", tmp_path_factory.mktemp("courses")).path


@pytest.fixture(scope="module")
def made(path):
    return of_register(path, today=TODAY, with_starts=True)


def test_there_is_one_wherever_a_finding_rests_on_a_study(made):
    resting = {f.at for f in made.findings if STUDIED & {v.column for v in f.values}}
    assert {"F-2132", "F-2133", "F-2135", "P-2117"} <= made.evidence.courses.keys() <= resting


@pytest.mark.parametrize("tag", ["F-2132", "F-2133", "P-2117"])
def test_a_course_is_that_of_the_study(made, path, tag):
    course, start = made.evidence.courses[tag], study(path, tag).start
    assert course.outcome == start.figure("outcome").value
    assert course.time_s[-1] == pytest.approx(start.course.time_s[-1], abs=1e-3)
    assert max(course.current_xfla) == pytest.approx(start.figure("peak_xfla").value, rel=0.01)
    assert len({len(course.time_s), len(course.speed_pct), len(course.voltage_pct)}) == 1
    if start.has("time_s"):
        assert course.speed_pct[-1] > 90


def test_a_report_that_draws_nothing_studies_nothing(path):
    assert of_register(path, today=TODAY).evidence.courses == {}
