"""How a motor's current falls with its voltage: a little faster than the voltage, as its leakage loses saturation.

At a given current nothing changes, since torque over current squared depends on slip alone. So a start is counted in
effective voltage: that which would draw the current of a motor without saturation.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from register.calc.machine import Machine

KNEE_XFLA = 2.0  # of current, below which no leakage saturates


@dataclass(frozen=True)
class Bent:
    """I = V^(1+e)·I(1) and T = V^(2+2e)·T(1), e = (n − 1)·(I(1) − 2)/(LRC − 2) from 0 to n − 1."""

    slope: np.ndarray  # (n,), of e by the current at full voltage
    most: np.ndarray  # (n,)

    def exponent(self, drawn: np.ndarray) -> np.ndarray:
        """e where that current is drawn at 1 pu."""
        return np.clip(self.slope * (drawn - KNEE_XFLA), 0.0, self.most)

    def factor(self, volts: np.ndarray, drawn: np.ndarray, exponent: np.ndarray) -> np.ndarray:
        """Current at that voltage, of what it would be without saturation."""
        return np.maximum(volts, KNEE_XFLA / drawn) ** exponent

    def terminal(self, effective: np.ndarray, drawn: np.ndarray, exponent: np.ndarray) -> np.ndarray:
        """Voltage at the terminals of that effective voltage [pu]."""
        knee = KNEE_XFLA / drawn
        low = effective / knee**exponent
        return np.where(low > knee, effective ** (1.0 / (1.0 + exponent)), low)


def bent_of(machine: Machine) -> Bent:
    """The law of each motor by its shape and its locked-rotor current."""
    most = machine.n - 1.0
    above = machine.locked_rotor - KNEE_XFLA
    return Bent(np.where(above > 0.0, most / np.where(above > 0.0, above, 1.0), 0.0), most)
