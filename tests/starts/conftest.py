import pytest
from fan import make
from sample_plant import Sample


@pytest.fixture(scope="session")
def fan(tmp_path_factory):
    """The register of the large fan; a study only reads it."""
    return make(tmp_path_factory.mktemp("fan") / "fan.db")


@pytest.fixture(scope="session")
def demo(tmp_path_factory):
    return Sample("demo-plant", tmp_path_factory.mktemp("demo"))
