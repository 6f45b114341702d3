"""Stand-ins: read strictly, used sparingly, named wherever a verdict is based on one."""

import pytest

from register.errors import RuleError
from register.facts.assumptions import load_assumptions, mask_for, stand_ins_named

GOOD = """\
- column: ambient_c
  stands_in: site_ambient_c
  sentence: as the site
  basis: common practice
- column: phases
  stands_in: 3
  sentence: three phases
  basis: common practice
- column: standby
  stands_in: none
  sentence: no other machine
  basis: common practice
"""


@pytest.fixture
def written(tmp_path):
    def write(text):
        path = tmp_path / "assumptions.yml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def test_a_number_a_word_or_another_column_stands_in(written):
    ambient, phases, standby = load_assumptions(written(GOOD))
    assert (ambient.from_column, ambient.value, ambient.bit) == ("site_ambient_c", None, 0)
    assert (phases.from_column, phases.value, phases.bit) == (None, 3.0, 1)
    assert (standby.value, standby.bit) == ("none", 2)


def test_a_word_of_the_list_is_not_the_column_of_the_same_name(written):
    """A relay stands at the motor; `motor` is also the column with the motor's serial number."""
    (side,) = load_assumptions(
        written("- {column: relay_side, stands_in: motor, sentence: at the motor, basis: common practice}")
    )
    assert (side.value, side.from_column) == ("motor", None)


def test_an_empty_file_declares_nothing(written):
    assert load_assumptions(written("# nothing assumed\n")) == ()


@pytest.mark.parametrize(
    ("old", "new", "line", "said", "hint"),
    [
        ("column: ambient_c", "column: ambiant_c", 1, "not a column", "ambient_c"),
        ("column: ambient_c", "column: slip_pct", 1, "is calculated", ""),
        ("site_ambient_c", "site_ambent_c", 2, "neither a number nor", "site_ambient_c"),
        ("site_ambient_c", "site_altitude_m", 2, "cannot be assumed for", ""),
        ("stands_in: 3", "stands_in: 4", 6, "not to be believed", "1 to 3"),
        ("stands_in: none", "stands_in: two", 10, "no value of standby", "installed"),
        ("column: phases", "column: ambient_c", 5, "already", ""),
        ("sentence: three phases", "sentnce: three phases", 7, "unknown key", "sentence"),
        ("  sentence: three phases\n", "", 5, "sentence missing", ""),
        ("sentence: three phases", "sentence: [a]", 7, "words are wanted", ""),
        ("  basis: common practice\n- column: phases", "  basis: b\n  basis: c\n- column: phases", 5, "twice", ""),
        ("stands_in: 3", "bound: least\n  stands_in: 3", 6, "no bound", "lower"),
        ("stands_in: none", "bound: lower\n  stands_in: none", 10, "no other end", "typical"),
        (GOOD, "column: phases\n", 1, "not a list", ""),
        (GOOD, "- phases\n", 1, "not an assumed value", ""),
        (GOOD, "- {a: b\n", 2, "not YAML", ""),
    ],
)
def test_a_mistake_is_shown_with_its_place_and_a_way_out(written, old, new, line, said, hint):
    assert old in GOOD
    path = written(GOOD.replace(old, new, 1))
    with pytest.raises(RuleError) as caught:
        load_assumptions(path)
    problem = caught.value.problems[0]
    assert problem.place.startswith(f"{path}:{line}:")
    assert said in problem.cause
    assert hint in problem.remedy


def test_a_bound_has_another_end(written):
    (ambient, phases, _) = load_assumptions(written(GOOD.replace("stands_in: 3", "bound: upper\n  stands_in: 3")))
    assert (ambient.bound, ambient.other_end) == ("typical", None)
    assert (phases.bound, phases.other_end) == ("upper", 1)


def test_all_mistakes_are_shown_at_once(written):
    text = GOOD.replace("ambient_c", "ambiant_c", 1).replace("stands_in: 3", "stands_in: x")
    with pytest.raises(RuleError) as caught:
        load_assumptions(written(text))
    assert len(caught.value.problems) == 2
    assert "^" in str(caught.value)


def test_a_missing_file_is_an_error_not_a_traceback(tmp_path):
    with pytest.raises(RuleError):
        load_assumptions(tmp_path / "assumptions.yml")


def test_the_program_s_own_stand_ins_are_sound(method):
    names = [a.column for a in method["assumptions"]]
    assert {"ambient_c", "altitude_m", "motor_frequency_hz", "phases"} <= set(names)
    assert all(a.basis for a in method["assumptions"])


def test_a_rule_rests_on_the_stand_ins_behind_the_columns_it_reads(method):
    def named(*columns):
        return stand_ins_named(mask_for(columns, method["assumptions"]), method["assumptions"])

    assert named("description", "fla_a") == ()
    assert [s.split(":")[0] for s in named("ambient_c")] == ["ambient_c"]
    assert [s.split(":")[0] for s in named("slip_pct")] == ["motor_frequency_hz", "poles"]
    assert len(named("ambient_c", "slip_pct")) == 3
