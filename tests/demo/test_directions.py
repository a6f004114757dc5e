"""Which way each influence moves a healthy car's readings, and which way a fault does.

Zero means within 2 psi or 0.5 K, the limits of the direction tables these signs come from. Sizes are not
tested: published sizes stem from other systems. Hawkins (2021) and (2023) are R. Hawkins's articles
for a trade association of 20 July 2021 (orifice tubes) and 24 January 2023 (restrictions), read in excerpts.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from knowngood_demo.design import HEALTHY, Faults, LoopDesign, Surroundings
from knowngood_refdata.records import CompressorKind, MeteringDevice

if TYPE_CHECKING:
    from tests.demo.conftest import PlainCar, Settle


FIXED, INTERNAL = CompressorKind.FIXED, CompressorKind.INTERNAL_VARIABLE
EXTERNAL, ELECTRIC = CompressorKind.EXTERNAL_VARIABLE, CompressorKind.ELECTRIC
ORIFICE = MeteringDevice.ORIFICE_TUBE


def changes(before: dict[str, float], after: dict[str, float]) -> dict[str, float]:
    return {name: after[name] - before[name] for name in before}


# Engine speed -----------------------------------------------------------------------------------------


def test_with_a_fixed_compressor_more_engine_speed_lowers_the_low_side_and_raises_the_high_side(
    plain_car: PlainCar, settle: Settle, high_load: Surroundings
) -> None:
    """Common practice, no source."""
    car = plain_car(FIXED)
    change = changes(settle(car, high_load, rpm=800.0), settle(car, high_load, rpm=2_000.0))
    assert change["low_psi"] < -5.0
    assert change["high_psi"] > 10.0
    assert change["vent_k"] < -1.0


@pytest.mark.parametrize("kind", [INTERNAL, EXTERNAL, ELECTRIC])
def test_with_a_regulating_compressor_neither_side_answers_engine_speed(
    kind: CompressorKind, plain_car: PlainCar, settle: Settle, moderate_load: Surroundings
) -> None:
    """Alkan and Hosoz, Int. J. Refrigeration 33 (2010) 487: capacity hardly changes above a certain speed."""
    car = plain_car(kind)
    change = changes(settle(car, moderate_load, rpm=1_200.0), settle(car, moderate_load, rpm=2_500.0))
    assert abs(change["low_psi"]) < 2.0
    assert -2.0 < change["high_psi"] < 6.0
    assert abs(change["vent_k"]) < 0.5


@pytest.mark.parametrize("kind", [INTERNAL, EXTERNAL])
def test_a_variable_compressor_at_full_stroke_answers_engine_speed_like_a_fixed_one(
    kind: CompressorKind, plain_car: PlainCar, settle: Settle
) -> None:
    """Common practice, no source."""
    hot = Surroundings(311.15, 308.15, 0.5)
    car = plain_car(kind, fan_kg_per_s=0.8)
    before, after = settle(car, hot, rpm=700.0), settle(car, hot, rpm=1_000.0)
    assert min(before["stroke"], after["stroke"]) == pytest.approx(1.0)
    assert after["low_pa"] < before["low_pa"] - 1.0e4
    assert after["high_pa"] > before["high_pa"] + 1.0e4


def test_a_control_that_asks_for_milder_air_lets_the_low_side_rise_and_the_high_side_fall_with_speed(
    plain_car: PlainCar, settle: Settle, moderate_load: Surroundings
) -> None:
    """Both directions are seen on cars under computer control (common practice, no source)."""
    plain = plain_car(EXTERNAL)
    car = replace(plain, compressor=replace(plain.compressor, milder_k=3.0))
    change = changes(settle(car, moderate_load, rpm=850.0), settle(car, moderate_load, rpm=2_000.0))
    assert change["low_psi"] > 2.0
    assert change["high_psi"] < -2.0


# Surroundings -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", [FIXED, INTERNAL, EXTERNAL])
def test_more_condenser_air_lowers_the_high_side_alone(
    kind: CompressorKind, plain_car: PlainCar, settle: Settle, moderate_load: Surroundings
) -> None:
    """Common practice, no source: a fan stage moves the high side and little else."""
    change = changes(
        settle(plain_car(kind), moderate_load), settle(plain_car(kind, fan_kg_per_s=0.75), moderate_load)
    )
    assert change["high_psi"] < -10.0
    assert abs(change["low_psi"]) < 2.0
    assert abs(change["superheat_k"]) < 1.0


@pytest.mark.parametrize("kind", [FIXED, INTERNAL, EXTERNAL])
def test_hotter_condenser_air_raises_the_high_side_by_a_few_psi_a_kelvin(
    kind: CompressorKind, plain_car: PlainCar, settle: Settle, moderate_load: Surroundings
) -> None:
    """US Army TM 5-3805-291-23-1, WP 0018, table 1: mid-band 155 psi at 21 °C to 255 psi at 43 °C."""
    hotter = replace(moderate_load, ambient_k=moderate_load.ambient_k + 10.0)
    change = changes(settle(plain_car(kind), moderate_load), settle(plain_car(kind), hotter))
    assert 2.0 < change["high_psi"] / 10.0 < 9.0


def test_humidity_shows_on_both_sides_with_a_fixed_compressor_and_on_the_high_side_with_a_variable_one(
    plain_car: PlainCar, settle: Settle, moderate_load: Surroundings
) -> None:
    """The army table above: low values are higher in very humid conditions; the rest common practice."""
    dry, humid = (replace(moderate_load, relative_humidity=share) for share in (0.2, 0.8))
    fixed = changes(settle(plain_car(FIXED), dry), settle(plain_car(FIXED), humid))
    assert fixed["low_psi"] > 2.0
    assert fixed["high_psi"] > 5.0
    variable = changes(settle(plain_car(INTERNAL), dry), settle(plain_car(INTERNAL), humid))
    assert abs(variable["low_psi"]) < 2.0
    assert variable["high_psi"] > 15.0


def test_thin_air_does_not_move_absolute_pressures_of_the_refrigerant_much(
    plain_car: PlainCar, settle: Settle, high_load: Surroundings
) -> None:
    high_up = replace(high_load, barometer_pa=84_000.0)
    change = changes(settle(plain_car(FIXED), high_load), settle(plain_car(FIXED), high_up))
    assert abs(change["low_psi"]) < 2.0


# Charge -----------------------------------------------------------------------------------------------


def _at_charge(settle: Settle, car: LoopDesign, around: Surroundings, share: float) -> dict[str, float]:
    return settle(car, around, Faults(charge=share))


@pytest.mark.parametrize("kind", [FIXED, INTERNAL, EXTERNAL])
def test_within_the_reserve_charge_shows_on_no_gauge(
    kind: CompressorKind, plain_car: PlainCar, settle: Settle, moderate_load: Surroundings
) -> None:
    """Hawkins (2021), expansion-valve car: 26 to 22 oz of 28 oz, no change of the high side."""
    car = plain_car(kind)
    change = changes(
        _at_charge(settle, car, moderate_load, 1.0), _at_charge(settle, car, moderate_load, 0.92)
    )
    assert abs(change["low_psi"]) < 1.0
    assert abs(change["high_psi"]) < 1.0
    assert abs(change["subcooling_k"]) < 0.5


@pytest.mark.parametrize("refrigerant", ["R-134a", "R-1234yf"])
def test_below_the_reserve_subcooling_vanishes_first_and_superheat_rises_next(
    refrigerant: str, plain_car: PlainCar, settle: Settle, high_load: Surroundings
) -> None:
    """Grace, Datta and Tassou, Applied Thermal Engineering 25 (2005) 557: both depend strongly on charge."""
    car = plain_car(FIXED, refrigerant=refrigerant)
    full, short, empty = (_at_charge(settle, car, high_load, share) for share in (1.0, 0.8, 0.65))
    assert short["subcooling_k"] < 0.5 * full["subcooling_k"]
    assert short["superheat_k"] < full["superheat_k"] + 3.0
    assert empty["subcooling_k"] < 0.5
    assert empty["superheat_k"] > full["superheat_k"] + 5.0


def test_far_below_the_reserve_both_sides_fall_and_the_vent_and_the_discharge_line_grow_warm(
    plain_car: PlainCar, settle: Settle, high_load: Surroundings
) -> None:
    """ASHRAE RP-1173 as summarised by ORNL: with an expansion valve a drastic loss below 80 %."""
    car = plain_car(FIXED)
    change = changes(_at_charge(settle, car, high_load, 1.0), _at_charge(settle, car, high_load, 0.6))
    assert change["low_psi"] < -2.0
    assert change["high_psi"] < -10.0
    assert change["vent_k"] > 3.0
    assert change["discharge_line_k"] > 5.0


def test_an_undercharge_of_a_quarter_hardly_shows_on_the_gauges_of_an_orifice_tube_car(
    plain_car: PlainCar, settle: Settle, high_load: Surroundings
) -> None:
    """Hawkins (2021): 25 % short, high side -2 psi, low side -3 psi, compressor far hotter."""
    car = plain_car(FIXED, metering=ORIFICE)
    change = changes(_at_charge(settle, car, high_load, 1.0), _at_charge(settle, car, high_load, 0.75))
    assert -6.0 < change["low_psi"] < 0.0
    assert change["high_psi"] < 0.0
    assert change["discharge_line_k"] > 0.5


@pytest.mark.parametrize("kind", [FIXED, INTERNAL, EXTERNAL])
def test_overcharge_raises_subcooling_and_the_high_side_while_the_low_side_hardly_moves(
    kind: CompressorKind, plain_car: PlainCar, settle: Settle, high_load: Surroundings
) -> None:
    """Grace, Datta and Tassou (2005): excessive discharge pressure, suction insensitive."""
    car = plain_car(kind)
    change = changes(_at_charge(settle, car, high_load, 1.0), _at_charge(settle, car, high_load, 1.3))
    assert change["subcooling_k"] > 3.0
    assert change["high_psi"] > 10.0
    assert abs(change["low_psi"]) < 2.0


# Other faults -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", [FIXED, INTERNAL, EXTERNAL])
def test_a_blocked_condenser_raises_the_high_side_without_more_subcooling(
    kind: CompressorKind, plain_car: PlainCar, settle: Settle, high_load: Surroundings
) -> None:
    """Breuker and Braun, HVAC&R Research 4 (1998), fouled condenser; subcooling from common practice."""
    change = changes(
        settle(plain_car(kind), high_load), settle(plain_car(kind), high_load, Faults(condenser_air=0.7))
    )
    assert change["high_psi"] > 10.0
    assert abs(change["subcooling_k"]) < 1.0
    assert change["low_psi"] > -2.0


def test_little_evaporator_air_lowers_the_low_side_of_a_fixed_compressor_and_not_of_a_variable_one(
    plain_car: PlainCar, settle: Settle, high_load: Surroundings, moderate_load: Surroundings
) -> None:
    """Common practice, no source."""
    starved = Faults(evaporator_air=0.6)
    fixed = changes(settle(plain_car(FIXED), high_load), settle(plain_car(FIXED), high_load, starved))
    assert fixed["low_psi"] < -2.0
    assert fixed["high_psi"] < -5.0
    car = plain_car(INTERNAL)
    variable = changes(settle(car, moderate_load), settle(car, moderate_load, starved))
    assert abs(variable["low_psi"]) < 2.0
    assert variable["high_psi"] < -5.0


def test_a_weak_compressor_shows_on_a_fixed_one_and_hides_in_a_regulating_one_but_for_its_stroke(
    plain_car: PlainCar, settle: Settle, high_load: Surroundings, moderate_load: Surroundings
) -> None:
    """Common practice, no source."""
    weak = Faults(compressor=0.6)
    fixed = changes(settle(plain_car(FIXED), high_load), settle(plain_car(FIXED), high_load, weak))
    assert fixed["low_psi"] > 2.0
    assert fixed["high_psi"] < -5.0
    assert fixed["vent_k"] > 1.0
    assert abs(fixed["superheat_k"]) < 1.5
    car = plain_car(INTERNAL)
    healthy, worn = (settle(car, moderate_load, faults, 1_500.0) for faults in (HEALTHY, weak))
    hidden = changes(healthy, worn)
    assert abs(hidden["low_psi"]) < 1.0
    assert abs(hidden["high_psi"]) < 5.0
    assert worn["stroke"] > 1.4 * healthy["stroke"]


def test_a_restriction_ahead_of_the_valve_keeps_subcooling_where_undercharge_loses_it(
    plain_car: PlainCar, settle: Settle, high_load: Surroundings
) -> None:
    """Hawkins (2023), "A sure sign of a restriction"; the pair told apart by subcooling: common practice."""
    car = plain_car(FIXED)
    healthy = settle(car, high_load)
    restricted = changes(healthy, settle(car, high_load, Faults(liquid_line=0.25)))
    assert restricted["low_psi"] < -5.0
    assert restricted["high_psi"] < -5.0
    assert restricted["superheat_k"] > 10.0
    assert restricted["vent_k"] > 3.0
    assert restricted["subcooling_k"] > 0.0


def test_air_in_the_system_raises_the_high_side_and_the_subcooling_that_gauges_seem_to_show(
    plain_car: PlainCar, settle: Settle, high_load: Surroundings
) -> None:
    """A field test with 7.7 % air as reported: high side 165 to 200 psi, low side 32 to 31 psi."""
    car = plain_car(FIXED)
    aired = settle(car, high_load, Faults(air_kg=0.001))
    change = changes(settle(car, high_load), aired)
    assert change["high_psi"] > 20.0
    assert abs(change["low_psi"]) < 3.0
