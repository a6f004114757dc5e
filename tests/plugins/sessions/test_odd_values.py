"""What is odd about readings typed by hand: what cannot be, and what would be usual in another unit."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from knowngood_refdata.records import Instruments, Role, Thermometer
from knowngood_refdata.refrigerants import saturation
from knowngood_sessions.core.mapping.odd_units import Oddity, Surroundings
from knowngood_sessions.core.mapping.odd_values import odd_values

from .typed_points import AIR, PSI, point

if TYPE_CHECKING:
    from knowngood_refdata.quantities import Kind


def write(value: float, what: Role | Kind) -> str:
    return f"{value:.0f} [{what.value}]"


def around(**more: object) -> Surroundings:
    return Surroundings(saturation("R-134a"), Instruments(), **more)  # type: ignore[arg-type]


def told(*found_: Oddity) -> str:
    return " ".join(one.text for one in found_)


# A maker's published performance test of a healthy R-134a system (service manual of 2010, 50-70 % RH): the
# middle of its bands, gauge pressures in kPa by ambient; vent and intake of the row for 50-60 % RH.
PUBLISHED_HEALTHY = (
    (25.0, 1_337.0, 190.0, 9.6),
    (30.0, 1_445.0, 218.0, 16.0),
    (35.0, 1_660.0, 254.0, None),
    (40.0, 2_077.0, 324.0, None),
)


@pytest.mark.parametrize(("ambient_c", "high_kpa", "low_kpa", "vent_c"), PUBLISHED_HEALTHY)
def test_nothing_is_odd_about_a_published_healthy_system(
    ambient_c: float, high_kpa: float, low_kpa: float, vent_c: float | None
) -> None:
    typed = {
        Role.ENGINE_SPEED: 750.0,
        Role.LOW_SIDE: low_kpa * 1e3 + AIR,
        Role.HIGH_SIDE: high_kpa * 1e3 + AIR,
    }
    if vent_c is not None:
        typed[Role.VENT] = vent_c + 273.15
    here = around(ambient_k=ambient_c + 273.15, intake_k=ambient_c + 273.15)
    assert odd_values(typed, here, write) == ()


def test_a_low_side_above_the_high_side_is_told_beyond_what_the_gauges_may_err() -> None:
    swapped = odd_values(point(low=150.0, high=30.0).values, around(), write)
    assert "were the two swapped" in told(*swapped)
    nearly = odd_values(point(0.0, low=81.0, high=80.0).values, around(), write)
    assert "swapped" not in told(*nearly)


def test_sides_that_are_level_while_the_engine_runs_are_told() -> None:
    assert "level although the engine runs" in told(
        *odd_values(point(low=80.0, high=80.0).values, around(), write)
    )


def test_a_number_that_would_be_usual_in_another_unit_is_told_with_that_unit() -> None:
    typed = {Role.LOW_SIDE: 2.1 * PSI + AIR}
    assert "in bar the same number would be usual" in told(
        *odd_values(typed, around(units={Role.LOW_SIDE: "psi"}), write)
    )
    warm = {Role.VENT: 48.0 + 273.15}
    assert "in °F the same number would be usual" in told(
        *odd_values(warm, around(units={Role.VENT: "°C"}), write)
    )


def test_a_suction_line_colder_than_its_evaporating_temperature_is_told_only_beyond_the_uncertainty() -> None:
    evaporating = saturation("R-134a").temperature_k(30.0 * PSI + AIR)
    far = odd_values(point(suction_line=evaporating - 8.0).values, around(), write)
    assert "which it cannot" in told(*far)
    near = odd_values(point(suction_line=evaporating - 1.0).values, around(), write)
    assert near == ()


def test_a_better_probe_makes_a_smaller_contradiction_worth_telling() -> None:
    evaporating = saturation("R-134a").temperature_k(30.0 * PSI + AIR)
    typed = point(suction_line=evaporating - 2.5).values
    better = replace(
        around(),
        instruments=Instruments(low=replace(Instruments().low, class_percent=0.1), line=Thermometer(0.2)),
    )
    assert odd_values(typed, around(), write) == ()
    assert "which it cannot" in told(*odd_values(typed, better, write))


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"liquid_line": 330.0}, "above the condensing"),
        ({"discharge_line": 309.0}, "colder than the condensing"),
        ({"vent": 305.0}, "warmer than the air that goes in"),
        ({"vent": 269.2}, "colder than the evaporating"),
        ({"suction_line": 325.0}, "hardly ever"),
    ],
)
def test_heat_that_would_flow_the_wrong_way_is_told(typed: dict[str, float], words: str) -> None:
    here = around(ambient_k=300.0, intake_k=298.0)
    assert words in told(*odd_values(point(**typed).values, here, write))  # type: ignore[arg-type]


def test_a_condensing_temperature_below_the_ambient_is_told() -> None:
    hot = around(ambient_k=273.15 + 50.0)
    assert "where no heat could leave" in told(*odd_values(point(high=120.0).values, hot, write))


def test_a_pressure_at_rest_tells_gauge_from_absolute_by_the_ambient() -> None:
    # R-134a at 24 °C: 0.645 MPa absolute (Tillner-Roth and Baehr 1994, interpolated between its rows).
    at_rest = 0.645e6
    here = around(ambient_k=297.15)
    right = {Role.LOW_SIDE: at_rest, Role.HIGH_SIDE: at_rest, Role.ENGINE_SPEED: 0.0}
    assert odd_values(right, here, write) == ()
    too_low = dict.fromkeys((Role.LOW_SIDE, Role.HIGH_SIDE), at_rest - AIR)
    assert "Taken as gauge it would fit" in told(*odd_values(too_low, here, write))
    too_high = dict.fromkeys((Role.LOW_SIDE, Role.HIGH_SIDE), at_rest + AIR)
    assert "Taken as absolute it would fit" in told(*odd_values(too_high, here, write))
