"""Kept summaries put together in few files: the same rows as one by one, made anew where a summary is another."""

import os
import shutil

import pytest
from fleet_made import DAY

from register.fleet import engine
from register.fleet import kept as kept_module
from register.fleet.asked import Asked
from register.fleet.kept import PACKED, Kept
from register.fleet.rollup import roll_up
from register.fleet.tables import TABLES, as_parquet


@pytest.fixture
def folder(tables, tmp_path):
    return shutil.copytree(tables, tmp_path / "tables", ignore=shutil.ignore_patterns(PACKED))


def keys(folder):
    return [(plant, one.day) for plant, own in sorted(Kept(folder).heads().items()) for one in own]


def rows(kept, folder):
    asked = keys(folder)
    return {
        name: [row for part in kept.read(name, asked, [f.name for f in fields]) for row in part.to_pylist()]
        for name, fields in TABLES.items()
    }


def test_together_they_say_what_each_says(folder, monkeypatch):
    monkeypatch.setattr(kept_module, "AT_ONCE", 4)  # two files a table
    one_by_one = rows(Kept(folder), folder)
    assert one_by_one["verdicts"] and not (folder / PACKED).exists()
    assert rows(Kept(folder, packed=True), folder) == one_by_one
    assert list((folder / PACKED).iterdir())
    assert rows(Kept(folder, packed=True), folder) == one_by_one


def test_another_summary_of_the_same_time_is_seen(folder):
    before = rows(Kept(folder, packed=True), folder)
    first, *rest = (folder / "unknown" / f"plant={p}" / f"day={d}" / "summary.parquet" for p, d in keys(folder))
    seen, part = first.stat(), first.with_name("other")
    shutil.copyfile(next(other for other in rest if other.read_bytes() != first.read_bytes()), part)
    os.utime(part, ns=(seen.st_atime_ns, seen.st_mtime_ns))
    part.replace(first)  # as it is written: a new file in its place
    after = rows(Kept(folder, packed=True), folder)
    assert after == rows(Kept(folder), folder) != before


def test_what_is_damaged_or_cannot_be_written_is_made_anew(folder):
    whole = rows(Kept(folder), folder)
    rows(Kept(folder, packed=True), folder)
    for path in (folder / PACKED).iterdir():
        path.write_bytes(path.read_bytes()[:50])
    assert rows(Kept(folder, packed=True), folder) == whole
    shutil.rmtree(folder / PACKED)
    (folder / PACKED).write_text("no folder", encoding="utf-8")
    assert rows(Kept(folder, packed=True), folder) == whole


def test_what_no_run_reads_any_more_is_taken_away(made, tmp_path):
    folder = tmp_path / "tables"
    first, *_ = sorted(made.glob("*.db"))
    for places, times in (([str(made)], 1), ([str(first)], 1), ([str(made)], 2)):
        for _ in range(times):
            roll_up(places, Asked(today=DAY), keep_in=folder)
    names = sorted(path.name.partition("-")[0] for path in (folder / PACKED).iterdir())
    assert names == sorted(set(names)), "one file a table"
    assert not [name for name in os.listdir(folder / PACKED) if name.endswith(".part")]


def test_what_workers_put_together_is_what_the_files_say(made, tmp_path, monkeypatch):
    """A roll-up of a whole group opens no file of a summary: what it reads came with the summaries."""
    monkeypatch.setattr(engine, "GROUP", 100)
    opened = []
    monkeypatch.setattr(Kept, "_together", lambda self, name, files, columns=None: opened.append(name))
    folder = tmp_path / "tables"
    roll_up([str(made)], Asked(today=DAY), keep_in=folder)
    assert not opened
    monkeypatch.undo()
    asked = keys(folder)
    tables = {path.name.partition("-")[0] for path in (folder / PACKED).iterdir()}
    assert {"plants", "verdicts", "unknown", "models", "settings"} <= tables
    for name in tables:
        names = [f.name for f in TABLES[name]]
        one_by_one, at_once = (
            [row for part in Kept(folder, packed=packed).read(name, asked, names) for row in part.to_pylist()]
            for packed in (False, True)
        )
        assert one_by_one == at_once


def test_a_register_refused_does_not_make_the_others_be_read_again(plants, tmp_path, monkeypatch):
    """What is read at once are the registers of a group, the refused one too: in the next groups it moves none."""
    monkeypatch.setattr(kept_module, "AT_ONCE", 2)
    for name, size in {"MOST": 2, "GROUP": 1, "SHARES": 1}.items():
        monkeypatch.setattr(engine, name, size)
    sorted(plants.glob("*.db"))[1].write_bytes(b"no register")
    opened = []
    monkeypatch.setattr(Kept, "_together", lambda self, name, files, columns=None: opened.append(name))
    assert roll_up([str(plants)], Asked(today=DAY), keep_in=tmp_path / "tables").refused
    assert not opened


def test_a_file_changed_in_the_middle_is_made_anew(folder):
    """A block that never reached the disk, or a bit that turned, leaves a file that Parquet reads: other rows."""
    whole = rows(Kept(folder, packed=True), folder)
    files = sorted((folder / PACKED).iterdir())
    sound = {path: path.read_bytes() for path in files}
    for share in (0.05, 0.3, 0.5, 0.7, 0.95):
        for path, data in sound.items():
            at = int(len(data) * share)
            path.write_bytes(data[:at] + bytes([data[at] ^ 1]) + data[at + 1 :])
        assert rows(Kept(folder, packed=True), folder) == whole
        assert {path: path.read_bytes() for path in files} == sound


def test_a_file_without_a_column_is_made_anew(folder):
    """As where a table has one more than when it was written."""
    asked = keys(folder)
    kept = Kept(folder, packed=True)
    (whole,) = kept.read("plants", asked, ["site", "place"])
    seen = kept._seen("plants", asked)
    kept._packs.write("plants", seen, as_parquet(whole.drop_columns(["place"])))
    (again,) = kept.read("plants", asked, ["site", "place"])
    assert again.equals(whole)
