"""What the trials under attack share: every command loaded before it is tried, and the counts told at the end."""

import functools
import gc
import importlib
import pkgutil
import re
from collections import Counter
from contextlib import chdir

import pytest
from on_trial import SHARE, in_place
from register_state import state
from sample_plant import Sample
from trial_room import Room
from writing_commands import CHANGES, FILES, WITHOUT_REGISTER, prepared

import register
from register.cli import families
from register.store.database import create


@pytest.fixture(scope="session", autouse=True)
def loaded():
    """What a command is made of, made once."""
    families.family_of = functools.cache(families.family_of)
    for module in families.FAMILIES:
        families.family_of(module)


@pytest.fixture(scope="session")
def small(tmp_path_factory):
    return Sample("small-plant", tmp_path_factory.mktemp("small")).path


@pytest.fixture(scope="session")
def warm(small, tmp_path_factory):
    """By thousands, all that any command loads or keeps in memory is there before the first fork."""
    if not SHARE:
        return
    for module in pkgutil.walk_packages(register.__path__, "register."):
        importlib.import_module(module.name)
    folder = tmp_path_factory.mktemp("warm")
    with chdir(folder):
        plant = prepared(small, folder)
        for name, command in (CHANGES | FILES).items():
            in_place(command if name in WITHOUT_REGISTER else [*command, "-r", plant], folder)
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session")
def empty(tmp_path_factory):
    """An empty register: its place, its bytes, what it holds."""
    path = tmp_path_factory.mktemp("empty") / "plant.db"
    create(path, {"site": "Oldmarrow Works", "practice": "iec", "site_frequency_hz": 50})
    return path, path.read_bytes(), state(path)


@pytest.fixture
def room(tmp_path):
    with Room(tmp_path) as room:
        yield room


@pytest.fixture
def tally(record_property):
    """tally("kills", 12): how many of a kind this test has tried."""
    return lambda kind, count=1: record_property("tried", f"{int(count)} {kind}")


def pytest_terminal_summary(terminalreporter):
    if not SHARE:
        return
    tried: Counter[str] = Counter()
    for report in (r for kind in ("passed", "failed") for r in terminalreporter.stats.get(kind, ())):
        for name, value in report.user_properties:
            if name == "tried" and (said := re.fullmatch(r"(\d+) (.*)", value)):
                tried[said[2]] += int(said[1])
    terminalreporter.section("tried")
    for kind, count in sorted(tried.items()):
        terminalreporter.write_line(f"{count:8,d}  {kind}")
