"""Every mistake that a site's rules can hold, all of them in one folder and one run."""

import subprocess
import sys
from itertools import pairwise

import pytest

RULE = """\
title: The overload is set within reach
title_failed: The overload is set out of reach
grade: major
practice: any
applies: overload_place <> 'none'
requires: overload_set_a <= fla_a
margin: fla_a - overload_set_a
finding: Overload set at {overload_set_a}; the nameplate says {fla_a}.
why: The winding burns.
action: Set it anew.
basis: ["common practice"]
examples:
  - {is: failed, overload_place: device, overload_set_a: 90, fla_a: 81.25}
  - {is: passed, overload_place: device, overload_set_a: 81.25, fla_a: 81.25}
  - {is: cant-tell, overload_place: device, fla_a: 81.25}
  - {is: inapplicable, overload_place: none}
"""
TITLE = "title: The overload is set within reach"
WHOLE = "overload_set_a <= fla_a"

# Name of the file: what is replaced, by what; line and column, a word of cause, one of remedy.
# fmt: off
MISTAKES = {
    "unknown-column": (WHOLE, "overlod_set_a <= fla_a", "6:11", "unknown column 'overlod_set_a'",
                       "did you mean overload_set_a"),
    "repeated-key": ("grade: major", "grade: major\ngrade: minor", "4:1", "'grade' stands here twice",
                     "keep one of them"),
    "unknown-key": ("grade: major", "grad: major", "3:1", "unknown key 'grad'", "did you mean 'grade'"),
    "bare-off": (TITLE, "title: off", "1:8", "off is read as false", 'put it in quotes: "off"'),
    "bare-no": ("overload_place: none}", "overload_place: no}", "16:40", "no is read as false",
                'put it in quotes: "no"'),
    "number-for-text": (TITLE, "title: 12", "1:8", "12 is a number where text belongs", "quotes"),
    "text-for-number": ("overload_set_a: 90", "overload_set_a: 9e1", "13:58",
                        "'9e1' where a number belongs", "write it in digits"),
    "missing-key": (TITLE + "\n", "", "1:1", "the key 'title' is missing", "add title"),
    "folded": (f"requires: {WHOLE}", "requires: >\n  overload_set_a\n  <= fla_a", "6:11",
               "YAML folds into one", "write it on one line"),
    "tab": ("why: The winding burns.", "why: |\n\tThe winding.", "10:1", "a tab", "with spaces"),
    "open-quote": ("why: The", 'why: "The', "9:6", "opened and not closed", "close it"),
    "two-stars": (WHOLE, "overload_set_a > 0.8 * * fla_a", "6:11", "side by side", "join them"),
    "alias": (WHOLE, "overload_set_a > 1 fla_a", "6:11", "side by side", "join them"),
    "double-quotes": (WHOLE, "'\"overlod_set_a\" <= fla_a'", "6:12", "a column is written bare",
                      "the column overload_set_a"),
    "open-bracket": (WHOLE, f"({WHOLE}", "6:30", "a bracket is opened", "close it with )"),
    "two-statements": (WHOLE, f"{WHOLE}; DROP TABLE motor", "6:11", "side by side", "join them"),
    "subquery": (WHOLE, "overload_set_a <= (SELECT 1)", "6:37", "not among what a rule may use",
                 "AND OR NOT"),
    "function": (WHOLE, "load_extension('x') <= fla_a", "6:11", "load_extension() is not among",
                 "the functions abs"),
    "chance": (WHOLE, "random() <= fla_a", "6:11", "not among what a rule may use", "abs, min"),
    "text-against-number": (WHOLE, "overload_place <= 3", "6:11", "a text is compared with a number",
                            "numbers go with numbers"),
    "day-against-number": (WHOLE, "fla_a <= :today", "6:11", "a number is compared with a day",
                           "days with days"),
    "units": (WHOLE, "overload_set_a <= power_kw", "6:11", "(A) is compared with power_kw (kW)",
              "bring both to one unit"),
    "no-such-word": ("<> 'none'", "<> 'non'", "5:28", "none of the words", "did you mean 'none'"),
    "no-such-limit": (WHOLE, "overload_set_a <= :no_such", "6:29", "no limit ':no_such'", "declare"),
    "no-truth": (WHOLE, "overload_set_a + fla_a", "6:11", "a truth is wanted", "write a comparison"),
    "coalesce": (WHOLE, "COALESCE(overload_set_a, 0) <= fla_a", "6:11", "turns unknown into known",
                 "unknown_is_deliberate"),
    "ifnull": (WHOLE, "IFNULL(overload_set_a, 0) <= fla_a", "6:11", "unknown into known", "leave it"),
    "is-null": (WHOLE, "overload_set_a IS NULL", "6:11", "unknown into known", "leave it out"),
    "case-else": (WHOLE, "CASE WHEN fla_a > 1 THEN 1 ELSE 0 END", "6:16", "unknown into known",
                  "unknown_is_deliberate"),
    "placeholder": ("{fla_a}.", "{fla_x}.", "8:64", "unknown column or limit 'fla_x'", "'fla_a'"),
    "other-unit-again": ("at {overload_set_a};", "at {overload_set_a} A;", "8:27", "the unit A",
                         "filled in with its unit"),
    "far-placeholder": ("{fla_a}.", "{zzzzzz}.", "8:64", "unknown column or limit", "columns.md"),
    "no-quotes": ("<> 'none'", "<> none", "5:28", "'none' stands without quotes",
                  "none is a word of overload_place"),
    "unit-behind": (WHOLE, "overload_set_a <= 90 A", "6:29", "a unit behind a number", "in A already"),
    "two-lines": (WHOLE, "|\n  overload_set_a > 0\n  fla_a > 0", "8:3", "two lines", "with AND"),
    "comma": ("overload_set_a: 90", "overload_set_a: 90,5", "13:61", "a number has no comma", "90.5"),
    "quoted-unit": ("overload_set_a: 90", "overload_set_a: 90 A", "13:58", "a number belongs",
                    "without its unit: write 90"),
    "joined-key": ("{is: failed", "{is:failed", "13:6", "no blank behind the colon", "is: failed"),
    "joined-line": ("grade: major", "grade:major", "3:6", "no blank behind the colon",
                    "write grade: major"),
    "indented": ("practice: any", " practice: any", "4:1", "'practice' is indented",
                 "remove the blank before practice"),
    "no-brace": ("none}", "none", "16:5", "a bracket is opened", "close it with }"),
    "no-square": ('practice"]', 'practice"', "11:8", "a bracket is opened", "close it with ]"),
    "no-comma": ("is: failed,", "is: failed", "13:31", "belongs to nothing", "put a comma in front"),
    "no-dash": ("  - {is: passed", "    {is: passed", "14:5", "without its dash", 'with "- "'),
    "brace-first": ("finding: Over", "finding: {fla_a} Over", "8:10", "begins with a curly bracket",
                    "in double quotes"),
    "brace-alone": ("finding: Overload set at {overload_set_a}; the nameplate says {fla_a}.",
                    "finding: {fla_a}", "8:10", "a mapping where text", "in double quotes"),
    "apostrophe": ("The winding burns.", "'It's hot.'", "9:9", "an apostrophe", "double quotes"),
    "quoted-first": (" overload_place <> 'none'", " 'none' <> overload_place", "5:10",
                     "goes on behind its quotes", "double quotes round the whole"),
    "bare-today": ("{is: failed", "{is: failed, :today: 2026-01-01", "13:18", "without quotes",
                   '":today": '),
    "no-example": ("  - {is: cant-tell", "  # {is: cant-tell", "13:3", "comes out cant-tell", "add"),
}
# fmt: on

LIMITS = """\
overrides:
  - {limit: no_such, site: true, value: 3, reason: seen, by: rk, on: 2026-01-01}
  - {limit: least_slip_pct, site: true, value: 3, by: rk, on: 2026-01-01}
  - {limit: least_slip_pct, area: Wet end, value: lots, reason: seen, by: rk, on: 2026-01-01}
  - {limit: least_slip_pct, site: true, area: Wet end, value: 3, reason: seen, by: rk, on: 2026-01-01}
  - {limit: least_slip_pct, position: P-1, value: 3, reason: seen, by: rk, on: soon}
"""
OVERRIDES = [
    ("2:13", "there is no limit 'no_such'", "one of"),
    ("3:5", "the key 'reason' is missing", "add reason"),
    ("4:51", "'lots' where a number belongs", "write it in digits"),
    ("5:5", "an override is for one of", "say site: true"),
    ("6:80", "this is not a day", "2026-03-01"),
]


def check(folder):
    """`startroll rules check FOLDER`, as a person runs it."""
    typed = [sys.executable, "-m", "register.cli.app", "rules", "check", str(folder)]
    return subprocess.run(typed, capture_output=True, encoding="utf-8", cwd=folder.parent)


@pytest.fixture(scope="module")
def ran(tmp_path_factory):
    """One run over one folder: a file for each mistake, and limits with five more."""
    folder = tmp_path_factory.mktemp("rules")
    (folder / "overload").mkdir()
    for name, (old, new, *_) in MISTAKES.items():
        assert old in RULE, name
        text = RULE.replace(old, new, 1)
        (folder / "overload" / f"own-{name}.yml").write_text(text, encoding="utf-8")
    (folder / "limits.yml").write_text(LIMITS, encoding="utf-8")
    return check(folder)


def told(ran, file):
    """What was said about one file: the lines from each mention of it to the next one's."""
    problems = ran.stderr.split("\n")
    starts = [n for n, line in enumerate(problems) if ".yml:" in line] + [len(problems)]
    return ["\n".join(problems[a:b]) for a, b in pairwise(starts) if f"{file}:" in problems[a]]


@pytest.mark.parametrize("name", MISTAKES)
def test_a_mistake_is_told_with_its_place_cause_and_remedy(ran, name):
    *_, place, cause, remedy = MISTAKES[name]
    (first, *_) = told(ran, f"own-{name}.yml")
    assert f"own-{name}.yml:{place}  " in first
    assert cause in first and remedy in first
    assert " | " in first and "^" in first


@pytest.mark.parametrize(("place", "cause", "remedy"), OVERRIDES, ids=[o[1] for o in OVERRIDES])
def test_a_limit_laid_wrongly_is_told_too(ran, place, cause, remedy):
    (said,) = [text for text in told(ran, "limits.yml") if f"limits.yml:{place}  " in text]
    assert cause in said and remedy in said


def test_all_of_it_at_once_and_no_rule_is_run(ran):
    assert ran.returncode == 2
    assert "Traceback" not in ran.stderr
    assert f"in {len(MISTAKES) + 1} files; no rule was run." in ran.stderr
    assert not ran.stdout


@pytest.fixture
def checked(startroll, monkeypatch):
    """The same in this process."""

    def run(folder):
        monkeypatch.chdir(folder.parent)
        return startroll("rules", "check", folder)

    return run


def test_a_sound_folder_and_an_example_that_does_not_hold(checked, tmp_path):
    path = tmp_path / "overload" / "own.yml"
    path.parent.mkdir()
    path.write_text(RULE, encoding="utf-8")
    ran = checked(tmp_path)
    assert ran.code == 0 and "are sound" in ran.out
    path.write_text(RULE.replace("overload_set_a: 90", "overload_set_a: 9"), encoding="utf-8")
    ran = checked(tmp_path)
    assert ran.code == 2
    assert "own.yml:13:5" in ran.out and "but says failed" in ran.out.replace("\n", " ")


@pytest.mark.parametrize(("typed", "right"), [("false", "no"), ("true", "yes"), ("yes", "yes")])
def test_yes_and_no_of_an_example_stand_in_quotes(checked, tmp_path, typed, right):
    path = tmp_path / "overload" / "own.yml"
    path.parent.mkdir()
    text = RULE.replace(WHOLE, f"{WHOLE} AND inverter_duty = 'yes'")
    path.write_text(text.replace("a: 90,", f"a: 90, inverter_duty: {typed},"), encoding="utf-8")
    ran = checked(tmp_path)
    assert "own.yml:13:77  " in ran.err and f'write "{right}"' in ran.err
    assert f"'{typed}' where yes or no belongs" in ran.err


def test_no_folder_and_a_file_for_a_folder(checked, tmp_path):
    gone = checked(tmp_path / "gone")
    assert gone.code == 2
    assert "gone  there is no such folder" in gone.err
    assert "name a folder of rules" in gone.err
    file = tmp_path / "site" / "overload" / "own.yml"
    file.parent.mkdir(parents=True)
    file.write_text(RULE, encoding="utf-8")
    ran = checked(file)
    assert ran.code == 2
    assert "own.yml  this is a file" in ran.err
    assert f"name the folder: {tmp_path / 'site'}" in ran.err
