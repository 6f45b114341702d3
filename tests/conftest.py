"""The registers with which many tests begin: each made once in a run, and copied for each worker."""

import gc
import os
from datetime import date

import fan as fan_plant
import pytest
import sample_plant
from hypothesis import settings
from sample_plant import PLANTS, Sample
from shortcuts import verdicts_only

from register.store import clock

# No test depends on how busy the computer is.
settings.register_profile("house", deadline=None)
settings.load_profile("house")


# As in a command: circles of objects are few, and looking for them takes a tenth of the time.
gc.set_threshold(200_000, 20, 20)


@pytest.fixture(scope="session", autouse=True)
def shared_folder(tmp_path_factory):
    """A folder that all processes of this run share, where the sample plants are made."""
    own = tmp_path_factory.getbasetemp()
    os.environ["STARTROLL_CACHE"] = str(own)
    sample_plant.shared = own.parent if "PYTEST_XDIST_WORKER" in os.environ else own


@pytest.fixture(scope="session", autouse=True)
def not_behind():
    """On a computer whose clock is behind, the days that the tests play do not lie ahead."""
    real, last = clock.today, date(2026, 11, 29)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(clock, "today", lambda db: max(real(db), last))
        yield


@pytest.fixture(scope="session")
def demo(tmp_path_factory) -> Sample:
    return Sample("demo-plant", tmp_path_factory.mktemp("demo"))


@pytest.fixture(scope="session", params=PLANTS)
def sample(request, tmp_path_factory) -> Sample:
    return Sample(request.param, tmp_path_factory.mktemp(request.param))


@pytest.fixture(scope="session")
def fan(tmp_path_factory):
    """The register of the large fan, which is only read."""
    return fan_plant.make(tmp_path_factory.mktemp("fan") / "fan.db")


@pytest.fixture
def only_verdicts():
    """Nothing but verdicts is asked for in this test."""
    with verdicts_only():
        yield


def pytest_collection_modifyitems(items):
    """The dear tests go first: one that begins last keeps one core busy and leaves the others idle."""
    items.sort(key=lambda item: item.get_closest_marker("dear") is None)


LEFT_OUT = pytest.StashKey[list[str]]()


def pytest_terminal_summary(terminalreporter, config):
    reasons = [str(report.longrepr[-1]) for report in terminalreporter.stats.get("skipped", ())]
    counts = {
        program: sum(program in reason for reason in reasons)
        for program in ("Chromium", "Firefox", "LibreOffice", "the extra photo", "gcc")
    }
    config.stash[LEFT_OUT] = [
        f"Skipped for want of {program}, which is not installed here: {count}."
        for program, count in counts.items()
        if count
    ]


def pytest_unconfigure(config):
    """Say last of all whether what only a browser or LibreOffice can show was left out."""
    for line in config.stash.get(LEFT_OUT, []):
        print(line)
