"""What hoses, cans and cylinders hold, and how full a cylinder may be."""

from __future__ import annotations

import math

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from knowngood_calculator.core.cylinders import (
    CAUTIONS,
    FILL_FRACTION,
    WATER_KG_M3,
    Cylinder,
    fill_limit,
    hose_contents,
    liquid_full,
    specific_gravity,
    vessel_contents,
)

COOLPROP = {"R-134a": "R134a", "R-1234yf": "R1234yf"}
NAMES = sorted(COOLPROP)


def density(name: str, celsius: float, quality: float) -> float:
    return float(PropsSI("D", "T", celsius + 273.15, "Q", quality, COOLPROP[name]))


@pytest.mark.parametrize(("name", "grams"), [("R-134a", 39), ("R-1234yf", 36)])
def test_a_hose_full_of_liquid_holds_more_than_a_machine_may_err(name: str, grams: int) -> None:
    # 1.8 m of 4.8 mm bore at 25 °C, by hand with densities of CoolProp 8.0.
    found = hose_contents(1.8, 4.8e-3, density(name, 25.0, 0.0))
    assert found.mass_kg is not None
    assert 1e3 * found.mass_kg == pytest.approx(grams, abs=0.5)
    assert found.mass_kg > 0.015


@pytest.mark.parametrize("name", NAMES)
def test_a_hose_full_of_vapour_holds_about_a_gram(name: str) -> None:
    found = hose_contents(1.8, 4.8e-3, density(name, 25.0, 1.0))
    assert found.mass_kg is not None
    assert 1.0 <= 1e3 * found.mass_kg <= 1.25


@pytest.mark.parametrize(
    ("name", "litres", "celsius", "grams"),
    [
        ("R-134a", 0.33, 30, 12), ("R-1234yf", 0.33, 30, 14),  # a can
        ("R-134a", 3.0, 25, 97), ("R-1234yf", 3.0, 25, 114),  # a circuit
    ],
)  # fmt: skip
def test_what_stays_behind_as_vapour(name: str, litres: float, celsius: float, grams: float) -> None:
    # By hand with densities of CoolProp 8.0.
    found = vessel_contents(litres / 1e3, density(name, celsius, 1.0))
    assert found.mass_kg is not None
    assert 1e3 * found.mass_kg == pytest.approx(grams, abs=0.5)


@pytest.mark.parametrize(
    ("length_m", "bore_m", "kg_m3", "words"),
    [(-1.8, 4.8e-3, 1200, "length"), (1.8, 0.0, 1200, "bore"), (1.8, 4.8e-3, math.nan, "density")],
)
def test_a_hose_that_cannot_be_is_answered_in_words(
    length_m: float, bore_m: float, kg_m3: float, words: str
) -> None:
    found = hose_contents(length_m, bore_m, kg_m3)
    assert found.mass_kg is None
    assert words in found.words


def test_the_published_fill_limit_is_reproduced() -> None:
    # AHRI Guideline K (2004), example for R-22 in the trade press, in pounds.
    found = fill_limit(Cylinder(1000.0, 380.0), 1.197)
    assert found.net_kg == pytest.approx(957.60, abs=0.005)
    assert found.gross_kg == pytest.approx(1337.60, abs=0.005)


@pytest.mark.parametrize(("name", "published"), [("R-134a", 1.21), ("R-1234yf", 1.095)])
def test_the_specific_gravity_at_77_fahrenheit(name: str, published: float) -> None:
    # R-134a: the trade's figure (from memory); R-1234yf: computed with CoolProp 8.0.
    assert specific_gravity(density(name, 25.0, 0.0)) == pytest.approx(published, abs=5e-4)


def test_the_density_of_water_is_that_of_the_standard_formulation() -> None:
    # IAPWS-95 as computed by CoolProp 8.0.
    assert pytest.approx(PropsSI("D", "T", 298.15, "P", 101_325.0, "Water"), abs=0.01) == WATER_KG_M3


capacities = st.floats(1.0, 500.0)
gravities = st.floats(0.8, 1.4)


@given(capacities, st.floats(0.5, 300.0), gravities, st.floats(0.0, 1.5))
def test_contents_and_room_make_up_the_fill_limit(
    capacity_kg: float, tare_kg: float, gravity: float, part: float
) -> None:
    cylinder = Cylinder(capacity_kg, tare_kg)
    net_kg = fill_limit(cylinder, gravity).net_kg
    assert net_kg is not None
    found = fill_limit(cylinder, gravity, tare_kg + part * net_kg)
    assert found.contents_kg is not None
    assert found.room_kg is not None
    assert found.contents_kg + found.room_kg == pytest.approx(net_kg)
    if abs(part - 1.0) > 1e-3:
        assert found.overfilled == (part > 1.0)
        assert ("over the fill limit" in found.words) == (part > 1.0)


@given(capacities, st.floats(0.5, 300.0), gravities)
def test_filling_the_room_leaves_none(capacity_kg: float, tare_kg: float, gravity: float) -> None:
    cylinder = Cylinder(capacity_kg, tare_kg)
    room_kg = fill_limit(cylinder, gravity, tare_kg).room_kg
    assert room_kg is not None
    full = fill_limit(cylinder, gravity, tare_kg + room_kg)
    assert full.room_kg == pytest.approx(0.0, abs=1e-9)
    assert not full.overfilled
    assert "nothing more" in full.words


def test_a_tare_above_the_gross_weight_is_a_mistake_and_no_room() -> None:
    found = fill_limit(Cylinder(21.6, 12.0), 1.21, 11.0)
    assert found.room_kg is None
    assert "the tare is more" in found.words
    assert found.net_kg == pytest.approx(FILL_FRACTION * 21.6 * 1.21)


@pytest.mark.parametrize(
    ("capacity_kg", "tare_kg", "gravity", "words"),
    [(0.0, 12.0, 1.21, "water capacity"), (21.6, -1.0, 1.21, "tare"), (21.6, 12.0, math.nan, "gravity")],
)
def test_stamps_that_cannot_be_are_answered_in_words(
    capacity_kg: float, tare_kg: float, gravity: float, words: str
) -> None:
    found = fill_limit(Cylinder(capacity_kg, tare_kg), gravity)
    assert found.net_kg is None
    assert words in found.words


@pytest.mark.parametrize(("name", "celsius"), [("R-134a", 74.8), ("R-1234yf", 71.4)])
def test_a_cylinder_at_its_fill_limit_is_full_of_liquid_when_hot(name: str, celsius: float) -> None:
    # Computed with CoolProp 8.0: 80 % at 25 °C.
    cylinder = Cylinder(10.0, 5.0)
    net_kg = fill_limit(cylinder, specific_gravity(density(name, 25.0, 0.0))).net_kg
    assert net_kg is not None
    found = liquid_full(
        net_kg, cylinder.volume_m3, lambda kelvin: density(name, kelvin - 273.15, 0.0), 250.0, 365.0
    )
    assert found.temperature_k == pytest.approx(celsius + 273.15, abs=0.05)


@given(st.floats(250.0, 365.0))
def test_at_the_temperature_found_the_liquid_fills_the_cylinder(kelvin: float) -> None:
    # A liquid that thins evenly, so that the inverse is known.
    found = liquid_full(1600.0 - 2.0 * kelvin, 1.0, lambda t: 1600.0 - 2.0 * t, 249.0, 366.0)
    assert found.temperature_k == pytest.approx(kelvin, abs=1e-3)


@pytest.mark.parametrize(
    ("mass_kg", "words"), [(1.5, "beyond any fill limit"), (0.5, "never fills"), (-1.0, "mass")]
)
def test_without_a_temperature_at_which_it_is_full_there_are_words(mass_kg: float, words: str) -> None:
    found = liquid_full(mass_kg, 1e-3, lambda t: 1600.0 - 2.0 * t, 250.0, 365.0)
    assert found.temperature_k is None
    assert words in found.words


def test_the_text_of_law_that_was_not_read_is_owned_up_to() -> None:
    said = " ".join(CAUTIONS)
    assert "49 CFR 173.304a was not read" in said
    assert "retest date" in said
    assert "52 °C" in said
