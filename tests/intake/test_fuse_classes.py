"""Cells that give a fuse's class and rating at once.

Classes of UL 248 (CC, J, L, RK1, RK5, T) and of IEC 60269 (gG, aM). UL 248 marks time delay beside the class, and has
fuses of J, CC, RK1 and RK5 with and without it; class T is never delayed (from memory of UL 248-4, -8, -12, -15).
"""

import pytest

from register.intake.composite import split


@pytest.mark.parametrize(
    ("text", "amps", "letters"),
    [
        ("60A J", "60", "J"),
        ("J 60", "60", "J"),
        ("class J 60A", "60", "J"),
        ("60A J fuse", "60", "J"),
        ("3x60A J", "60", "J"),
        ("RK5-100", "100", "RK5"),
        ("100A RK-1", "100", "RK1"),
        ("CC30", "30", "CC"),
        ("Class L 800", "800", "L"),
    ],
)
def test_a_class_of_which_some_are_delayed_leaves_the_delay_open(text, amps, letters):
    made = split("protection_rating_a", text)
    assert made is not None and made.own == amps and made.also == {"fuse_class": letters}


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("60A J TD", "time-delay fuse"),
        ("RK5 60A dual element", "time-delay fuse"),
        ("200A class T", "fuse"),
        ("63A gG", "fuse"),
        ("aM 25A", "fuse"),
        ("gL 63A", "fuse"),
    ],
)
def test_a_kind_is_taken_where_the_text_or_the_class_says_it(text, kind):
    made = split("protection_rating_a", text)
    assert made is not None and made.also["protection_kind"] == kind


@pytest.mark.parametrize("text", ["XQR-R 100", "35A LPX", "63A C", "C63", "T 200A", "L 800A", "30/60A J", "B16"])
def test_a_makers_code_or_a_breakers_curve_is_no_class(text):
    assert split("protection_rating_a", text) is None
