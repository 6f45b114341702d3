"""A small plant and the demo plant over the years, with rules that can be changed."""

import shutil

import pytest
from sample_plant import Sample
from years_plant import SMALL, edit

from register.resources import rules_folder
from register.store.database import create


@pytest.fixture
def rules(tmp_path, monkeypatch):
    """The program's rules, as a folder that a test may change."""
    folder = tmp_path / "rules"
    shutil.copytree(rules_folder(), folder)
    monkeypatch.setattr("register.rulebook.load.pack.rules_folder", lambda: folder)
    return folder


@pytest.fixture(scope="session")
def demo_bytes(tmp_path_factory):
    return Sample("demo-plant", tmp_path_factory.mktemp("demo")).path.read_bytes()


@pytest.fixture
def demo(tmp_path, demo_bytes):
    path = tmp_path / "demo.db"
    path.write_bytes(demo_bytes)
    return path


@pytest.fixture(scope="session")
def small_bytes(tmp_path_factory):
    path = tmp_path_factory.mktemp("small") / "small.db"
    create(
        path,
        {
            "site": "Oldmarrow Works",
            "practice": "us",
            "site_frequency_hz": 60.0,
            "site_ambient_c": 44.0,
            "site_altitude_m": 200.0,
            "time_zone": "America/Denver",
        },
    )
    edit(path, *SMALL)
    return path.read_bytes()


@pytest.fixture
def small(tmp_path, small_bytes):
    """P-1 fails: no bypass; 63.36 A of device for 65 A of motor; no thermography of late."""
    path = tmp_path / "small.db"
    path.write_bytes(small_bytes)
    return path


@pytest.fixture
def lettered(small):
    """A lineup and a drive in store, each called P-1 as a position is: 42 kA for 50 kA; no power since 2020."""
    edit(
        small,
        "INSERT INTO bus (bus, lineup_withstand_ka, fault_current_ka) VALUES ('P-1', 42, 50)",
        "UPDATE position SET bus = 'P-1' WHERE tag = 'P-2'",
        "INSERT INTO model (model, device_kind) VALUES ('V', 'drive')",
        "INSERT INTO device (device, model, device_status, stored_since, last_powered_on)"
        " VALUES ('P-1', 'V', 'in store', '2020-01-01', '2020-06-01')",
    )
    return small
