"""Vacuum readings against the published tables and the words they need."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_calculator.core.evacuation import (
    INCH_OF_MERCURY_PA,
    MICRON_PA,
    STANDING_CAUTIONS,
    TARGET_PA,
    vacuum_reading,
)
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind, standard_barometer_pa, unit

# Micron, pascals, inches of mercury absolute and below 29.9213 inHg, by the conventional factors.
PRESSURES = [
    (760_000, 101_325, 29.9213, 0.000), (355_092, 47_342, 13.980, 15.941), (149_352, 19_912, 5.880, 24.041),
    (92_456, 12_326, 3.640, 26.281), (55_118, 7_348, 2.170, 27.751), (25_400, 3_386.4, 1.0000, 28.921),
    (20_320, 2_709.1, 0.8000, 29.121), (15_240, 2_031.8, 0.6000, 29.321), (10_160, 1_354.6, 0.4000, 29.521),
    (7_620, 1_015.9, 0.3000, 29.621), (5_000, 666.61, 0.1969, 29.724), (4_572, 609.55, 0.1800, 29.741),
    (2_540, 338.64, 0.1000, 29.821), (1_270, 169.32, 0.0500, 29.871), (1_000, 133.322, 0.0394, 29.882),
    (500, 66.661, 0.0197, 29.902), (254, 33.864, 0.0100, 29.911), (127, 16.932, 0.0050, 29.916),
    (25.4, 3.386, 0.0010, 29.920),
]  # fmt: skip


@pytest.mark.parametrize(("microns", "pascals", "absolute", "vacuum"), PRESSURES)
def test_micron_pascal_and_inches_of_mercury_agree(
    microns: float, pascals: float, absolute: float, vacuum: float
) -> None:
    pressure_pa = unit("micron", Kind.PRESSURE).to_si(microns)
    assert pressure_pa == pytest.approx(pascals, rel=1.2e-4)
    assert pressure_pa / INCH_OF_MERCURY_PA == pytest.approx(absolute, abs=6e-5 if absolute < 2 else 6e-4)
    depth = vacuum_reading(pressure_pa, STANDARD_ATMOSPHERE_PA).depth_pa
    assert depth / INCH_OF_MERCURY_PA == pytest.approx(vacuum, abs=1.1e-3)


def test_an_inch_of_mercury_is_fifty_times_the_target() -> None:
    # 25.4 mm of mercury, by definition of the inch; the target is a figure of the building trade.
    assert pytest.approx(25_400.0, rel=1e-6) == INCH_OF_MERCURY_PA / MICRON_PA
    assert pytest.approx(50.0, abs=1.0) == INCH_OF_MERCURY_PA / TARGET_PA


@pytest.mark.parametrize(("microns", "celsius"), [(250, -31.0), (500, -25.0), (1_000, -17.0), (2_000, -10.0)])
def test_below_the_triple_point_the_answer_is_a_frost_point(microns: float, celsius: float) -> None:
    # Whole degrees from the sublimation equation.
    reading = vacuum_reading(microns * MICRON_PA, STANDARD_ATMOSPHERE_PA)
    assert reading.frozen
    assert reading.water_k is not None
    assert reading.water_k - 273.15 == pytest.approx(celsius, abs=0.6)
    assert any("freezes" in one for one in reading.remarks)


@pytest.mark.parametrize(("microns", "celsius"), [(5_000, 1.0), (10_000, 11.0), (20_000, 22.0)])
def test_above_the_triple_point_the_answer_is_a_boiling_point(microns: float, celsius: float) -> None:
    reading = vacuum_reading(microns * MICRON_PA, STANDARD_ATMOSPHERE_PA)
    assert not reading.frozen
    assert reading.water_k is not None
    assert reading.water_k - 273.15 == pytest.approx(celsius, abs=0.6)
    assert not any("freezes" in one for one in reading.remarks)


def test_at_altitude_a_dial_shows_an_inch_less_for_every_thousand_feet() -> None:
    # Common practice, no source: about 1 inHg for 1,000 ft. The absolute reading stays the same.
    low = vacuum_reading(66.7, STANDARD_ATMOSPHERE_PA)
    high = vacuum_reading(66.7, standard_barometer_pa(5_000 * 0.3048))
    assert (low.depth_pa - high.depth_pa) / INCH_OF_MERCURY_PA == pytest.approx(5.0, abs=0.2)
    assert high.water_k == low.water_k


def test_a_dial_gauge_is_said_not_to_show_moisture() -> None:
    assert any(
        "dial gauge cannot show moisture" in one and "25,400 micron" in one
        for one in vacuum_reading(3_000.0, STANDARD_ATMOSPHERE_PA).remarks
    )


def test_the_target_is_met_at_500_micron() -> None:
    met = vacuum_reading(499.0 * MICRON_PA, STANDARD_ATMOSPHERE_PA).remarks
    missed = vacuum_reading(501.0 * MICRON_PA, STANDARD_ATMOSPHERE_PA).remarks
    assert any(one.startswith("at or below 500 micron") for one in met)
    assert any(one.startswith("not yet down to 500 micron") for one in missed)


def test_water_stays_where_the_coldest_part_is_colder_than_its_boiling_point() -> None:
    # 5,000 micron boil water at 1.2 °C.
    cold = vacuum_reading(5_000 * MICRON_PA, STANDARD_ATMOSPHERE_PA, coldest_k=273.15)
    warm = vacuum_reading(5_000 * MICRON_PA, STANDARD_ATMOSPHERE_PA, coldest_k=276.15)
    assert any("water left there stays" in one and "0 °C (32 °F)" in one for one in cold.remarks)
    assert any("turns to vapour" in one for one in warm.remarks)


def test_a_pressure_that_is_no_vacuum_is_told() -> None:
    reading = vacuum_reading(STANDARD_ATMOSPHERE_PA + 1.0, STANDARD_ATMOSPHERE_PA)
    assert reading.depth_pa < 0.0
    assert any("no vacuum" in one for one in reading.remarks)
    assert not any("dial gauge" in one for one in reading.remarks)


@pytest.mark.parametrize("pressure_pa", [-100.0, 0.0, 1e-9, 3e7, math.nan])
def test_without_a_boiling_point_there_are_words(pressure_pa: float) -> None:
    reading = vacuum_reading(pressure_pa, STANDARD_ATMOSPHERE_PA)
    assert reading.water_k is None
    assert reading.remarks


@given(pressure_pa=st.floats(0.01, 101_000.0))
def test_every_vacuum_has_a_temperature_and_says_which_kind(pressure_pa: float) -> None:
    reading = vacuum_reading(pressure_pa, STANDARD_ATMOSPHERE_PA)
    assert reading.water_k is not None
    assert reading.frozen == (reading.water_k < 273.16)


def test_a_vacuum_is_never_said_to_replace_a_leak_test() -> None:
    assert any("does not replace a leak test" in one for one in STANDING_CAUTIONS)
    assert any("local codes" in one for one in STANDING_CAUTIONS)
