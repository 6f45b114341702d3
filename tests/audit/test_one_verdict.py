"""One verdict opened by itself is the one of the whole audit: the same values, doubts and fields to read."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from sample_plant import Sample

from register.audit.findings import opened_verdict
from register.audit.results import explained
from register.audit.session import AuditRequest, session
from register.rulebook.model import Outcome

TODAY = date(2026, 11, 25)
EVERY = 67  # of the failed verdicts; fewer of the others


def test_one_verdict_is_judged_alone_as_among_all(tmp_path):
    path = Sample("demo-plant", tmp_path).path
    with session(path, AuditRequest(today=TODAY), write=False) as opened:
        audit = opened.audit()
        failed, unknown = (sorted(audit.having(outcome)) for outcome in (Outcome.FAILED, Outcome.CANT_TELL))
        doubted = sorted(audit.doubts.by_safe)[:2] + sorted(audit.doubts.of)[:: EVERY * 4]
        asked = dict.fromkeys(failed[::EVERY] + unknown[:: EVERY * 6] + doubted)
        assert len(asked) > 6 and doubted
        for tag, rule in asked:
            assert replace(explained(opened, tag, rule), concession=None) == opened_verdict(opened.db, audit, tag, rule)
