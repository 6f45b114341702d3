"""What the first screen shows is the same whether the findings behind it were opened or not."""

from dataclasses import fields
from datetime import date
from io import StringIO

import by_path
import pytest
from rich.console import Console

from register.audit.finding import Found
from register.audit.outline import GRADES, Outline, exit_code
from register.audit.results import outline_of, report_of
from register.audit.session import AuditRequest, session
from register.reports.terminal import report as terminal
from register.store.database import opened, writing

TODAY = date(2026, 11, 25)


def screen(made):
    out = StringIO()
    terminal.show(made, Console(file=out, width=80))
    return out.getvalue()


def fault_current_doubted(path):
    """The stated fault current is judged on the safe side (tests/audit/test_doubts.py)."""
    with opened(path, write=True) as db, writing(db, reason="walk", author="rk"):
        db.execute(
            "UPDATE protection SET protection_kind = 'inverse-time breaker', interrupting_ka = 25"
            " WHERE tag IN (SELECT tag FROM position WHERE bus = 'MCC-21')"
        )


def conceded(path):
    """One finding is conceded, and another asked for."""
    with session(path, AuditRequest(today=TODAY)) as asked:
        first, second = [f for f in report_of(asked).findings if f.subject == "position"][:2]
    for number, one in enumerate((first, second), 1):
        until, reason = date(2027, 6, 30), "a part is ordered"
        by_path.ask(path, one.tag, one.rule, until=until, reason=reason, by="rk", today=TODAY)
        if number == 1:
            by_path.decide(path, 1, "approved", reason="until it comes", by="sb", today=TODAY)


@pytest.mark.parametrize("measured_only", [False, True])
def test_the_first_screen_is_that_of_the_whole_report(demo, measured_only):
    fault_current_doubted(demo)
    conceded(demo)
    with session(demo, AuditRequest(today=TODAY, measured_only=measured_only)) as asked:
        outline, report = outline_of(asked), report_of(asked)
    assert len(report.concessions) == 2
    assert screen(outline) == screen(report)
    for field in fields(Outline):
        if field.name not in ("findings", "groups", "evidence", "rules"):
            assert getattr(outline, field.name) == getattr(report, field.name), field.name
    assert [of(f) for f in outline.findings] == [of(f) for f in report.findings]
    assert [list(map(of, g.findings)) for g in outline.groups] == [list(map(of, g.findings)) for g in report.groups]
    for grade in GRADES:
        codes = {exit_code(made, grade=grade, allow_unknown_pct=5) for made in (outline, report)}
        assert len(codes) == 1


def of(finding):
    """All that a finding has before it is opened."""
    return {field.name: getattr(finding, field.name) for field in fields(Found)}
