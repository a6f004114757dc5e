"""Charge weights and other quantities, as printed and divided over columns."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.quantities import Kind
from knowngood_specs.core.fields import CHARGE, FAN, OIL, Field
from knowngood_specs.core.importing.amounts import Written, read_value

if TYPE_CHECKING:
    from knowngood_specs.core.importing.amounts import ReadQuantity

POUND_KG, OUNCE_KG = 0.45359237, 0.028349523125
"""Exact by definition (NIST SP 811, appendix B; from memory)."""


@pytest.mark.parametrize(
    ("written", "kg", "tolerance_kg", "printed"),
    [
        (Written("470 ± 15 g"), 0.470, 0.015, "470 ± 15 g"),
        (Written("470", unit="g"), 0.470, None, "470 g"),
        (Written("470", tolerance="15", unit="g"), 0.470, 0.015, "470 ± 15 g"),
        (Written("470", tolerance="± 15", unit="g"), 0.470, 0.015, "470 ± 15 g"),
        (Written("0,50 kg", unit="g"), 0.500, None, "0,50 kg"),
        (Written("1.10 lb"), 1.10 * POUND_KG, None, "1.10 lb"),
        (Written("17.6", unit="oz"), 17.6 * OUNCE_KG, None, "17.6 oz"),
        (Written("1 lb 4 oz"), 20 * OUNCE_KG, None, "1 lb 4 oz"),
        (Written("450-480 g"), 0.465, 0.015, "450-480 g"),
        (Written("450 to 480", unit="g"), 0.465, 0.015, "450 to 480 g"),
        (Written("500 g (1.10 lb)"), 0.500, None, "500 g (1.10 lb)"),
        (Written("500 g / 17.6 oz"), 0.500, None, "500 g / 17.6 oz"),
        (Written(number="470", tolerance="15", unit="g"), 0.470, 0.015, "470 ± 15 g"),
        (Written("about 470 g", number="470", unit="g"), 0.470, None, "about 470 g"),
    ],
)
def test_charges_are_read_from_whatever_cells_hold_them(
    written: Written, kg: float, tolerance_kg: float | None, printed: str, read: ReadQuantity
) -> None:
    amount = read_value(CHARGE, written, read)
    assert amount.value == pytest.approx(kg, rel=1e-12)
    assert amount.tolerance == (None if tolerance_kg is None else pytest.approx(tolerance_kg, rel=1e-9))
    assert amount.as_printed == printed


@pytest.mark.parametrize(
    ("written", "words"),
    [
        (Written("470"), "no unit"),
        (Written(number="470"), "no unit"),
        (Written("0 g"), "no charge weight"),
        (Written("50 kg"), "no charge weight"),
        (Written("5", unit="g"), "no charge weight"),
        (Written("470 stone"), "unit"),
        (Written("470 ± 470 g"), "as large as"),
        (Written("480-450 g"), "ends below its beginning"),
        (Written("500 g (2.10 lb)"), "two values that differ"),
        (Written("1,234 g"), "could mean"),
        (Written("see label"), "cannot be read"),
        (Written("-470 g"), "cannot be read"),
    ],
)
def test_a_charge_that_is_none_is_refused_in_words(written: Written, words: str, read: ReadQuantity) -> None:
    with pytest.raises(ValueError, match=words):
        read_value(CHARGE, written, read)


def test_oil_keeps_its_grade_and_its_volume(read: ReadQuantity) -> None:
    amount = read_value(OIL, Written("PAG 46, 120 mL"), read)
    assert amount.value == pytest.approx(120e-6)
    assert read_value(OIL, Written("120", unit="mL"), read).as_printed == "120 mL"
    assert read_value(OIL, Written("PAG 46"), read).value is None


def test_a_text_field_is_kept_as_it_is(read: ReadQuantity) -> None:
    assert read_value(FAN, Written("two-stage fan"), read).as_printed == "two-stage fan"


def test_words_in_a_field_of_the_shop_that_is_measured_are_kept_without_a_number(read: ReadQuantity) -> None:
    belt = Field("belt", "Belt length", Kind.LENGTH)
    assert read_value(belt, Written("1200 mm"), read).value == pytest.approx(1.2)
    assert read_value(belt, Written("see bulletin"), read).value is None


@given(st.floats(0.06, 49.0), st.sampled_from(["g", "kg", "oz", "lb"]))
def test_a_weight_is_the_same_in_every_unit_and_in_either_column(
    read: ReadQuantity, kg: float, unit: str
) -> None:
    factor = {"g": 1e-3, "kg": 1.0, "oz": OUNCE_KG, "lb": POUND_KG}[unit]
    number = f"{kg / factor:.6f}"
    for written in (
        Written(f"{number} {unit}"),
        Written(number, unit=unit),
        Written(number=number, unit=unit),
    ):
        assert read_value(CHARGE, written, read).value == pytest.approx(kg, abs=1e-6)
