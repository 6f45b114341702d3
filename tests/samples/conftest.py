"""The audit of each sample plant, made once."""

from datetime import date

import pytest

from register.audit.judge import run
from register.rulebook.load.pack import load_pack

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="session")
def pack():
    return load_pack()


@pytest.fixture(scope="session")
def audit(sample, pack):
    with sample.copy() as db:
        return run(db, pack, today=TODAY)
