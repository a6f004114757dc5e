"""When values of one field count as different."""

from __future__ import annotations

import pytest

from knowngood_refdata.records import SourceKind, SpecValue
from knowngood_specs.core.agreement import agree, conflict_sentence, conflicts, printed_step

LABEL, BOOK = SourceKind.UNDER_HOOD_LABEL, SourceKind.SERVICE_INFORMATION
OUNCE_KG = 0.028349523125
"""The avoirdupois ounce: NIST SP 811, appendix B (from memory)."""


def spec(
    printed: str, value: float | None = None, tolerance: float | None = None, kind: SourceKind = LABEL
) -> SpecValue:
    return SpecValue(1, "charge", value, tolerance, printed, kind, "label")


def test_a_weight_agrees_with_its_own_printed_conversion() -> None:
    assert agree(spec("470 g", 0.470), spec("16.6 oz", 16.6 * OUNCE_KG))


def test_weights_a_printed_step_apart_differ() -> None:
    assert not agree(spec("470 g", 0.470), spec("16.5 oz", 16.5 * OUNCE_KG))
    assert not agree(spec("470 g", 0.470), spec("472 g", 0.472))


def test_a_tolerance_does_not_hide_a_difference() -> None:
    assert not agree(spec("470 ± 15 g", 0.470, 0.015), spec("480 g", 0.480))


def test_one_weight_with_two_tolerances_differs() -> None:
    assert not agree(spec("470 ± 15 g", 0.470, 0.015), spec("470 ± 30 g", 0.470, 0.030))
    assert agree(spec("470 ± 15 g", 0.470, 0.015), spec("470 g", 0.470))


def test_texts_agree_in_letters_and_digits() -> None:
    assert agree(spec("Expansion valve"), spec("expansion-valve"))
    assert not agree(spec("R-134a"), spec("R-1234yf"))


@pytest.mark.parametrize(
    ("printed", "value", "step"),
    [("470 ± 15 g", 0.470, 0.001), ("0,50 kg", 0.50, 0.01), ("17.6 oz", 17.6 * OUNCE_KG, 0.1 * OUNCE_KG)],
)
def test_the_printed_step_is_what_the_last_digit_is_worth(printed: str, value: float, step: float) -> None:
    assert printed_step(spec(printed, value)) == pytest.approx(step)


def test_pounds_and_ounces_claim_no_rounding_of_their_own() -> None:
    assert printed_step(spec("1 lb 4 oz", 20 * OUNCE_KG)) == 0.0
    assert agree(spec("1 lb 4 oz", 20 * OUNCE_KG), spec("567 g", 0.567))


def test_the_label_on_the_car_comes_first() -> None:
    values = [spec("470 ± 15 g", 0.470, 0.015), spec("500 g", 0.500, kind=BOOK)]
    assert conflict_sentence(values) == (
        "label 470 ± 15 g · book 500 g: they differ; the label on the car comes first."
    )


def test_two_labels_that_differ_send_the_reader_to_the_car_at_hand() -> None:
    values = [spec("470 g", 0.470), spec("500 g", 0.500)]
    assert "go by the one on this car" in conflict_sentence(values)


def test_without_a_label_a_difference_sends_the_reader_to_the_label() -> None:
    values = [spec("470 g", 0.470, kind=BOOK), spec("500 g", 0.500, kind=SourceKind.GENERIC)]
    assert conflict_sentence(values).endswith("read the label on the car.")


def test_values_that_agree_need_no_sentence() -> None:
    values = [spec("470 g", 0.470), spec("470 g", 0.470, kind=BOOK)]
    assert not conflicts(values)
    assert conflict_sentence(values) == ""


def test_a_difference_between_the_second_and_third_source_is_not_overlooked() -> None:
    assert conflicts([spec("16.6 oz", 0.4706), spec("470 g", 0.470), spec("471.9 g", 0.4719)])
