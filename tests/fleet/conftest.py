"""A fleet of a few small plants, made once."""

import shutil
from pathlib import Path

import pytest
from fleet_made import DAY, PLANTS, POSITIONS

from register.fleet.asked import Asked
from register.fleet.rollup import roll_up

pytest.importorskip("pyarrow", reason="the extra fleet is not installed")


@pytest.fixture(scope="session")
def made(tmp_path_factory) -> Path:
    """The folder of the fleet, which is only read."""
    from fleet import fleet

    folder = tmp_path_factory.mktemp("fleet") / "plants"
    fleet(folder, PLANTS, POSITIONS, variants=4, kept=True)
    return folder


@pytest.fixture
def plants(made, tmp_path) -> Path:
    """The fleet in a folder of its own, to be spoilt."""
    return Path(shutil.copytree(made, tmp_path / "plants"))


@pytest.fixture(scope="session")
def tables(made, tmp_path_factory) -> Path:
    """The kept summaries of the fleet."""
    folder = tmp_path_factory.mktemp("tables")
    roll_up([str(made)], Asked(today=DAY), keep_in=folder)
    return folder


@pytest.fixture(scope="session")
def report(made, tables):
    return roll_up([str(made)], Asked(today=DAY), keep_in=tables)
