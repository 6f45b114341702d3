"""The places that a site's limits are overridden at, held against the register's own tags and areas."""

from __future__ import annotations

from sqlite_utils import Database

from register.errors import Problem, RuleError
from register.rulebook.load.document import nearest
from register.rulebook.model import Pack

# A position that was retired has its rows in the history only, and may come back.
TAGS = "SELECT tag FROM position UNION SELECT row_key FROM change WHERE table_name = 'position'"
AREAS = "SELECT DISTINCT area FROM position WHERE area IS NOT NULL"


def refuse_unknown_places(db: Database, pack: Pack) -> None:
    """Raise RuleError with every override for a tag or an area that the register does not have.

    A register without any position has no names yet to hold them against.
    """
    if all(o.layer == "site" for o in pack.overrides):
        return
    known = {
        layer: [row[0] for row in db.conn.execute(f"{names} ORDER BY 1")]
        for layer, names in (("position", TAGS), ("area", AREAS))
    }
    if not known["position"]:
        return
    problems = [
        Problem(
            f"the limit {o.limit!r} is overridden at {o.layer} {o.at!r}, which the register does not have",
            nearest(o.at, known[o.layer]) if known[o.layer] else "no position has an area yet: say position: <tag>",
            str(pack.site_folder or pack.folder),
        )
        for o in pack.overrides
        if o.layer in known and o.at not in known[o.layer]
    ]
    if problems:
        raise RuleError(problems, summary="nothing was judged")
