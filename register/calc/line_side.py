"""What a start means for the line: the bus voltage, and the most current that it may draw."""

from __future__ import annotations

import numpy as np

from register.calc.course_rows import Rows
from register.calc.start_methods import FAINTEST, SOFT, TAP, TORQUE, Control, bus_volts, sine, through
from register.calc.supply import Supply

OPEN = 0.999  # of the bus voltage, from which a device lets all of it through


def network(
    rows: Rows, terminal: np.ndarray, motor: np.ndarray, ratio: np.ndarray, supply: Supply
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Voltage before the cable in phase with the motor's current, all of it, and voltage of the bus, by row [pu].

    `ratio` is that of a tap, 1 without; `terminal` and `motor` are the motor's voltage and current.
    """
    along = terminal * rows.cosine + supply.z_c.real * motor
    before = np.hypot(along, terminal * sine(rows.cosine) + supply.z_c.imag * motor)
    series = bus_volts(along, motor, supply.z_s, supply.v_oc)
    return along, before, np.where(ratio < 1.0, before / ratio, series)


def most_current(
    control: Control, supply: Supply, limit_xfla: np.ndarray, rows: Rows, motor: np.ndarray, open_: np.ndarray
) -> np.ndarray:
    """Current of the motor along the same course, were it to fall no faster than the voltage.

    `open_` is the voltage that a device lets through, of the bus voltage. Peaks and dips are held against this
    current: a motor that loses torque at reduced voltage is slower when a tap or ramp
    hands over, but may still draw what its voltage promises.
    """
    r, x = rows.cosine / rows.drawn, sine(rows.cosine) / rows.drawn
    ramped = ~rows.late & (control.method == SOFT) & (control.ramp_s > 0.0)
    first = np.maximum(control.initial, FAINTEST)
    share = np.where(ramped, rows.time / np.where(control.ramp_s > 0.0, control.ramp_s, 1.0), 1.0)
    opened = np.minimum(first + (1.0 - first) * np.minimum(share, 1.0), 1.0)
    free = through(np.where(control.method == SOFT, opened, 1.0), r, x, supply)
    tapped = control.method == TAP
    if tapped.any():
        z = supply.z_c + control.tap**2 * supply.z_s
        free = np.where(~rows.late & tapped, control.tap * supply.v_oc / np.hypot(r + z.real, x + z.imag), free)
    # Torque asks a current, whatever the voltage, until the device lets all of it through.
    free = np.where((control.method == TORQUE) & (open_ < OPEN), motor, free)
    return np.maximum(motor, np.minimum(free, limit_xfla))
