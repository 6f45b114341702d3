import pytest
from fan import make
from sample_plant import PLANTS, Sample


@pytest.fixture(scope="session")
def fan(tmp_path_factory):
    """The register of the large fan; planning only reads it."""
    return make(tmp_path_factory.mktemp("fan") / "fan.db")


@pytest.fixture(scope="session")
def demo(tmp_path_factory):
    return Sample("demo-plant", tmp_path_factory.mktemp("demo"))


@pytest.fixture(scope="session", params=PLANTS)
def sample(request, tmp_path_factory):
    return Sample(request.param, tmp_path_factory.mktemp(request.param))
