"""As found against as left: *improved* only when it is, and a cooler day is no repair."""

from __future__ import annotations

from dataclasses import replace

from knowngood_checkup.core.left import Change, Pair, found_and_left
from knowngood_refdata.expected.comparison import compare_window
from knowngood_refdata.records import Conditions, Estimate, Quantity, SteadyWindow

from .healthy_cars import SUMMER, book, values, window


def compared(
    found: SteadyWindow, left: SteadyWindow, found_at: Conditions = SUMMER, left_at: Conditions = SUMMER,
    cars: int = 8,
) -> Pair:  # fmt: skip
    known, vehicle = book(cars=cars)
    (pair,) = found_and_left(
        [compare_window(known, vehicle, None, found_at, found)],
        [compare_window(known, vehicle, None, left_at, left)],
        found_at,
        left_at,
    )
    return pair


def verdicts(pair: Pair) -> dict[Quantity, Change]:
    return {one.quantity: one.verdict for one in pair.differences}


def test_a_value_that_came_back_into_its_range_has_improved() -> None:
    found = verdicts(compared(window(moved={Quantity.SUBCOOLING: -8.0}), window()))
    assert found[Quantity.SUBCOOLING] is Change.IMPROVED
    assert found[Quantity.SUPERHEAT] is Change.SAME


def test_a_value_that_left_its_range_is_worse() -> None:
    found = verdicts(compared(window(), window(moved={Quantity.VENT: 8.0})))
    assert found[Quantity.VENT] is Change.WORSE


def test_a_difference_within_its_uncertainty_is_none() -> None:
    found = compared(window(), window(moved={Quantity.SUBCOOLING: 1.0}))
    (one,) = (each for each in found.differences if each.quantity is Quantity.SUBCOOLING)
    # Two readings of 0.6 K each: 0.85 K, and 1.66 K at 95 %.
    assert one.change.value == 1.0
    assert abs(one.change.standard_uncertainty - 0.6 * 2**0.5) < 1e-12
    assert one.verdict is Change.SAME


def test_a_cooler_day_is_no_improvement() -> None:
    cool = replace(SUMMER, ambient_k=299.0)
    left = replace(window(), values=values(ambient_k=299.0))
    (one,) = (
        each for each in compared(window(), left, left_at=cool).differences if each.quantity is Quantity.VENT
    )
    assert one.corrected
    assert one.verdict is Change.SAME
    assert abs(one.change.value) < 0.5 * abs(one.left.value - one.found.value)


def test_without_a_range_a_difference_is_told_but_not_judged() -> None:
    found = compared(window(moved={Quantity.SUBCOOLING: -8.0}), window(), cars=1)
    assert verdicts(found)[Quantity.SUBCOOLING] is Change.CHANGED
    assert not found.differences[0].corrected


def test_without_a_range_and_under_other_conditions_nothing_is_compared() -> None:
    found = compared(window(), window(), left_at=replace(SUMMER, ambient_k=290.0), cars=1)
    assert set(verdicts(found).values()) == {Change.NOT_COMPARABLE}
    assert "ambient" in found.differences[0].reason


def test_windows_at_other_engine_speeds_make_no_pair() -> None:
    known, vehicle = book()
    here = [compare_window(known, vehicle, None, SUMMER, window())]
    there = [compare_window(known, vehicle, None, SUMMER, window(1560.0))]
    assert found_and_left(here, there, SUMMER, SUMMER) == ()


def test_the_partner_with_the_same_fan_stage_is_preferred() -> None:
    known, vehicle = book()
    other = replace(window(790.0, stage=2), values={Quantity.VENT: Estimate(280.0, 0.4)})
    found = [compare_window(known, vehicle, None, SUMMER, one) for one in (other, window(800.0))]
    (pair,) = found_and_left(found, [compare_window(known, vehicle, None, SUMMER, window())], SUMMER, SUMMER)
    assert pair.found.engine_rpm == 800.0
