"""Amounts as under-hood labels print them, against the exact factors of their units.

The pound is 0.45359237 kg and the avoirdupois ounce 28.349523125 g exactly (NIST SP 811, appendix B.8; the
figures are from memory, their ratio of 16 checks them).
"""

from __future__ import annotations

import pytest

from knowngood.parsing import ParseError
from knowngood_refdata.quantities import Kind
from knowngood_specs.reading import read_quantity

POUND_KG, OUNCE_KG = 0.45359237, 0.028349523125


def test_the_factors_agree_with_one_another() -> None:
    assert pytest.approx(POUND_KG, rel=1e-15) == 16 * OUNCE_KG


@pytest.mark.parametrize(
    ("printed", "kilograms", "tolerance"),
    [
        ("1.10 lb", 1.10 * POUND_KG, None),
        ("1.10 ± 0.05 lb", 1.10 * POUND_KG, 0.05 * POUND_KG),
        ("1,10 lbs", 1.10 * POUND_KG, None),
        ("17.6 oz", 17.6 * OUNCE_KG, None),
        ("17.6 +/- 0.9 oz", 17.6 * OUNCE_KG, 0.9 * OUNCE_KG),
        ("0,50 kg", 0.5, None),
        ("0.50kg", 0.5, None),
        ("500 ± 25 g", 0.5, 0.025),
        ("500 g ± 25 g", 0.5, 0.025),
    ],
)
def test_an_amount_is_read_as_printed(printed: str, kilograms: float, tolerance: float | None) -> None:
    value, within = read_quantity(printed, Kind.MASS)
    assert value == pytest.approx(kilograms, rel=1e-12)
    assert within == (None if tolerance is None else pytest.approx(tolerance, rel=1e-12))


def test_a_pressure_is_no_charge() -> None:
    with pytest.raises(ParseError, match="psi"):
        read_quantity("30 psi", Kind.MASS)
