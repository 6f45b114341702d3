"""Protocols by name (common practice: a card's name and a configuration's differ in spelling)."""

import pytest

from register.calc.network import protocol_supported


@pytest.mark.parametrize(
    ("used", "spoken", "expected"),
    [
        ("Modbus RTU", "Modbus-RTU, EtherNet/IP", "yes"),
        ("ETHERNET/IP", "Modbus RTU; EtherNet/IP", "yes"),
        # A serial line is not a network card: the same family is not the same thing.
        ("Modbus TCP", "Modbus RTU", "no"),
        ("Modbus", "Modbus RTU", "no"),
        # A position that uses two needs both.
        ("Modbus RTU, PROFINET", "Modbus RTU", "no"),
        (None, "Modbus RTU", None),
        ("Modbus RTU", None, None),
    ],
)
def test_what_is_used_has_to_be_spoken(used, spoken, expected):
    assert protocol_supported(control_protocol=used, protocols=spoken).item() == expected
