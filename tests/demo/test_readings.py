"""Readings of the shop's healthy cars scatter like cars and instruments do, and only when settled."""

from __future__ import annotations

from statistics import fmean

import numpy as np
import pytest

from knowngood_demo.cars import CARS, SKERRY, Car
from knowngood_demo.readings import Spread, draw_conditions, one_of_many, visit
from knowngood_demo.sessions import SUMMER_DAY, idle_fast_idle, plateaus
from knowngood_refdata.records import CompressorKind, Quantity
from knowngood_refdata.refrigerants import saturation, subcooling_k

WEATHER = Spread((28.0, 33.0), (40.0, 55.0))


def test_one_seed_gives_one_visit() -> None:
    visits = [
        visit(SKERRY.design, SKERRY, SUMMER_DAY, (2_000.0,), np.random.default_rng(3)) for _ in range(2)
    ]
    assert visits[0] == visits[1]


def test_a_visit_reads_idle_and_each_speed_under_the_conditions_of_the_day() -> None:
    found = visit(SKERRY.design, SKERRY, SUMMER_DAY, (1_500.0, 2_000.0), np.random.default_rng(4))
    assert [one.engine_rpm for one in found] == [780.0, 1_500.0, 2_000.0]
    assert {one.fan_stage for one in found} == {1}
    assert {one.conditions.ambient_k for one in found} == {SUMMER_DAY.ambient_k}


def test_a_reading_agrees_with_the_settled_truth_within_three_standard_uncertainties() -> None:
    truth = plateaus(idle_fast_idle(SKERRY, SUMMER_DAY), SUMMER_DAY)[0]
    seeds = range(4)
    idle = [
        visit(SKERRY.design, SKERRY, SUMMER_DAY, (), np.random.default_rng(seed))[0].values for seed in seeds
    ]
    for quantity, estimate in idle[0].items():
        mean = fmean(one[quantity].value for one in idle)
        assert mean == pytest.approx(truth.values[quantity], abs=3.0 * estimate.standard_uncertainty)


def test_a_readings_subcooling_follows_from_its_own_high_side_and_the_shipped_saturation_curve() -> None:
    values = visit(SKERRY.design, SKERRY, SUMMER_DAY, (), np.random.default_rng(5))[0].values
    high_pa = values[Quantity.HIGH_SIDE].value
    condensing_k = SUMMER_DAY.ambient_k + values[Quantity.CONDENSING_ABOVE_AMBIENT].value
    liquid_line_k = condensing_k - values[Quantity.SUBCOOLING].value
    curve = saturation(SKERRY.design.refrigerant)
    # The ambient that was shown differs from the true one by at most the probe's limit.
    shown = float(subcooling_k(curve, high_pa, liquid_line_k))
    assert shown == pytest.approx(values[Quantity.SUBCOOLING].value, abs=0.5)


def test_cars_of_one_configuration_differ_but_little() -> None:
    rng = np.random.default_rng(6)
    highs = [
        visit(one_of_many(SKERRY.design, rng), SKERRY, SUMMER_DAY, (), rng)[0]
        .values[Quantity.HIGH_SIDE]
        .value
        for _ in range(6)
    ]
    assert 0.003 < np.std(highs) / np.mean(highs) < 0.05


def test_drawn_conditions_stay_within_their_bounds() -> None:
    rng = np.random.default_rng(7)
    for _ in range(50):
        around = draw_conditions(rng, WEATHER)
        assert 301.0 <= around.ambient_k <= 306.3
        assert 0.40 <= around.relative_humidity <= 0.55
        assert around.intake_k < around.ambient_k


@pytest.mark.parametrize("car", CARS, ids=lambda car: f"{car.name} {car.years[0]} {car.evaporators}")
def test_every_car_of_the_shop_settles_at_idle_on_a_summer_day(car: Car) -> None:
    (idle,) = visit(car.design, car, SUMMER_DAY, (), np.random.default_rng(8))
    values = {quantity: estimate.value for quantity, estimate in idle.values.items()}
    assert 2.2e5 < values[Quantity.LOW_SIDE] < 3.6e5
    assert 1.0e6 < values[Quantity.HIGH_SIDE] < 1.8e6
    assert 2.0 < values[Quantity.SUPERHEAT] < 16.0
    assert 3.0 < values[Quantity.SUBCOOLING] < 18.0
    assert 276.0 < values[Quantity.VENT] < 287.0


def test_a_variable_compressor_under_computer_control_answers_otherwise_than_a_fixed_one() -> None:
    """Common practice, no source: on one car the sides part with engine speed, on another they approach."""
    changes = {}
    for car in (SKERRY, next(one for one in CARS if one.design.compressor.kind is CompressorKind.FIXED)):
        idle, faster = visit(car.design, car, SUMMER_DAY, (1_500.0,), np.random.default_rng(9), 120.0)
        changes[car.family.name] = [
            faster.values[side].value - idle.values[side].value
            for side in (Quantity.LOW_SIDE, Quantity.HIGH_SIDE)
        ]
    (skerry_low, skerry_high), (fixed_low, fixed_high) = changes.values()
    assert skerry_low > 0.0 > skerry_high
    assert fixed_low < 0.0 < fixed_high
