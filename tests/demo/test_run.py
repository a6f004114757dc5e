"""Schedules, fan stages and speed of the simulator."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_demo.cars import CARS, SKERRY
from knowngood_demo.design import CompressorDesign, FanDesign, LoopDesign, Surroundings
from knowngood_demo.fans import Fan
from knowngood_demo.properties import properties
from knowngood_demo.run import Leg, run
from knowngood_demo.sessions import SUMMER_DAY
from knowngood_refdata.records import CompressorKind

if TYPE_CHECKING:
    from tests.demo.conftest import PlainCar


def test_ten_minutes_are_simulated_in_less_than_a_second_of_processor_time() -> None:
    properties(SKERRY.design.refrigerant)
    begun = time.process_time()
    trace = run(SKERRY.design, SUMMER_DAY, [Leg(300, 780.0), Leg(300, 2_000.0)])
    assert time.process_time() - begun < 1.0
    assert len(trace.snapshots) == 600


def test_the_fan_switches_on_at_one_pressure_and_off_at_a_lower_one() -> None:
    design = FanDesign(on_pa=17e5, off_pa=13e5)
    fan = Fan(design)
    stages = []
    for high_pa in (12e5, 16e5, 17.5e5, 14e5, 12.5e5, 16e5):
        fan.follow(high_pa, 800.0, 300.0, 1.0)
        stages.append(fan.stage)
    assert stages == [1, 1, 2, 2, 1, 1]


def test_between_its_thresholds_a_fan_makes_the_high_side_a_saw_tooth() -> None:
    """Where stage 1 is too little and stage 2 too much the fan cycles (common practice, no source)."""
    fan = FanDesign(stage_kg_per_s=(0.35, 0.9), on_pa=12.5e5, off_pa=11.0e5, coolant_on_k=400.0)
    car = LoopDesign("R-134a", 0.5, CompressorDesign(CompressorKind.INTERNAL_VARIABLE), fan=fan)
    trace = run(car, Surroundings(303.15, 298.15, 0.4), [Leg(400, 1_200.0)], warm_up_s=60.0)
    switches = np.abs(np.diff(trace.column("fan_stage"))).sum()
    assert switches >= 4
    assert np.ptp(trace.column("high_pa")) > 1.5e5


def test_an_electric_compressor_does_not_follow_the_engine(plain_car: PlainCar) -> None:
    car = plain_car(CompressorKind.ELECTRIC)
    trace = run(car, Surroundings(), [Leg(60, 0.0), Leg(60, 3_000.0)], warm_up_s=120.0)
    low = trace.column("low_pa")
    assert low[110:].mean() == pytest.approx(low[50:60].mean(), rel=2e-3)
    assert low[55] > 1.5e5


def test_a_cycling_clutch_keeps_a_fixed_compressor_from_icing_the_evaporator() -> None:
    design = LoopDesign("R-134a", 0.5, CompressorDesign(CompressorKind.FIXED))
    cold_day = Surroundings(293.15, 291.15, 0.4)
    trace = run(design, cold_day, [Leg(240, 1_500.0)], warm_up_s=60.0)
    flow = trace.column("compressor_kg_per_s")
    assert (flow == 0.0).any()
    assert (flow > 0.01).any()
    assert trace.column("vent_k").min() > 272.0


def test_the_high_pressure_cut_out_stops_a_compressor_whose_condenser_gets_no_air(
    plain_car: PlainCar,
) -> None:
    car = plain_car(CompressorKind.FIXED, fan_kg_per_s=0.08)
    trace = run(car, Surroundings(311.15, 308.15, 0.5), [Leg(180, 2_500.0)])
    assert (trace.column("compressor_kg_per_s") == 0.0).any()
    assert trace.column("high_pa").max() < 32e5


def test_every_invented_car_is_named_once_and_holds_a_published_kind_of_charge() -> None:
    names = {(car.name, car.years, car.market, car.evaporators) for car in CARS}
    assert len(names) == len(CARS) == 13
    assert len({car.family.name for car in CARS}) == 5
    assert len({car.family.maker for car in CARS}) == 3
    assert all(0.3 < car.label_kg < 1.5 for car in CARS)


def test_a_computer_control_keeps_the_high_side_from_overshooting_when_the_engine_is_revved(
    plain_car: PlainCar,
) -> None:
    """The controller knows the engine speed (a maker's description of its inputs, read in excerpts)."""
    car = plain_car(CompressorKind.EXTERNAL_VARIABLE)
    mild_day = Surroundings(298.15, 298.15, 0.4)
    trace = run(car, mild_day, [Leg(30, 1_000.0), Leg(60, 2_500.0)], warm_up_s=150.0)
    high, low = trace.column("high_pa"), trace.column("low_pa")
    assert high[30:].max() < 1.03 * high[:30].mean()
    assert low[30:].min() > 0.93 * low[:30].mean()
