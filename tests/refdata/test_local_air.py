"""What a gauge counts from."""

from __future__ import annotations

import pytest

from knowngood_refdata.local_air import local_air


@pytest.mark.parametrize(("metres", "pascals"), [(0.0, 101_325.0), (500.0, 95_461.0), (1000.0, 89_875.0)])
def test_an_altitude_gives_the_pressure_of_the_standard_atmosphere(metres: float, pascals: float) -> None:
    # ASHRAE Handbook, Fundamentals 2017, chapter 1, table 1.
    assert local_air(None, metres).pressure_pa == pytest.approx(pascals, abs=1.0)


def test_a_barometer_counts_before_an_altitude() -> None:
    air = local_air(90_500.0, 1000.0)
    assert air.pressure_pa == 90_500.0
    assert air.origin == "the barometer"
    assert air.problem == ""


def test_without_either_the_standard_atmosphere_at_sea_level_counts() -> None:
    assert local_air(None, None).pressure_pa == 101_325.0
    assert "sea level" in local_air(None, None).origin


@pytest.mark.parametrize("metres", [-3_000.0, 9_000.0, 50_000.0])
def test_an_altitude_without_roads_is_named_and_not_used(metres: float) -> None:
    air = local_air(None, metres)
    assert air.pressure_pa == 101_325.0
    assert "not used" in air.problem


def test_inches_of_mercury_typed_as_kilopascals_are_named_and_the_altitude_counts() -> None:
    air = local_air(29_920.0, 1000.0)
    assert air.pressure_pa == pytest.approx(89_875.0, abs=1.0)
    assert "check the unit" in air.problem


def test_a_barometer_reduced_to_sea_level_is_noticed_beside_an_altitude() -> None:
    # Common practice, no source: weather reports reduce to sea level, here by 16.8 kPa at 1,500 m.
    assert "reduced to sea level" in local_air(101_300.0, 1500.0).problem
    assert local_air(101_300.0, 100.0).problem == ""
