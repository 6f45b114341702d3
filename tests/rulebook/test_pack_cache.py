"""Packs kept between commands: the same pack comes back, and whatever happens to what was kept does no harm."""

import shutil
from dataclasses import fields

import pytest

import register
from register.resources import rules_folder
from register.rulebook.clauses import filled
from register.rulebook.load import pack, pack_cache
from register.rulebook.load.pack import load_pack
from register.rulebook.run import compiled


@pytest.fixture
def kept(tmp_path, monkeypatch):
    """A cache of its own; a pack is looked for there anew each time, as by a new command."""
    monkeypatch.setenv("STARTROLL_CACHE", str(tmp_path / "cache"))
    pack._read.cache_clear()
    yield tmp_path / "cache" / "startroll"
    pack._read.cache_clear()


def again():
    pack._read.cache_clear()
    return load_pack()


def was_read(monkeypatch):
    """Whether the next pack comes from its files."""
    from register.rulebook.load.reading import Reading

    seen = []
    whole = Reading.head
    monkeypatch.setattr(Reading, "head", lambda self, folder: (seen.append(folder), whole(self, folder))[1])
    return seen


def test_what_was_kept_is_the_pack_that_was_read(kept, monkeypatch):
    first = again()
    seen = was_read(monkeypatch)
    second = again()
    assert len(list(kept.glob("*.json"))) == 1 and seen == []
    for one, other in zip(first.rules, second.rules, strict=True):
        assert {f.name: getattr(one, f.name) for f in fields(one)} == {
            f.name: getattr(other, f.name) for f in fields(other)
        }
    assert (first.limits, first.overrides, first.hash, first.taken_in) == (
        second.limits,
        second.overrides,
        second.hash,
        second.taken_in,
    )


def test_an_expression_remembered_is_the_one_compiled(kept):
    rules = again().rules
    kept_forms = compiled.as_data(rules)
    compiled._KNOWN.clear()
    fresh = {text: compiled.compiled(text) for text in kept_forms}
    compiled._KNOWN.clear()
    compiled.remember(kept_forms)
    assert {text: compiled.compiled(text) for text in fresh} == fresh
    assert filled(fresh[rules[0].requires].sql, ":{}".format)


@pytest.mark.parametrize("damage", [b"", b"{", b"[]", b'{"rules": 1}', b"\xff\x00", b'{"compiled": {}, "rules": []}'])
def test_damage_is_as_if_nothing_was_kept(kept, monkeypatch, damage):
    first = again()
    (file,) = kept.glob("*.json")
    file.write_bytes(damage)
    seen = was_read(monkeypatch)
    assert again().rules == first.rules and len(seen) == 1
    assert again().rules == first.rules and len(seen) == 1  # and the next finds it whole again


def test_a_file_in_the_place_of_the_folder_does_no_harm(kept, monkeypatch):
    kept.parent.parent.joinpath("cache").write_text("in the way")
    seen = was_read(monkeypatch)
    assert len(again().rules) > 100 and len(again().rules) > 100
    assert len(seen) == 2


def test_a_changed_rule_or_another_program_is_read_anew(kept, monkeypatch, tmp_path):
    folder = tmp_path / "rules"
    shutil.copytree(rules_folder(), folder)
    load_pack(folder)
    seen = was_read(monkeypatch)
    rule = folder / "overload" / "present.yml"
    rule.write_text(rule.read_text(encoding="utf-8").replace("grade: major", "grade: minor"), encoding="utf-8")
    assert str(load_pack(folder).rule("overload/present").grade) == "minor" and len(seen) == 1
    monkeypatch.setattr(register, "__version__", "9.9.9")
    pack_cache._program.cache_clear()
    try:
        pack._read.cache_clear()
        load_pack(folder)
        assert len(seen) == 2
    finally:
        pack_cache._program.cache_clear()


def test_an_empty_name_keeps_nothing(kept, monkeypatch):
    monkeypatch.setenv("STARTROLL_CACHE", "")
    again()
    assert not kept.exists()


def test_the_same_files_elsewhere_are_not_read_again_and_tell_where_they_lie(kept, monkeypatch, tmp_path):
    """Rules kept in a register are written to another place each time."""
    seen = was_read(monkeypatch)
    made = []
    for place in ("one", "other"):
        folder, site = tmp_path / place / "rules", tmp_path / place / "site"
        shutil.copytree(rules_folder(), folder)
        (site / "own").mkdir(parents=True)
        text = (folder / "overload" / "present.yml").read_text(encoding="utf-8")
        (site / "own" / "here.yml").write_text(text, encoding="utf-8")
        made.append((folder, site, load_pack(folder, site)))
    assert len(seen) == 1 and len(made[0][2].rules) == len(made[1][2].rules)
    for folder, site, found in made:
        assert (found.folder, found.site_folder) == (folder, site)
        for rule in found.rules:
            home = site if rule.id.startswith("own/") else folder
            assert rule.path == home / f"{rule.id}.yml"
            assert all(one.place.startswith(f"{rule.path}:") for one in rule.examples)


def test_places_are_told_from_where_one_is(kept, monkeypatch, tmp_path):
    folder = tmp_path / "rules"
    shutil.copytree(rules_folder(), folder)
    places = []
    for here in (tmp_path, tmp_path / "rules" / "overload", tmp_path / "rules"):
        monkeypatch.chdir(here)
        pack._read.cache_clear()
        places.append(load_pack(folder).rule("overload/present").examples[0].place.rsplit(":", 2)[0])
    assert places == ["rules/overload/present.yml", "present.yml", "overload/present.yml"]
