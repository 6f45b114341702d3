"""The torque that the driven machine asks at each speed."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from register.calc.standard_table import Table
from register.calc.word_match import known, said

BREAKAWAY_ENDS = 0.1  # of rated speed, where what holds the load at standstill has let go
LEFT_AFTER_BREAKAWAY = 0.25  # of the breakaway torque, as running friction
FULL_LOAD_PCT = 100.0


@dataclass(frozen=True)
class Load:
    """Load torque of each motor, of its full-load torque, against speed y of its rated speed.

    a + c1·y + c2·y² + (b − a)·max(0, 1 − y/y_b): b is the torque at standstill, a + c1 + c2 that
    at rated speed. `tables` holds, where there is one, a pair (speeds, torques) that goes before.
    """

    a: np.ndarray
    b: np.ndarray
    c1: np.ndarray
    c2: np.ndarray
    y_b: np.ndarray | float = BREAKAWAY_ENDS
    tables: np.ndarray | None = None

    def take(self, index: np.ndarray | slice) -> Load:
        """The motors at that index, mask or slice."""
        size = np.shape(self.a)
        picked = {
            f.name: np.broadcast_to(getattr(self, f.name), size)[index]
            for f in fields(self)
            if getattr(self, f.name) is not None
        }
        return Load(**picked)


def torque(load: Load, y: np.ndarray) -> np.ndarray:
    """Load torque at those speeds.

    Parameters
    ----------
    load : the loads, n of them
    y : speed, of the motor's rated speed, (n,) or (G, n)

    Returns
    -------
    of the motor's full-load torque [pu]
    """
    y = np.asarray(y, float)
    held = (load.b - load.a) * np.maximum(0.0, 1.0 - y / load.y_b)
    asked = load.a + load.c1 * y + load.c2 * y**2 + held
    if load.tables is None:
        return asked
    asked, y = asked.copy(), np.broadcast_to(y, asked.shape)
    for motor in np.flatnonzero(np.not_equal(load.tables, None)):
        speeds, torques = load.tables[motor]
        asked[..., motor] = np.interp(y[..., motor], speeds, torques)
    return asked


def load_of(
    *,
    load_curve: np.ndarray,
    load_torque_pct: np.ndarray,
    load_breakaway_pct: np.ndarray,
    unloaded_share_pct: np.ndarray,
) -> Load:
    """The load from what the register says of it.

    Parameters
    ----------
    load_curve : how the torque grows with speed: constant, linear or square
    load_torque_pct : at rated speed, of full-load torque [%]
    load_breakaway_pct : at standstill, of full-load torque [%]
    unloaded_share_pct : torque at rated speed while it is started, 100 if started loaded [%]

    Returns
    -------
    Load : NaN where one of them is unknown

    Notes
    -----
    A constant load stays at its torque once it has broken away. One that grows with speed starts
    to grow from a quarter of its breakaway torque, which is taken for its running friction (common
    practice), though never from more than it asks at rated speed.
    """
    curve = np.atleast_1d(np.asarray(load_curve, object))
    b = np.asarray(load_breakaway_pct, float) / 100.0
    end = np.asarray(load_torque_pct, float) * np.asarray(unloaded_share_pct, float) / 1e4
    constant, square = said(curve, "constant"), said(curve, "square")
    grows = square | said(curve, "linear")
    a = np.where(grows, np.minimum(LEFT_AFTER_BREAKAWAY * b, end), end)
    a = np.where(constant | grows, a, np.nan)
    rest = end - a
    a, b, c1, c2 = np.broadcast_arrays(a, b + 0.0 * a, np.where(square, 0.0, rest), np.where(square, rest, 0.0))
    return Load(a=a, b=b, c1=c1, c2=c2)


def unloaded_share_pct(*, load_kind: np.ndarray, start_condition: np.ndarray, load_torque_table: Table) -> np.ndarray:
    """Torque at rated speed that a load asks while it is started, of what it asks in service.

    Parameters
    ----------
    load_kind : kind of driven machine
    start_condition : how the load stands when it is started
    load_torque_table : torques by kind of driven machine

    Returns
    -------
    unloaded_share_pct : 100 where it is started loaded [%]

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> share = unloaded_share_pct(load_kind="centrifugal pump", start_condition="unloaded",
    ...                            load_torque_table=load_tables()["load-torque"])
    >>> float(share)
    50.0
    """
    rows = load_torque_table.of("load_kind", load_kind)
    loaded = load_torque_table.at(rows, "loaded_pct")
    share = 100.0 * np.minimum(load_torque_table.at(rows, "unloaded_pct") / loaded, 1.0)
    # A kind of machine that the table does not know unloaded is taken as loaded.
    share = np.where(known(load_kind) & np.isnan(share), 100.0, share)
    share = np.where(said(start_condition, "unloaded"), share, np.nan)
    return np.where(said(start_condition, "loaded"), 100.0, share)


def typical_load_curve(*, load_kind: np.ndarray, load_torque_table: Table) -> np.ndarray:
    """How the torque of this kind of driven machine usually grows with speed.

    Parameters
    ----------
    load_kind : kind of driven machine
    load_torque_table : torques by kind of driven machine

    Returns
    -------
    typical_load_curve : None for a kind that the table leaves out

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> torques = load_tables()["load-torque"]
    >>> str(typical_load_curve(load_kind="centrifugal fan", load_torque_table=torques))
    'square'
    """
    rows = load_torque_table.of("load_kind", load_kind)
    return np.append(load_torque_table.columns["load_curve"], None)[rows]


def typical_breakaway_pct(*, load_kind: np.ndarray, load_torque_table: Table) -> np.ndarray:
    """Torque at standstill that this kind of driven machine usually asks.

    Parameters
    ----------
    load_kind : kind of driven machine
    load_torque_table : torques by kind of driven machine

    Returns
    -------
    typical_breakaway_pct : of motor full-load torque [%]

    Notes
    -----
    The table is for choosing a motor and states the most; one that is there, and runs, is taken to
    turn its load with full-load torque (common practice).

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> torques = load_tables()["load-torque"]
    >>> float(typical_breakaway_pct(load_kind="conveyor", load_torque_table=torques))
    100.0
    """
    return _usual_pct(load_kind, load_torque_table, "breakaway_pct")


def typical_load_torque_pct(*, load_kind: np.ndarray, load_torque_table: Table) -> np.ndarray:
    """Torque near rated speed that this kind of driven machine, loaded, usually asks at a start.

    Parameters
    ----------
    load_kind : kind of driven machine
    load_torque_table : torques by kind of driven machine

    Returns
    -------
    typical_load_torque_pct : of motor full-load torque [%]

    Notes
    -----
    At most full-load torque, as at standstill.

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> torques = load_tables()["load-torque"]
    >>> float(typical_load_torque_pct(load_kind="axial fan", load_torque_table=torques))
    100.0
    """
    return _usual_pct(load_kind, load_torque_table, "loaded_pct")


def _usual_pct(load_kind: np.ndarray, load_torque_table: Table, column: str) -> np.ndarray:
    rows = load_torque_table.of("load_kind", load_kind)
    return np.minimum(load_torque_table.at(rows, column), FULL_LOAD_PCT)
