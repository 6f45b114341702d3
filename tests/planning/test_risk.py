"""The risk of a device, by hand; every factor is told in words."""

from dataclasses import dataclass
from datetime import date

import pytest

from register.facts.standard_tables import load_tables
from register.planning.years.risk import READS, Load, risk

TODAY = date(2026, 1, 1)
WEIGHTS = load_tables()["replacement-risk"]


@dataclass(frozen=True)
class Known:
    """A rate of failure, as far as the risk asks for it."""

    most_per_year: float = 0.01
    repair_h: float = 20.0
    repair_told: str = "median published"


FACTS = dict.fromkeys(READS) | {
    "tag": "P-1",
    "criticality": "ordinary",
    "standby": "none",
    "bypass_arrangement": "none",
    "run_hours_per_year": 8766.0,
    "device": "S1",
    "device_kind": "drive",
    "lifecycle": "current",
    "device_status": "in service",
    "made_on": "2020-01-01",
    "life_years": 15.0,
}


def of(years=1, has_spare=True, repeats_trips=False, fails_majors=0, clears=False, lead=50.0, **more):
    load = Load(Known(), has_spare, repeats_trips, fails_majors, clears, lead)
    return risk(FACTS | more, load, years=years, today=TODAY, weights=WEIGHTS)


def test_rate_times_hours_times_weight():
    # Source: arithmetic, 0.01 a year × 20 h × 1.
    made = of()
    assert made.now == pytest.approx(0.2)
    assert made.likelihood == "0.01 failures a year"
    assert made.consequence == (
        "20 h of lost load (a spare lies in store; a repair takes 20 h, median published;"
        " runs 100 % of the year) × 1 (ordinary)"
    )
    assert made.to_read == ()


@pytest.mark.parametrize(
    ("more", "now", "word"),
    # Source: arithmetic on the weights of the table and the register's own numbers.
    [
        ({"criticality": "critical"}, 0.01 * 20 * 3, "critical"),
        ({"has_spare": False}, 0.01 * (20 + 50 * 24), "delivered in 50 days"),
        ({"has_spare": False, "lifecycle": "withdrawn"}, 0.01 * 1220 * 1.5, "withdrawn"),
        ({"standby": "installed"}, 0.01 * 1, "standby"),
        ({"bypass_arrangement": "three-contactor"}, 0.01 * 4, "bypass"),
        ({"run_hours_per_year": 4383.0}, 0.01 * 10, "runs 50 % of the year"),
        ({"made_on": "1996-01-01"}, 0.01 * 4 * 20, "30 years old; expected life 15 years"),
        ({"made_on": "1966-01-01"}, 0.01 * 5 * 20, "60 years old"),
        ({"repeats_trips": True}, 0.01 * 2 * 20, "three trips"),
        ({"fails_majors": 2}, 0.01 * 2 * 20, "2 major findings"),
        ({"device_status": "failed"}, 8766.0, "lost until it is replaced"),
        ({"device_status": "failed", "run_hours_per_year": 876.6}, 876.6, "it has failed"),
        ({"device_status": "failed", "standby": "installed"}, 20.0, "it has failed"),
    ],
)
def test_each_factor_in_numbers_and_words(more, now, word):
    made = of(**more)
    assert made.now == pytest.approx(now, rel=1e-3)
    assert word in f"{made.likelihood}; {made.consequence}"


@pytest.mark.parametrize(
    ("blank", "field"),
    [
        ({"criticality": None}, "criticality"),
        ({"standby": None}, "standby"),
        ({"bypass_arrangement": None}, "bypass_arrangement"),
        ({"life_years": None}, "life_years"),
        ({"run_hours_per_year": None}, "run_hours_per_year"),
        ({"made_on": None}, "made_on"),
        ({"has_spare": False, "lead": None}, "lead_time_days"),
    ],
)
def test_what_is_unknown_is_named_and_never_makes_the_risk_less(blank, field):
    made = of(**blank)
    assert made.to_read == (field,)
    assert made.now >= of().now * (1 - 1e-9)
    assert "None" not in made.likelihood + made.consequence


def test_a_new_device_takes_away_what_age_and_withdrawal_add():
    made = of(years=3, made_on="2006-01-01", lifecycle="withdrawn")
    # Source: arithmetic: ages 20, 21, 22 of 15 years' life, squared, × 1.5 for a type withdrawn.
    before = [0.2 * 1.5 * (age / 15) ** 2 for age in (20, 21, 22)]
    assert made.before == pytest.approx(before, rel=1e-3)
    assert made.after == pytest.approx((0.2, 0.2, 0.2))
    gains = [b - 0.2 for b in before]
    assert made.taken_away() == pytest.approx((sum(gains), sum(gains[1:]), gains[2]), rel=1e-3)


def test_a_young_sound_device_is_not_worth_replacing():
    assert of(years=2).taken_away() == (0.0, 0.0)


def test_what_causes_the_trips_stays_unless_the_new_device_clears_it():
    assert of(repeats_trips=True, fails_majors=1).taken_away() == (0.0,)
    # Source: arithmetic, 0.01 × 20 × (2 × 2 - 1).
    cleared = of(repeats_trips=True, fails_majors=1, clears=True)
    assert cleared.taken_away() == pytest.approx((0.6,))
