"""Leak rates from weighings, against figures worked by hand and the tolerances of charging machines."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from knowngood_fleet.core.leaks import Leak, Service, Verdict, Work, leak, over_time, stretches, together
from knowngood_fleet.core.refill import Flag, Refill, flag

START = date(2025, 4, 1)
YEAR = timedelta(days=365)


def weighed(at: date, out: float | None, into: float, **more: object) -> Service:
    return Service(at, Work.WEIGHED_IN, into, out, left_share=0.0, **more)  # type: ignore[arg-type]


def a_year_with(loss_kg: float, charge_kg: float = 0.5) -> Leak:
    first = weighed(START, None, charge_kg)
    return leak([first, weighed(START + YEAR, charge_kg - loss_kg, charge_kg)])


def test_two_weighings_of_15_g_cannot_show_a_loss_of_20_g_a_year() -> None:
    # Two weighings of plus or minus 15 g combine to 21 g (root sum square): a loss of 20 g in twelve months
    # is invisible, one of 40 g is about twice the weighing tolerance. Worked by hand from the tolerance of
    # charging machines, ±15 g (SAE J2788, from memory).
    invisible, seen = a_year_with(0.020), a_year_with(0.040)
    assert invisible.verdict is Verdict.ZERO
    assert str(invisible.verdict) == "not distinguishable from zero"
    assert seen.verdict is Verdict.LOSING
    assert seen.kg_per_year is not None
    limit = 3**0.5 * seen.kg_per_year.standard_uncertainty
    assert limit == pytest.approx(0.0212, abs=1e-4)
    assert seen.kg_per_year.value / limit == pytest.approx(1.9, abs=0.05)


def test_a_rate_over_several_stretches_is_the_hand_computed_weighted_regression() -> None:
    # By hand, days of 365.25 to the year: stretches of 200, 400 and 365 days lose 0.12, 0.20 and 0.20 kg.
    # Uncertainties: each weighing 0.015/√3 = 0.008660; two weighings 0.012247; with a top-up 0.015.
    # Years 0.547570, 1.095140, 0.999316; weights 6666.67, 4444.44, 6666.67.
    # Σwd² = 1998.89 + 5330.37 + 6657.54 = 13986.80; Σwdy = 438.056 + 973.457 + 1332.421 = 2743.934
    # rate 0.196180 kg a year, u = 13986.80^-1/2 = 0.008456
    services = [
        weighed(START, None, 10.0),
        weighed(START + timedelta(days=200), 9.88, 10.0),
        Service(START + timedelta(days=300), Work.TOPPED_UP, 0.10),
        weighed(START + timedelta(days=600), 9.90, 10.0),
        weighed(START + timedelta(days=965), 9.80, 10.0),
    ]
    found = leak(services)
    assert [one.lost.value for one in found.stretches] == pytest.approx([0.12, 0.20, 0.20])
    assert [one.top_ups for one in found.stretches] == [0, 1, 0]
    assert found.kg_per_year is not None
    assert found.kg_per_year.value == pytest.approx(0.196180, abs=2e-6)
    assert found.kg_per_year.standard_uncertainty == pytest.approx(0.008456, abs=1e-6)
    assert found.half_width_95 == pytest.approx(1.96 * 0.008456, abs=2e-6)
    assert found.steady


def test_what_recovery_leaves_behind_is_corrected_and_makes_the_loss_less_sure() -> None:
    # 0.950 kg recovered with up to 5 % left: between 0.950 and 1.000 kg were in it, 0.975 in the middle;
    # uncertainty 0.050/√12 = 0.01443, with the scale's 0.00866 together 0.01683.
    one = Service(START, Work.WEIGHED_IN, 1.0, 0.950, left_share=0.05)
    assert one.held is not None
    assert one.held.value == pytest.approx(0.975)
    assert one.held.standard_uncertainty == pytest.approx(0.01683, abs=1e-5)


def test_a_top_up_without_recovery_ends_no_stretch_and_counts_as_lost() -> None:
    (one,) = stretches(
        [
            weighed(START, None, 5.0),
            Service(START + timedelta(days=100), Work.TOPPED_UP, 0.5),
            weighed(START + YEAR, 4.75, 5.0),
        ]
    )
    assert one.lost.value == pytest.approx(0.75)


def test_a_charge_that_was_not_weighed_out_breaks_the_chain_and_begins_a_new_one() -> None:
    services = [
        weighed(START, None, 5.0),
        weighed(START + YEAR, None, 5.0),
        weighed(START + 2 * YEAR, 4.8, 5.0),
    ]
    (one,) = stretches(services)
    assert one.start == START + YEAR
    assert [at for at, _ in over_time(leak(services))] == [START + YEAR, START + 2 * YEAR]


def test_services_count_in_the_order_of_their_dates_whatever_the_order_they_were_entered_in() -> None:
    services = [
        weighed(START, None, 5.0),
        weighed(START + YEAR, 4.7, 5.0),
        weighed(START + 2 * YEAR, 4.7, 5.0),
    ]
    assert leak(services[::-1]) == leak(services)


def test_what_was_lost_before_a_repair_does_not_count_against_the_repaired_unit() -> None:
    services = [
        weighed(START, None, 5.0),
        weighed(START + YEAR, 3.0, 5.0, repaired=True),
        weighed(START + 2 * YEAR, 4.99, 5.0),
    ]
    found = leak(services)
    assert found.since == START + YEAR
    assert found.verdict is Verdict.ZERO


def test_losses_that_no_single_rate_explains_are_said_to_be_unsteady_and_widen_the_interval() -> None:
    services = [
        weighed(START, None, 5.0),
        weighed(START + YEAR, 4.98, 5.0),
        weighed(START + 2 * YEAR, 4.2, 5.0),
    ]
    found = leak(services)
    assert not found.steady
    assert found.verdict is Verdict.ZERO
    assert found.half_width_95 > 1.0


def test_more_out_than_in_is_told_as_such_and_not_as_a_leak_below_zero() -> None:
    assert a_year_with(-0.2).verdict is Verdict.GAINING


def test_without_two_weighings_nothing_is_known() -> None:
    assert leak([]).verdict is Verdict.UNKNOWN
    assert leak([weighed(START, 4.0, 5.0)]).verdict is Verdict.UNKNOWN
    assert leak([Service(START, Work.TOPPED_UP, 0.3)]).kg_per_year is None


def test_the_losses_of_a_design_are_surer_than_those_of_each_of_its_units() -> None:
    alone = a_year_with(0.030)
    assert alone.kg_per_year is not None
    pooled = together([alone, alone, alone, alone])
    assert pooled.kg_per_year is not None
    assert pooled.kg_per_year.value == pytest.approx(0.030, rel=1e-3)
    assert pooled.half_width_95 == pytest.approx(alone.half_width_95 / 2)
    assert pooled.verdict is Verdict.LOSING


def test_losses_add_up_over_time_and_their_uncertainties_as_squares() -> None:
    points = over_time(
        leak([weighed(START + number * YEAR, None if number == 0 else 4.9, 5.0) for number in range(4)])
    )
    assert [point.value for _, point in points] == pytest.approx([0.0, 0.1, 0.2, 0.3])
    assert points[3][1].standard_uncertainty == pytest.approx(points[1][1].standard_uncertainty * 3**0.5)


def test_a_loss_surely_above_the_usual_one_asks_for_a_repair_before_the_refill() -> None:
    assert flag(a_year_with(0.30), 0.040).refill is Refill.REPAIR_FIRST
    assert flag(a_year_with(0.050), 0.040).refill is Refill.LOOK_FIRST
    assert flag(a_year_with(0.040), 0.060) == Flag(Refill.NO_FLAG)
    assert flag(a_year_with(0.020), 0.0).refill is Refill.NO_FLAG


def test_refills_again_and_again_ask_for_a_look_even_where_nobody_weighed() -> None:
    often = [Service(START + timedelta(days=30 * number), Work.TOPPED_UP, 0.2) for number in range(2)]
    assert flag(leak(often), 0.040) == Flag(Refill.LOOK_FIRST, repeated=2)
    assert flag(leak(often[:1]), 0.040).refill is Refill.NO_FLAG
