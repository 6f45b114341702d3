"""Enclosures against what IEC 60529 and NEMA 250 say of them (both from memory)."""

import numpy as np
import pytest

from register.calc import enclosure
from register.facts.standard_tables import load_tables

TABLE = load_tables()["enclosures"]


def fits(have, need):
    found = enclosure.device_enclosure_fits(device_enclosure=have, enclosure_need=need, enclosures_table=TABLE)
    return found.item()


@pytest.mark.parametrize(
    ("have", "need", "expected"),
    [
        # IEC 60529: both numerals have to be reached.
        ("IP55", "IP54", "yes"),
        ("IP54", "IP54", "yes"),
        ("IP45", "IP54", "no"),
        ("IP20", "IP54", "no"),
        # Clause 6: numeral 7 alone is not fit for jets; marked twice it is both. Up to 6 each
        # numeral includes those below.
        ("IP67", "IP65", "no"),
        ("IP66/IP67", "IP65", "yes"),
        ("IP67", "IP44", "yes"),
        ("IP66", "IP67", "no"),
        # An X says nothing, and the numeral that counts may be the one left out.
        ("IPX5", "IP54", None),
        ("ip 55", "IP-54", "yes"),
    ],
)
def test_numerals(have, need, expected):
    assert fits(have, need) == expected


@pytest.mark.parametrize(
    ("have", "need", "expected"),
    [
        # NEMA 250, annex: 1 covers IP20, 3R IP24, 12 IP54, 4 and 4X IP66, 6P IP68.
        ("NEMA 1", "IP20", "yes"),
        ("NEMA 1", "IP54", "no"),
        ("NEMA 12", "IP54", "yes"),
        ("Type 4X", "IP65", "yes"),
        ("NEMA 6P", "IP66", "yes"),
        # 12 is for indoors however tight it is; 3R, 3 and 4 are for outdoors.
        ("NEMA 12", "NEMA 3R", "no"),
        ("NEMA 4", "NEMA 3R", "yes"),
        ("NEMA 3R", "NEMA 12", "no"),
        ("NEMA 4X", "NEMA 12", "yes"),
        ("NEMA 4", "NEMA 4X", "no"),
        # The annex converts from a type to an IP code, and not back.
        ("IP66", "NEMA 4X", None),
        ("IP20", "NEMA 4X", "no"),
        ("IP54", "NEMA 12", "yes"),
        ("a steel box", "NEMA 1", None),
        (None, "NEMA 1", None),
        ("NEMA 1", None, None),
    ],
)
def test_types(have, need, expected):
    assert fits(have, need) == expected


@pytest.mark.parametrize(
    ("have", "place", "expected"),
    [
        # NEMA MG 1, part 5: totally enclosed fan-cooled is IP54; open drip-proof keeps out drops.
        ("TEFC", "outdoor", "yes"),
        ("T.E.F.C.", "indoor dusty", "yes"),
        ("TEFC", "washdown", "no"),
        ("IP55", "washdown", "yes"),
        ("ODP", "indoor", "yes"),
        ("ODP", "indoor dusty", "no"),
        ("ODP", "indoor wet", "no"),
        ("ODP", None, None),
    ],
)
def test_motors(have, place, expected):
    found = enclosure.motor_enclosure_fits(motor_enclosure=have, motor_place=place, enclosures_table=TABLE)
    assert found.item() == expected


def test_no_place_asks_for_what_cannot_be_read():
    for needs in (enclosure.US_NEEDS, enclosure.IEC_NEEDS, enclosure.MOTOR_NEEDS):
        for need in needs.values():
            assert fits(need, need) == "yes", need


def test_all_at_once_is_one_by_one():
    haves = np.array(["NEMA 1", None, "IP55", "NEMA 4"], object)
    needs = np.array(["IP20", "IP20", "NEMA 3R", "NEMA 3R"], object)
    assert fits_all(haves, needs) == [fits(h, n) for h, n in zip(haves, needs, strict=True)]


def fits_all(haves, needs):
    return enclosure.device_enclosure_fits(
        device_enclosure=haves, enclosure_need=needs, enclosures_table=TABLE
    ).tolist()
