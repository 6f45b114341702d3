"""A plant in a file, to be asked what to hold and what to plan."""

import pytest

from register.store.database import create, opened, writing


@pytest.fixture
def bare(tmp_path):
    """A register with a site and nothing else; told what to insert, it opens it to read."""
    path = tmp_path / "plant.db"
    create(path, {"site": "Oldmarrow Works", "practice": "us", "site_frequency_hz": 60.0})

    def filled(*inserts):
        with opened(path, write=True) as db, writing(db, reason="walk", author="rk"):
            for table, row in inserts:
                db[table].insert(row)
        return opened(path)

    return filled
