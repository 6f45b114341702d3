"""Rules, limits and mappings of someone else: sound or told with place and remedy, and none of them runs anything."""

import itertools
import random
import shutil
from pathlib import Path

import pytest
from damage import damaged
from on_trial import SHARE, trials
from sound_end import check_whole_or_as_made, sound
from warm_rules import warm_rules

DATA = Path(__file__).parent / "data"
RULES = Path(__file__).parents[2] / "rules"


WORDS = [
    "fla_a", "power_kw", "tag", ":today", ":limit", "NULL", "''", "1=1", "abs(-9223372036854775808)", "1e999", "0x10",
    "(SELECT 1)", "load_extension('x')", "randomblob(1e9)", "CASE WHEN", "NOT", "OR", "AND", "IN ()", "--", "/*", "x'00'",
    "zeroblob(999999999)", "printf('%*d', 99999999, 1)", "LIKE '%'", "GLOB '['", "REGEXP '('", "|| char(0)", ";", "{fla_a}",
    "COLLATE x", "CAST(fla_a AS BLOB)", "fla_a / 0", "~fla_a", "fla_a << 99", "replace(hex(zeroblob(9)), '0', 'a')",
    "!!python/object/apply:os.system [ls]", "*a", "&a [*a]", "<<: *a", "? x", "- - - -", "\t", "%TAG", "---", "...", "[" * 400,
    "{" * 400, "2026-02-30", "off", "~", "1_000", "0o7", "|", ">",
]  # fmt: skip


@pytest.mark.parametrize("part", range(4 if SHARE else 1))
def test_hostile_rules(part, tmp_path, room, monkeypatch, tally):
    warm_rules(monkeypatch)
    files = sorted(RULES.glob("*/*.yml"))
    folder = tmp_path / "ours"
    for number in range(trials(1, 400)):
        chance = random.Random(f"rules {part} {number}")
        shutil.rmtree(folder, ignore_errors=True)
        (folder / "mine").mkdir(parents=True)
        (folder / "mine" / "odd.yml").write_bytes(hostile(chance.choice(files).read_bytes(), chance))
        sound(room.tried(["rules", "check", folder]), {0, 2}, f"rules {part} {number}")
        tally("hostile rules")


@pytest.mark.parametrize("file", ["limits.yml", "taken-in.yml"])
def test_hostile_limits(file, tmp_path, room, tally):
    whole = {"limits.yml": (RULES / file).read_bytes() if file == "limits.yml" else b"", "taken-in.yml": TAKEN_IN}[file]
    rule = (RULES / "overload" / "present.yml").read_bytes()
    folder = tmp_path / "ours"
    for number in range(trials(1, 50)):
        chance = random.Random(f"{file} {number}")
        shutil.rmtree(folder, ignore_errors=True)
        (folder / "mine").mkdir(parents=True)
        (folder / "mine" / "present.yml").write_bytes(rule)
        (folder / file).write_bytes(hostile(whole, chance))
        sound(room.tried(["rules", "check", folder]), {0, 2}, f"{file} {number}")
        tally("hostile limits, and lines that take rules in")


TAKEN_IN = b"- {rule: mine/present, on: 2026-11-01, by: rk, reason: seen on twenty motors}\n"
MAPPING = b"""sheets:
  list:
    header row: 1
    sections: bus
    constants: {bus: MCC-1}
    headings:
      Remarks: ignore
      Rating: {column: power_kw, unit: hp, decimal: comma}
      Crit.: {column: criticality, words: {A: critical, B: essential, C: ordinary}}
      Amps: {column: fla_a, believed: yes}
"""
BOMB = b"a: &a [x, x, x, x, x, x, x, x, x]\n" + b"".join(
    f"{b}: &{b} [{', '.join([f'*{a}'] * 9)}]\n".encode() for a, b in itertools.pairwise("abcdefghij")
)
NESTED_BOMB = b"sheets:\n  a: &a {x: 1}\n" + b"".join(
    f"  {b}: &{b} {{{', '.join(f'k{place}: *{a}' for place in range(9))}}}\n".encode()
    for a, b in itertools.pairwise("abcdefghijkl")
)
HOSTILE = {
    "aliases that multiply": BOMB + b"sheets: *j\n",
    "aliases of mappings that multiply": NESTED_BOMB,
    "an alias of itself": b"sheets: &a {list: *a}\n",
    "nested deep": b"sheets: " + b"[" * 100_000,
    "mappings nested deep": b"sheets: " + b"{a: " * 100_000,
    "a tag": b"sheets: !!python/object/apply:os.system [touch gone]\n",
    "a huge number": b"sheets: {list: {header row: " + b"9" * 100_000 + b"}}\n",
    "a huge number of sixties": b"sheets: {list: {header row: 1" + b":59" * 50_000 + b"}}\n",
    "a merge": b"x: &x {headings: {}}\nsheets: {list: {<<: *x}}\n",
    "a long line": b"sheets: {list: {headings: {" + b"x" * 5_000_000 + b": ignore}}}\n",
    "many keys": b"sheets:\n  list:\n    headings:\n" + b"".join(b"      h%d: ignore\n" % n for n in range(20_000)),
    "two of one key": b"sheets: {list: {skip: yes, skip: no}}\n",
    "no text": bytes(range(256)),
    "nothing": b"",
}


@pytest.mark.parametrize("what", HOSTILE)
def test_a_hostile_mapping(what, empty, tmp_path, room):
    (tmp_path / "map.yml").write_bytes(HOSTILE[what])
    register = shutil.copy(empty[0], tmp_path)
    ended = room.tried(["take-in", DATA / "list.csv", "--mapping", tmp_path / "map.yml", "-r", register])
    sound(ended, {0} if what == "many keys" else {2}, what)
    assert not Path("gone").exists()


def test_hostile_mappings(empty, tmp_path, room, tally):
    register = tmp_path / "plant.db"
    for number in range(trials(1, 300)):
        chance = random.Random(f"mapping {number}")
        register.write_bytes(empty[1])
        (tmp_path / "map.yml").write_bytes(hostile(MAPPING, chance))
        command = ["take-in", DATA / "list.csv", "--mapping", tmp_path / "map.yml", "-r", register]
        sound(room.tried(command), {0, 2}, f"mapping {number}")
        check_whole_or_as_made(register, empty)
        tally("hostile mappings")


def hostile(data: bytes, chance: random.Random) -> bytes:
    if chance.random() < 0.25:
        return damaged(data, chance)
    lines = data.decode().splitlines(keepends=True)
    for _ in range(chance.randint(1, 3)):
        at = chance.randrange(len(lines))
        words = lines[at].split(" ")
        words[chance.randrange(len(words))] = chance.choice(WORDS)
        lines[at] = " ".join(words) if chance.random() < 0.9 else chance.choice(WORDS) + "\n"
    return "".join(lines).encode()


def test_an_expression_without_end_is_refused_at_once(tmp_path, room):
    """A word of 70,000 letters kept the search for a likely mistake busy for minutes."""
    (tmp_path / "ours" / "mine").mkdir(parents=True)
    rule = (RULES / "overload" / "present.yml").read_text("utf-8")
    before, _, after = rule.partition("finding: ")
    assert "margin: " not in rule
    (tmp_path / "ours" / "mine" / "odd.yml").write_text(f"{before}margin: {'A' * 70_000}\nfinding: {after}", "utf-8")
    ended = room.tried(["rules", "check", tmp_path / "ours"])
    sound(ended, {2}, "without end")
    assert "up to 5000 are read" in ended.err
