"""What the trials under attack share: every command loaded before it is tried, and the counts told at the end."""

import re
from collections import Counter

import pytest
from on_trial import SHARE

from register.cli import families


@pytest.fixture(scope="session", autouse=True)
def loaded():
    for module in families.FAMILIES:
        families.family_of(module)


@pytest.fixture
def tally(record_property):
    """tally("kills", 12): how many of a kind this test has tried."""
    return lambda kind, count=1: record_property("tried", f"{count} {kind}")


def pytest_terminal_summary(terminalreporter):
    if not SHARE:
        return
    tried: Counter[str] = Counter()
    for report in (r for kind in ("passed", "failed") for r in terminalreporter.stats.get(kind, ())):
        for name, value in report.user_properties:
            if name == "tried" and (said := re.fullmatch(r"(\d+) (.*)", value)):
                tried[said[2]] += int(said[1])
    terminalreporter.section("tried")
    for kind, count in tried.items():
        terminalreporter.write_line(f"{count:8,d}  {kind}")
