"""What a device would have changed round it: what the place has, and what the device asks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from register import columns
from register.text import shown

# A fact that says no, what the place has, what the device asks, and what has to be changed then.
UNFIT = (
    ("device_enclosure_fits", "enclosure_need", "device_enclosure", "enclosure"),
    ("protocol_supported", "control_protocol", "protocols", "network protocol"),
    ("line_protection_kind_fits", "protection_kind", "line_protection_kind", "kind of line protection"),
)
READS = (
    *(name for row in UNFIT for name in row[:3]),
    "control_voltage_v",
    "device_control_voltage_v",
    "protection_rating_a",
    "line_protection_max_a",
    "semiconductor_fuses",
    "semiconductor_fuse_required",
    "device_kind",
)

Facts = Mapping[str, Sequence[Any]]


def forced(facts: Facts, kind_now: Sequence[Any], *, control_band: tuple[float, float]) -> np.ndarray:
    """For each row, which of the changes it needs, a column each; unknown needs none.

    Parameters
    ----------
    facts : the columns `READS` of what would be installed.
    kind_now : the kind of device that is installed now.
    control_band : what a device withstands, lowest and highest, of the voltage it is rated for.
    """

    def words(name: str) -> np.ndarray:
        return _filled(facts[name], object)

    def numbers(name: str) -> np.ndarray:
        return _filled(facts[name], float)

    volts, asked = numbers("control_voltage_v"), numbers("device_control_voltage_v")
    kinds, now = words("device_kind"), _filled(kind_now, object)
    both = ~np.equal(kinds, None) & ~np.equal(now, None)
    found = [np.equal(words(fit), "no") for fit, *_ in UNFIT]
    found += [
        both & (kinds != now),
        (volts < control_band[0] * asked) | (volts > control_band[1] * asked),
        numbers("protection_rating_a") > numbers("line_protection_max_a"),
        np.equal(words("semiconductor_fuse_required"), "yes") & np.equal(words("semiconductor_fuses"), "no"),
    ]
    return np.column_stack([each.astype(bool) for each in found])


def _filled(values: Sequence[Any], kind: type) -> np.ndarray:
    array = np.empty(len(values), object)
    array[:] = values
    return array.astype(float) if kind is float else array


def said(facts: Facts, row: int, which: np.ndarray, kind_now: Any) -> Iterator[str]:
    """The changes in words, each with what is there and what is asked."""

    def told(name: str) -> str:
        value = facts[name][row]
        return "unknown" if value is None or value != value else shown(value, _unit(name))

    lines = [f"{what}: {told(has)} there, {told(asks)} comes" for _, has, asks, what in UNFIT]
    lines += [
        f"way of starting: {kind_now} there, {told('device_kind')} comes",
        f"control voltage: {told('control_voltage_v')} there, {told('device_control_voltage_v')} asked",
        f"line protection: {told('protection_rating_a')} there, at most {told('line_protection_max_a')} permitted",
        "semiconductor fuses: none there, its maker requires them",
    ]
    return (line for line, forces in zip(lines, which, strict=True) if forces)


def _unit(name: str) -> str:
    return columns.column(name).unit
