"""Where a rule does not reach: the same kinds of motor and the same voltage in every rule that names them."""

import pytest

from register import columns
from register.rulebook.load.pack import load_pack

RULES = load_pack().rules
WHENS = sorted({outside.when for rule in RULES for outside in rule.outside})


def test_rules_that_know_cage_motors_only_name_every_other_kind():
    # IEC 60034-1 and common practice: what starts these is not a cage motor's circuit.
    others = [kind for kind in columns.column("motor_type").choices if kind != "cage"]
    lists = {when for when in WHENS if "synchronous" in when and "wound rotor" in when}
    assert lists == {"motor_type IN (" + ", ".join(f"'{kind}'" for kind in others) + ")"}


@pytest.mark.parametrize("column", ["motor_voltage_v"])
def test_low_voltage_ends_at_1000_v_in_every_rule(column):
    # Source: NFPA 70-2023, article 430 part XI, and IEC 60947: low voltage is up to 1000 V.
    assert {when for when in WHENS if column in when} == {f"{column} > 1000"}


def test_the_codes_tables_end_at_500_hp_in_every_rule():
    # Source: NFPA 70, Tables 430.250 and 430.251(B), last rows: 500 hp, 373 kW.
    asked = {when.removeprefix("practice = 'us' AND ") for when in WHENS if "power_kw > 3" in when}
    assert asked == {"power_kw > 373"}
