"""The command line as a person meets it: what was typed, what was shown, how it ended."""

import signal
import sys
from dataclasses import dataclass
from datetime import date

import pytest

from register.audit.session import AuditRequest, session
from register.cli import app
from register.store.database import create, opened, writing

DAY = date(2026, 11, 25)


@dataclass(frozen=True)
class Ran:
    """One run of a command."""

    code: int
    out: str
    err: str


@pytest.fixture
def startroll(monkeypatch, capsys):
    """Run the command line; an error that it lets through fails the test with its traceback."""
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setattr(signal, "signal", lambda *_: None)

    def run(*typed):
        monkeypatch.setattr(sys, "argv", ["startroll", *map(str, typed)])
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            app.main()
        return Ran(ended.value.code or 0, *capsys.readouterr())

    return run


@pytest.fixture(scope="session")
def small_register(tmp_path_factory):
    """The bytes of a small register, its facts ready as after any audit: a motor at P-1, next to nothing at P-2."""
    path = tmp_path_factory.mktemp("small") / "plant.db"
    create(path, {"site": "Oldmarrow Works", "practice": "us", "site_frequency_hz": 60.0})
    with opened(path, write=True) as db, writing(db, reason="walk", author="rk"):
        for sql in (
            "INSERT INTO position (tag, description, area) VALUES ('P-1', 'Wash pump', 'Wet end')",
            "INSERT INTO position (tag, criticality) VALUES ('P-2', 'ordinary')",
            "INSERT INTO motor (motor, tag, fla_a) VALUES ('M1', 'P-1', 65)",
        ):
            db.conn.execute(sql)
    with session(path, AuditRequest(today=DAY), write=True) as judged:
        judged.audit()
    return path.read_bytes()


@pytest.fixture
def plant(tmp_path, monkeypatch, small_register):
    """A small register, which the commands find by themselves."""
    path = tmp_path / "plant.db"
    path.write_bytes(small_register)
    monkeypatch.setenv("STARTROLL_REGISTER", str(path))
    monkeypatch.chdir(tmp_path)
    return path


@pytest.fixture
def untouched(plant):
    """The register, which a test must leave as it was, byte for byte, with nothing beside it."""
    before = plant.read_bytes()
    yield plant
    assert plant.read_bytes() == before
    assert not list(plant.parent.glob("*-journal"))
