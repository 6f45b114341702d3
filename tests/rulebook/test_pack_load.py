"""Every mistake that a rule's file can hold, each told with place, cause and remedy."""

from __future__ import annotations

import re

import pytest

from register.errors import RuleError
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Grade, Harm, Outcome, Outside
from register.rulebook.proofs.examples import failing_examples

RULE = "overload/set-within.yml"


def problems(folder, site=None):
    with pytest.raises(RuleError) as caught:
        load_pack(folder, site)
    return caught.value


def changed(folder, old, new, name=RULE):
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_a_rule_is_read_whole(small):
    rule = small.rule("overload/set-within")
    assert rule.grade is Grade.MAJOR
    assert rule.columns == ("overload_place", "overload_set_a", "overload_set_max_a", "practice")
    assert rule.condition == "practice = 'us' AND (overload_place <> 'none')"
    assert (rule.margin_columns, rule.margin_unit) == (("overload_set_max_a", "overload_set_a"), "A")
    assert rule.examples[0].outcome is Outcome.FAILED
    assert rule.examples[2].row["overload_set_a"] is None
    assert [r.id for r in small.rules] == ["duty/tested", "overload/not-oversized", "overload/set-within"]
    assert small.rule("overload/not-oversized").limits == ("oversize_ratio",)
    assert (small.name, small.version, len(small.hash)) == ("Small pack", "1", 64)


def test_the_hash_follows_every_file(folder, small):
    assert load_pack(folder).hash == small.hash
    changed(folder, "The winding burns", "The winding chars")
    assert load_pack(folder).hash != small.hash


def test_the_error_reads_as_promised(folder, monkeypatch):
    monkeypatch.chdir(folder.parent)
    changed(folder, "requires: overload_set_a", "requires: overlod_set_a")
    assert str(problems(folder)) == (
        "pack/overload/set-within.yml:6:11  unknown column 'overlod_set_a'\n"
        "  6 | requires: overlod_set_a <= overload_set_max_a\n"
        "    |           ^^^^^^^^^^^^^\n"
        "  did you mean overload_set_a (setting of the overload that protects the motor, A)?\n"
        "1 problem in 1 file; no rule was run."
    )


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (
            "[parts]",
            "'parts' is not one of reading, record, check, study, setting, part, outage\n.*did you mean 'part'",
        ),
        ("[part, part]", "'part' stands here twice"),
        ("[]", "an empty list"),
        ("part", "a list belongs"),
    ],
)
def test_what_it_takes_is_of_a_closed_list(folder, given, told):
    changed(folder, "practice: us", f"practice: us\ntakes: {given}")
    assert re.search(told, str(problems(folder)), re.DOTALL)


def test_what_it_takes_is_read_in_its_order(folder):
    changed(folder, "practice: us", "practice: us\ntakes: [setting, outage]")
    assert load_pack(folder).rule("overload/set-within").takes == ("setting", "outage")


def test_all_problems_of_all_files_at_once(folder):
    changed(folder, "grade: major", "grade: grave")
    changed(folder, "requires: overload_set_a", "requires: overlod_set_a")
    changed(folder, "unit: d", "unit: d\n  colour: red", "limits.yml")
    error = problems(folder)
    assert error.summary == "3 problems in 2 files; no rule was run."
    assert len(error.problems) == 3
    assert error.exit_code == 2


# what to replace, by what; where the problem stands (line, column), a word of cause and of remedy
# fmt: off
MISTAKES = [
    ("grade: major", "grade: mayor", (3, 8), "'mayor' is not one of", "did you mean 'major'?"),
    ("grade: major", "grade: major\ngrade: minor", (4, 1), "twice", "keep one"),
    ("grade: major\n", "", (1, 1), "'grade' is missing", "add grade"),
    ("grade: major", "grad: major", (3, 1), "unknown key 'grad'", "did you mean 'grade'?"),
    ("practice: us", "practice: eu", (4, 11), "'eu' is not one of", "us"),
    ("title: The overload is set within what the nameplate permits", "title: off", (1, 8),
     "off is read as false", 'put it in quotes: "off"'),
    ("title: The overload is set within what the nameplate permits", "title: 12", (1, 8),
     "12 is a number where text belongs", 'quotes: "12"'),
    ("title: The overload is set within what the nameplate permits", "title:", (1, 7),
     "nothing stands here", "write the text"),
    ("why: The winding burns.", "why: [The winding]", (9, 6), "a list where text belongs", "write"),
    ("why: The winding burns.", "why: The winding: it burns.", (9, 17), "a colon inside plain text",
     "quotes"),
    ("why: The winding burns.", 'why: "The winding burns.', (9, 6), "not closed", "close it"),
    ("why: The winding burns.", "why: |\n\tThe winding.", (10, 1), "a tab", "indent with spaces"),
    ("basis: [", "basis: [[", (None, None), "", ""),
    ('basis: ["NFPA 70-2023, 430.32(A)(1)"]', "basis: common practice", (11, 8),
     "'common practice' where a list belongs", "[one, two]"),
    ("{overload_set_max_a}.", "{overload_set_mx_a}.", (8, 69), "unknown column or limit",
     "overload_set_max_a"),
    ("{overload_set_max_a}.", "{overload_set_max_a:.1f}.", (8, 10), "can't be filled in", "{column}"),
    ("{overload_set_max_a}.", "{overload_set_max_a.", (8, 10), "curly bracket", "{column}"),
    ("overload_set_a: 90", "overload_set_a: 9e1", (13, 78), "'9e1' where a number belongs", "digits"),
    ("overload_set_a: 90", "overload_set_a: ninety", (13, 78), "'ninety' where a number", "digits"),
    ("overload_set_a: 90", "overload_set_a: .inf", (13, 78), "where a number belongs", "digits"),
    ("overload_set_a: 90", "overlod_set_a: 90", (13, 62), "unknown column", "overload_set_a"),
    ("overload_set_a: 90", "fla_a: 90", (13, 62), "does not read 'fla_a'", "it reads overload_place"),
    ("overload_place: device", "overload_place: divice", (13, 54), "'divice' is not one of",
     "did you mean 'device'?"),
    ("is: failed", "is: fails", (13, 10), "'fails' is not one of", "did you mean 'failed'?"),
    ("is: failed,", "", (13, 5), "no outcome", "say is:"),
    ("is: failed", '":oversize": 3, is: failed', (13, 6), "names no ':oversize'", "today"),
    ("  - {is: failed", "  # {is: failed", (14, 3), "no example comes out failed", "add one"),
    ("  - {is: cant-tell", "  # {is: cant-tell", (13, 3), "no example comes out cant-tell", "add"),
    ("margin: overload_set_max_a - overload_set_a", "margin: overload_set_max_a > overload_set_a",
     (7, 9), "a number is wanted here and this is a truth", "difference"),
    ("requires: overload_set_a <= overload_set_max_a",
     "requires: overload_set_a <=\n  overload_set_max_a", (6, 11), "folds into one", "after |"),
    ("requires: overload_set_a <= overload_set_max_a",
     "requires: >\n  overload_set_a <= overload_set_max_a", (6, 11), "folds into one", "after |"),
    ("requires: overload_set_a <= overload_set_max_a",
     "requires: |\n  overload_set_a\n  <= overload_set_mx_a", (8, 6), "unknown column", "max_a"),
    ("requires: overload_set_a", "unknown_is_deliberate: it is\nrequires: overload_set_a", (6, 24),
     "nothing in this rule turns unknown into known", "remove"),
]
# fmt: on


@pytest.mark.parametrize(
    ("old", "new", "place", "cause", "remedy"), MISTAKES, ids=[f"{m[0][:20]} → {m[1][:24]}" for m in MISTAKES]
)
def test_a_mistake_is_told_with_its_place(folder, old, new, place, cause, remedy):
    changed(folder, old, new)
    (problem, *more) = problems(folder).problems
    assert not more, [str(p) for p in more]
    assert cause in problem.cause
    assert remedy in problem.remedy
    if place[0]:
        assert problem.place.endswith(f"set-within.yml:{place[0]}:{place[1]}"), str(problem)


def test_the_caret_stands_under_the_mistake(folder):
    changed(folder, "overload_place <> 'none'", "overload_place <> 'non'")
    (problem,) = problems(folder).problems
    marked = problem.excerpt[problem.column : problem.column + problem.width]
    assert marked == "'non'"


def test_a_long_line_is_cut_and_the_caret_still_fits(folder):
    changed(folder, "overload_set_max_a: 81.25}", f"overload_set_max_a: {'x' * 30}}}")
    changed(folder, "practice: us,", f"practice: us,{' ' * 200}")
    (problem,) = problems(folder).problems
    assert len(problem.excerpt) < 110
    assert problem.excerpt[problem.column : problem.column + problem.width] == "x" * 30


@pytest.mark.parametrize(
    ("raw", "cause"),
    [
        (b"", "the file is empty"),
        (b"# only a remark\n", "the file is empty"),
        (b"- a\n- list\n", "a list where keys with values belong"),
        (b"just words\n", "'just words' where keys with values belong"),
        ("title: Überlast\n".encode("latin-1"), "not UTF-8"),
        ("title: x\n".encode("utf-16"), "not UTF-8"),
        (b"title: a\0b\n", "character"),
        (b"title: x\n---\ntitle: y\n", "second document"),
        (b"[" * 5000, ""),
        (b"title: *nowhere\n", "no text can begin"),
        (b"? [a, b]\n: c\n", "a key that is not a word"),
    ],
    ids=["empty", "remark", "list", "words", "latin-1", "utf-16", "nul", "two", "deep", "alias", "key"],
)
def test_a_file_that_is_no_rule(folder, raw, cause):
    (folder / RULE).write_bytes(raw)
    first = problems(folder).problems[0]
    assert cause in first.cause
    assert first.remedy
    assert "set-within.yml" in first.place


def test_a_byte_order_mark_does_no_harm(folder):
    path = folder / RULE
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes())
    assert len(load_pack(folder).rules) == 3


def test_files_that_would_be_overlooked(folder):
    (folder / "overload" / "other.yaml").write_text("title: x\n")
    (folder / "stray.yml").write_text("title: x\n")
    (folder / "overload" / "Set_Within.yml").write_bytes((folder / RULE).read_bytes())
    causes = [p.cause for p in problems(folder).problems]
    assert len(causes) == 3
    assert any("ends in .yml" in cause for cause in causes)
    assert any("theme's folder" in cause for cause in causes)
    assert any("can't be the id" in cause for cause in causes)


def test_no_folder_no_pack_no_limits(tmp_path, folder):
    assert "no such folder" in problems(tmp_path / "nowhere").problems[0].cause
    (folder / "limits.yml").unlink()
    assert any("limits.yml" in p.place and "read" in p.cause for p in problems(folder).problems)
    (folder / "pack.yml").unlink()
    assert any("pack.yml" in p.place for p in problems(folder).problems)


def test_a_rule_with_the_day_wants_it_in_every_example(folder):
    changed(folder, ', ":today": "2026-06-03"}', "}", "duty/tested.yml")
    assert "without the day" in problems(folder).problems[0].cause


@pytest.mark.parametrize(
    ("text", "cause", "remedy"),
    [
        (
            "- {limit: oversize, site: true, value: 4, reason: r, by: b, on: 2026-01-10}",
            "no limit 'oversize'",
            "oversize_ratio",
        ),
        (
            "- {limit: oversize_ratio, value: 4, reason: r, by: b, on: 2026-01-10}",
            "one of: site, area, position",
            "site: true",
        ),
        (
            "- {limit: oversize_ratio, area: a, position: b, value: 4, reason: r, by: b, on: 2026-01-10}",
            "one of: site, area, position",
            "site: true",
        ),
        (
            "- {limit: oversize_ratio, site: false, value: 4, reason: r, by: b, on: 2026-01-10}",
            "for nowhere",
            "site: true",
        ),
        ("- {limit: oversize_ratio, site: true, value: 4, by: b, on: 2026-01-10}", "'reason' is missing", "add reason"),
        (
            "- {limit: oversize_ratio, site: true, value: four, reason: r, by: b, on: 2026-01-10}",
            "'four' where a number",
            "digits",
        ),
        ("- {limit: oversize_ratio, site: true, value: 4, reason: r, by: b, on: 10.1.2026}", "not a day", "2026-03-01"),
        (
            "- {limit: oversize_ratio, area: a, value: 4, reason: r, by: b, on: 2026-01-10}\n"
            "  - {limit: oversize_ratio, area: a, value: 5, reason: r, by: b, on: 2026-01-10}",
            "two overrides",
            "keep one",
        ),
    ],
)
def test_an_override_that_is_not_sound(folder, tmp_path, text, cause, remedy):
    site = tmp_path / "site"
    site.mkdir()
    (site / "limits.yml").write_text(f"overrides:\n  {text}\n")
    (problem,) = problems(folder, site).problems
    assert cause in problem.cause
    assert remedy in problem.remedy


def test_a_site_adds_rules_and_cannot_replace_one(folder, tmp_path, sited):
    assert "own/cable-short" in [rule.id for rule in sited.rules]
    assert len(sited.overrides) == 3
    site = tmp_path / "site"
    (site / "overload").mkdir(parents=True)
    (site / "overload" / "set-within.yml").write_bytes((folder / RULE).read_bytes())
    (site / "limits.yml").write_text("oversize_ratio: {value: 1, unit: A, sentence: s, basis: b}\n")
    causes = " ".join(p.cause for p in problems(folder, site).problems)
    assert "has a rule 'overload/set-within' already" in causes
    assert "declared by the pack already" in causes


OUTSIDE = """\
harm: fire
outside:
  - when: motor_voltage_v > 1000
    says: Judge it by hand.
applies:"""


def test_a_rule_says_whom_it_harms_and_where_it_does_not_reach(folder):
    changed(folder, "applies:", OUTSIDE)
    changed(folder, "examples:\n", "examples:\n  - {is: inapplicable, practice: us, motor_voltage_v: 4160}\n")
    rule = load_pack(folder).rule("overload/set-within")
    assert rule.harm is Harm.FIRE
    assert rule.outside == (Outside("motor_voltage_v > 1000", "Judge it by hand."),)
    assert "motor_voltage_v" in rule.shown_columns and "motor_voltage_v" not in rule.columns
    assert failing_examples(load_pack(folder)) == []


def test_a_kept_pack_without_harm_is_read_as_before(small):
    assert {rule.harm for rule in small.rules} == {Harm.MACHINE}


@pytest.mark.parametrize(
    ("old", "new", "cause", "remedy"),
    [
        ("harm: fire", "harm: fires", "'fires' is not one of", "fire"),
        ("motor_voltage_v > 1000", "motor_volts > 1000", "motor_volts", "motor_voltage_v"),
        ("motor_voltage_v > 1000", "motor_voltage_v > 1000 OR motor_voltage_v IS NULL", "unknown into known", ""),
        ("    says: Judge it by hand.\n", "", "'says' is missing", "says"),
        ("harm: fire", "doubts: fla", "'fla'", "fla_a"),
        ("harm: fire", "safe_side: fla_a", "nothing doubted", "doubts"),
    ],
)
def test_a_mistake_about_harm_reach_or_doubt_is_told(folder, old, new, cause, remedy):
    changed(folder, "applies:", OUTSIDE.replace(old, new, 1))
    told = problems(folder).problems
    assert any(cause in p.cause and remedy in p.remedy for p in told), [str(p) for p in told]
