"""The demo plant and the round of it, made once."""

from datetime import date

import pytest
from sample_plant import Sample

from register.audit.session import AuditRequest, session
from register.rounds.questions import Which, round_of

MADE_ON = "2026-11-25T08:00:00+00:00"


@pytest.fixture(scope="session")
def demo(tmp_path_factory):
    return Sample("demo-plant", tmp_path_factory.mktemp("rounds")).path


@pytest.fixture(scope="session")
def asked(demo):
    """A function that opens the demo plant for an audit, and asks."""

    def ask(call, area=None):
        with session(demo, AuditRequest(today=date(2026, 11, 25), area=area)) as opened:
            return call(opened)

    return ask


@pytest.fixture(scope="session")
def whole(asked):
    return asked(lambda opened: round_of(opened, Which(), made_on=MADE_ON))
