"""Whether a device speaks the network that commands it."""

from __future__ import annotations

import re
from functools import lru_cache

import numpy as np

from register.calc.word_match import known


@lru_cache(maxsize=10_000)
def _names(text: str | None) -> frozenset[str]:
    """The protocols that a text names, without case, spaces and hyphens."""
    named = (re.sub(r"[\W_]", "", part.casefold()) for part in re.split("[,;|]", text or ""))
    return frozenset(name for name in named if name)


def protocol_supported(*, control_protocol: np.ndarray, protocols: np.ndarray) -> np.ndarray:
    """Whether the device speaks the network that is used.

    Parameters
    ----------
    control_protocol : network protocol used at the position
    protocols : those that the device speaks, separated by commas

    Returns
    -------
    protocol_supported : yes or no, None where either is unknown

    Notes
    -----
    Names are compared whole, less case, spaces and hyphens: a serial and an Ethernet form of one
    protocol are two.

    Examples
    --------
    >>> str(protocol_supported(control_protocol="Modbus RTU", protocols="MODBUS-RTU, EtherNet/IP"))
    'yes'
    """
    used, spoken = np.broadcast_arrays(np.asarray(control_protocol, object), np.asarray(protocols, object))
    found = np.empty(used.shape, object)
    found.ravel()[:] = [
        "yes" if _names(one) <= _names(all_) else "no" for one, all_ in zip(used.flat, spoken.flat, strict=True)
    ]
    return np.where(known(used) & known(spoken), found, None)
