"""The sample plants as registers, each made once."""

from datetime import date

import pytest
from sample_plant import PLANTS, Sample

from register.audit.judge import run
from register.rulebook.load.pack import load_pack

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="session")
def pack():
    return load_pack()


@pytest.fixture(scope="session", params=PLANTS)
def sample(request, tmp_path_factory) -> Sample:
    return Sample(request.param, tmp_path_factory.mktemp(request.param))


@pytest.fixture(scope="session")
def demo(tmp_path_factory) -> Sample:
    return Sample("demo-plant", tmp_path_factory.mktemp("demo"))


@pytest.fixture(scope="session")
def audit(sample, pack):
    with sample.copy() as db:
        return run(db, pack, today=TODAY)
