"""Digits that Python's int() refuses: ², which str.isdigit() calls a digit, and more of them than it reads."""

import pytest

from register.errors import IntakeError, SheetError
from register.intake import mapping, numbers, tags
from register.intake.input_bounds import _check_repeated
from register.text import natural, whole

MANY = "9" * 5000


def test_only_decimal_digits_are_a_number():
    assert [whole(text) for text in ("²", "", "-1", "1.0", "0")] == [-1, -1, -1, -1, 0]
    assert whole(MANY, most=10) == 10


@pytest.mark.parametrize("said", [MANY, "²", "0"])
def test_a_header_row_of_strange_digits(said, tmp_path):
    path = tmp_path / "map.yml"
    path.write_text(f"sheets: {{list: {{header row: {said}}}}}\n", "utf-8")
    if said == MANY:
        assert mapping.load(path).of("list").header_row == 10**15  # which no sheet has
    else:
        with pytest.raises(IntakeError, match="is no row"):
            mapping.load(path)


def test_cells_of_strange_digits(tmp_path):
    assert not tags._running(["²", "³", "x"]) and not tags._running([MANY, "2", "x"])
    assert numbers.typed(f"{MANY}/2").value == float("inf")  # which no column believes
    assert sorted(["P-2", f"P-{MANY}", "P-²", "P-10"], key=natural) == ["P-2", "P-10", f"P-{MANY}", "P-²"]


def test_a_sheet_repeated_beyond_all_numbers(tmp_path):
    with pytest.raises(SheetError, match="columns and"):
        _check_repeated(tmp_path, b'table:number-rows-repeated="' + MANY.encode() + b'"')
