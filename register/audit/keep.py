"""An audit kept in the register, with all that it takes to make it again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from sqlite_utils import Database

from register.audit.judge import Audit
from register.audit.report import Report
from register.facts.method import present_method
from register.rulebook.load.files import files_in
from register.rulebook.model import Pack
from register.store import audits, packs
from register.store.database import writing


def keep(db: Database, audit: Audit, made: Report, author: str) -> int:
    """Keep every verdict as a letter, every finding whole, and the rules and limits in force.

    Returns
    -------
    the audit's number.
    """
    pack = audit.pack
    head: dict[str, Any] = {
        "made_by": author,
        "today": made.scope.today,
        "program_version": made.scope.program,
        "method_hash": present_method(),
        "pack_hash": pack.hash,
        "limits": limits_in_force(pack),
        "scope": asdict(made.scope),
        "rules": [rule.id for rule in audit.rules],
        "counts": made.grades,
    }
    with writing(db, reason=f"audit as on {made.scope.today} kept", author=author) as change_set:
        packs.keep_pack(db, pack.hash, files_in(pack.folder, pack.site_folder))
        head["change_set"] = change_set
        return audits.keep(db, head, audit.rows(), _findings(made))


def limits_in_force(pack: Pack) -> dict[str, Any]:
    """The pack's own limits, and the site's overrides."""
    return {
        "pack": {name: limit.value for name, limit in pack.limits.items()},
        "overrides": [asdict(override) for override in pack.overrides],
    }


def _findings(made: Report) -> Iterator[dict[str, Any]]:
    for f in made.findings:
        yield {
            "tag": f.tag,
            "rule": f.rule,
            "grade": f.grade,
            "margin": f.margin,
            "provisional": "yes" if f.provisional else "no",
            "detail": asdict(f),
        }
