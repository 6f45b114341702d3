"""An audit made again by the rules that a review pack holds, of a register made of the pack's tables."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from sqlite_utils import Database

from register.audit.report import Report
from register.audit.results import report_of
from register.audit.session import AuditRequest, Session
from register.resources import rules_folder
from register.rulebook.load.files import files_in, in_folders
from register.rulebook.load.pack import load_pack


def judged_again(
    db: Database, rules: Mapping[str, bytes], *, register: Path, today: date, measured_only: bool
) -> Report:
    """Return the report of a register, judged by these rules as on that day.

    Parameters
    ----------
    db : the register, open.
    rules : files by path, `pack/…` and `site/…`, as `files_in` gives them.
    register : its place, of which the report has the name.

    Errors: RuleError for rules that are not sound.
    """
    with in_folders(rules) as (pack_folder, site_folder):
        pack = load_pack(pack_folder, site_folder)
        request = AuditRequest(today=today, site_rules=site_folder, measured_only=measured_only)
        return report_of(Session(register, request, db, pack, today), with_starts=True)


def other_rules(rules: Mapping[str, bytes]) -> list[str]:
    """Paths of the files of rules that are not as in this program, that it lacks, or that are missing."""
    own = files_in(rules_folder(), None)
    return sorted(name for name in own.keys() | rules.keys() if own.get(name) != rules.get(name))
