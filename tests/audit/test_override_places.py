"""Limits overridden where the register has nothing: refused, with the nearest right place."""

import pytest
from fan import TAG, make

from register.audit.session import AuditRequest, session
from register.errors import RuleError
from register.intake.undo import retire
from register.store.database import create, opened, writing

SIGNED = "value: 1.5, reason: small loads, by: rk, on: 2025-11-25"


@pytest.fixture
def fan(tmp_path):
    return make(tmp_path / "fan.db")


def site(tmp_path, *places):
    folder = tmp_path / "site"
    folder.mkdir()
    rows = "".join(f"  - {{limit: oversize_ratio, {place}, {SIGNED}}}\n" for place in places)
    (folder / "limits.yml").write_text(f"overrides:\n{rows}")
    return AuditRequest(site_rules=folder)


def test_every_unknown_tag_and_area_is_told_with_the_nearest(fan, tmp_path):
    asked = site(tmp_path, "position: F-560", "area: Kilns", "area: Kiln", f"position: {TAG}")
    with pytest.raises(RuleError) as raised, session(fan, asked):
        pass
    causes = {(p.cause, p.remedy) for p in raised.value.problems}
    has_not = "which the register does not have"
    assert causes == {
        (f"the limit 'oversize_ratio' is overridden at position 'F-560', {has_not}", "did you mean 'F-650'?"),
        (f"the limit 'oversize_ratio' is overridden at area 'Kilns', {has_not}", "did you mean 'Kiln'?"),
    }


def test_right_places_a_retired_one_and_an_empty_register_are_not_refused(fan, tmp_path):
    asked = site(tmp_path, "area: Kiln", f"position: {TAG}")
    with session(fan, asked) as made:
        assert len(made.pack.overrides) == 2
    create(tmp_path / "empty.db", {"site": "Halvard Kiln Works", "practice": "iec"})
    with session(tmp_path / "empty.db", asked) as made:
        assert len(made.pack.overrides) == 2
    with opened(fan, write=True) as db, writing(db, reason="torn down", author="mh"):
        db.execute("INSERT INTO position (tag, area) VALUES ('F-651', 'Kiln')")
        retire(db, TAG)
    with session(fan, asked) as made:
        assert len(made.pack.overrides) == 2
