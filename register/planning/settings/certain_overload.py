"""What an overload surely does in a start, told without following its heat.

A relay that lets nothing cool gets at most as hot as the start's I²t makes it, and at the start's end no relay
has cooled by more than its time constant allows. Mostly that decides; what lies between is worked out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from register.calc import stress
from register.calc.standard_table import Table
from register.calc.start_course import STARTS, March

ROUNDING = 1e-6  # a bound that comes so close decides nothing


@dataclass(frozen=True)
class Seen:
    """What an overload sees of starts: I²t, at most and at least [×FLA², s], how long, and whether they end."""

    most: np.ndarray
    least: np.ndarray
    lasts_s: np.ndarray
    starts: np.ndarray

    @classmethod
    def of(cls, march: March, in_motor: np.ndarray) -> Seen:
        """Of these starts, in the motor's own circuit or in the line."""
        squares = np.where(in_motor, march.motor_di2, march.di2)[1:] if in_motor.any() else march.di2[1:]
        long_enough = np.diff(march.time, axis=0) >= stress.SHORTEST_S
        return cls(
            most=squares.sum(axis=0),
            least=(squares * long_enough).sum(axis=0),
            lasts_s=march.time[-1] - march.time[0],
            starts=march.status == STARTS,
        )

    def take(self, index: np.ndarray) -> Seen:
        """The starts at that index."""
        return Seen(self.most[index], self.least[index], self.lasts_s[index], self.starts[index])

    def stays_below(self, heat: np.ndarray, constant_s: np.ndarray) -> np.ndarray:
        """Where a relay of that time constant surely does not get as hot as that [×FLA²]."""
        return self.starts & (self.most / constant_s < heat * (1.0 - ROUNDING))

    def reaches(self, heat: np.ndarray, constant_s: np.ndarray) -> np.ndarray:
        """Where a relay of that time constant surely gets hotter than that [×FLA²]."""
        return self.least / constant_s * np.exp(-self.lasts_s / constant_s) > heat * (1.0 + ROUNDING)


def class_surely(
    seen: Sequence[Seen],
    trip_class: str,
    trip_classes_table: Table,
    *,
    set_xfla: np.ndarray,
    multiple: np.ndarray,
    quickest_below: float,
) -> np.ndarray:
    """What an overload of the class surely does, else UNKNOWN.

    It HOLDS or TRIPS where it does so in every one of the starts seen; it MAY_TRIP where in one of them the quickest
    relay does, and the slowest does not.

    Parameters
    ----------
    seen : the same starts in each shape of the motor's curves
    set_xfla, multiple : as for `stress.overload`, one for each start
    quickest_below : the heat that the quickest relay surely stays below where it HOLDS, 1 being the trip
    """
    rows = trip_classes_table.of("trip_class", np.full(len(set_xfla), trip_class, object))
    slowest, quickest = (
        stress.time_constant_s(trip_s=trip_classes_table.at(rows, end), multiple=multiple)
        for end in ("longest_s", "shortest_s")
    )
    trip = np.square(stress.TRIPS_AT * set_xfla)
    with np.errstate(all="ignore"):
        known = np.all([np.isfinite(one.most + one.lasts_s) for one in seen], axis=0)
        holds = np.all([one.stays_below(quickest_below * trip, quickest) for one in seen], axis=0)
        trips = np.all([one.reaches(trip, slowest) for one in seen], axis=0)
        between = np.any([one.reaches(trip, quickest) & one.stays_below(trip, slowest) for one in seen], axis=0)
    return np.select([holds, trips, known & between], [stress.HOLDS, stress.TRIPS, stress.MAY_TRIP], stress.UNKNOWN)
