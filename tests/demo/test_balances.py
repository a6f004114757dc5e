"""Mass and energy of the simulated loop are kept, moment by moment and from end to end."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from CoolProp.CoolProp import PropsSI

from knowngood_demo.design import CompressorDesign, Faults, LoopDesign, Surroundings
from knowngood_demo.loop import Loop
from knowngood_demo.properties import FLUIDS
from knowngood_demo.run import Leg, run
from knowngood_refdata.records import CompressorKind, MeteringDevice

if TYPE_CHECKING:
    from tests.demo.conftest import PlainCar, Settle


ALL_KINDS = pytest.mark.parametrize("kind", list(CompressorKind))


@ALL_KINDS
def test_the_charge_neither_grows_nor_shrinks_through_speed_steps_and_a_stop(
    kind: CompressorKind, plain_car: PlainCar, high_load: Surroundings
) -> None:
    loop = Loop(plain_car(kind), high_load, Faults(charge=0.9))
    for second in range(120):
        for _ in range(10):
            loop.step(800.0 if second < 40 else 2_000.0, 0.1, on=second < 80)
    assert loop.charge_kg == pytest.approx(0.9 * 0.5, abs=1e-12)


@ALL_KINDS
def test_the_loops_energy_changes_by_what_crosses_its_boundary(
    kind: CompressorKind, plain_car: PlainCar, high_load: Surroundings
) -> None:
    loop = Loop(plain_car(kind), high_load)
    begun_j, crossed_j = loop.energy_j, 0.0
    for tick in range(900):
        now = loop.step(800.0 if tick < 400 else 2_000.0, 0.1, on=tick < 700)
        crossed_j += 0.1 * (now.compressor_w + now.evaporator_w + now.line_w - now.condenser_w)
    assert loop.energy_j - begun_j == pytest.approx(crossed_j, abs=1.0)


@pytest.mark.parametrize("refrigerant", sorted(FLUIDS))
@pytest.mark.parametrize("metering", [MeteringDevice.EXPANSION_VALVE, MeteringDevice.ORIFICE_TUBE])
def test_what_the_condenser_gives_off_is_what_evaporator_line_and_compressor_take_in(
    refrigerant: str, metering: MeteringDevice, plain_car: PlainCar, settle: Settle, high_load: Surroundings
) -> None:
    design = plain_car(CompressorKind.INTERNAL_VARIABLE, refrigerant=refrigerant, metering=metering)
    now = settle(design, high_load)
    taken_in = now["evaporator_w"] + now["line_w"] + now["compressor_w"]
    assert now["condenser_w"] == pytest.approx(taken_in, rel=1e-3)
    assert now["compressor_kg_per_s"] == pytest.approx(now["valve_kg_per_s"], rel=1e-3)


def test_the_heat_flows_follow_from_pressures_and_pipe_temperatures_alone(
    plain_car: PlainCar, settle: Settle, high_load: Surroundings
) -> None:
    """The flow times the enthalpies that CoolProp gives for what gauges and clamps would show."""
    now = settle(plain_car(CompressorKind.FIXED, refrigerant="R-134a"), high_load)
    suction_h = PropsSI("H", "P", now["low_pa"], "T", now["suction_line_k"], "R134a")
    discharge_h = PropsSI("H", "P", now["high_pa"], "T", now["discharge_line_k"], "R134a")
    liquid_h = PropsSI("H", "P", now["high_pa"], "T", now["liquid_line_k"], "R134a")
    flow = now["compressor_kg_per_s"]
    assert flow * (discharge_h - suction_h) == pytest.approx(now["compressor_w"], rel=0.01)
    assert flow * (suction_h - liquid_h) == pytest.approx(now["evaporator_w"] + now["line_w"], rel=0.01)
    assert flow * (discharge_h - liquid_h) == pytest.approx(now["condenser_w"], rel=0.01)


@pytest.mark.parametrize("refrigerant", sorted(FLUIDS))
def test_saturation_temperatures_lie_where_a_healthy_car_has_them(
    refrigerant: str, plain_car: PlainCar, settle: Settle, high_load: Surroundings
) -> None:
    """Condensing 10 to 35 K above ambient, evaporating below the vent: common practice, no source."""
    now = settle(plain_car(CompressorKind.EXTERNAL_VARIABLE, refrigerant=refrigerant), high_load)
    assert 263.0 < now["evaporating_k"] < now["vent_k"]
    assert 10.0 < now["condensing_k"] - high_load.ambient_k < 35.0
    assert 2.0 < now["subcooling_k"] < 20.0


def test_with_the_compressor_off_line_the_sides_come_within_a_tenth_of_each_other_in_three_minutes(
    plain_car: PlainCar, high_load: Surroundings
) -> None:
    """An expansion valve passes until the sides are equal (common practice, no source)."""
    trace = run(
        plain_car(CompressorKind.FIXED),
        high_load,
        [Leg(30, 800.0), Leg(180, 800.0, on=False)],
        warm_up_s=120.0,
    )
    high, low = trace.column("high_pa"), trace.column("low_pa")
    assert high[20] - low[20] > 8e5
    assert high[-1] < 1.1 * low[-1]
    coldest_pa, warmest_pa = (PropsSI("P", "T", kelvin, "Q", 1, "R134a") for kelvin in (278.0, 312.0))
    assert coldest_pa < low[-1] < warmest_pa


def test_a_smaller_time_step_does_not_move_the_settled_state(high_load: Surroundings) -> None:
    design = LoopDesign("R-1234yf", 0.47, CompressorDesign(CompressorKind.FIXED))
    ends = []
    for dt_s in (0.1, 0.05):
        loop = Loop(design, high_load)
        for _ in range(round(150.0 / dt_s)):
            now = loop.step(1_000.0, dt_s)
        ends.append((now.low_pa, now.high_pa))
    assert ends[0] == pytest.approx(ends[1], rel=1e-3)
