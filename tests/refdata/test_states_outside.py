"""What is answered where there is no state, and that shapes are kept."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.refrigerants import REFRIGERANTS
from knowngood_refdata.states import Fluid, State, fluid

if TYPE_CHECKING:
    from collections.abc import Callable

every = pytest.mark.parametrize("name", REFRIGERANTS)
NO_PRESSURE = (math.nan, -math.inf, -1e5, 0.0, 1e-300, 1.0, 1e9, math.inf)
NUMBERS = ("temperature_k", "density_kg_m3", "enthalpy_j_kg", "entropy_j_kg_k", "quality")


def assert_nothing(state: State) -> None:
    for field in NUMBERS:
        assert np.isnan(getattr(state, field)).all(), field


@every
def test_an_impossible_pressure_has_no_state(name: str) -> None:
    found = fluid(name)
    pressure = np.array(NO_PRESSURE)
    for state in (
        found.saturated_liquid(pressure),
        found.saturated_vapour(pressure),
        found.gas(pressure, 320.0),
        found.liquid(pressure, 250.0),
        found.at_enthalpy(pressure, 3e5),
        found.at_entropy(pressure, 1.4e3),
    ):
        assert_nothing(state)
        np.testing.assert_array_equal(state.pressure_pa, pressure)


@every
def test_an_impossible_second_value_has_no_state(name: str) -> None:
    found = fluid(name)
    wrong = np.array([math.nan, math.inf, -math.inf, -1e9, 1e9])
    for ask in (found.gas, found.liquid, found.at_enthalpy, found.at_entropy):
        assert_nothing(ask(1e6, wrong))


@every
def test_a_gas_below_saturation_and_a_liquid_above_it_are_no_states(name: str) -> None:
    found = fluid(name)
    line = found.curve.temperature_k(1e6)
    assert_nothing(found.gas(1e6, line - 0.01))
    assert_nothing(found.liquid(1e6, line + 0.01))


@every
def test_beyond_the_hottest_and_the_coldest_there_is_no_state(name: str) -> None:
    found = fluid(name)
    coldest = found.curve.lowest_k if name == "R-744" else 180.0
    assert_nothing(found.gas(1e6, 473.16))
    assert_nothing(found.liquid(1e6, coldest - 0.01))
    hot, cold = found.gas(1e6, 473.15), found.liquid(1e6, coldest)
    assert_nothing(found.at_enthalpy(1e6, np.array([hot.enthalpy_j_kg + 1.0, cold.enthalpy_j_kg - 1.0])))
    assert_nothing(found.at_entropy(1e6, np.array([hot.entropy_j_kg_k + 0.01, cold.entropy_j_kg_k - 0.01])))
    assert float(found.at_enthalpy(1e6, hot.enthalpy_j_kg).temperature_k) == pytest.approx(473.15)
    assert float(found.at_entropy(1e6, cold.entropy_j_kg_k).temperature_k) == pytest.approx(coldest)


@every
def test_close_to_the_critical_pressure_only_the_dome_is_tabulated(name: str) -> None:
    found = fluid(name)
    pressure = 0.995 * found.curve.critical_pa
    liquid, vapour = found.saturated_liquid(pressure), found.saturated_vapour(pressure)
    middle = 0.5 * (liquid.enthalpy_j_kg + vapour.enthalpy_j_kg)
    assert float(found.at_enthalpy(pressure, middle).quality) == pytest.approx(0.5)
    assert_nothing(found.gas(pressure, found.curve.critical_k + 10.0))
    assert_nothing(found.at_enthalpy(pressure, vapour.enthalpy_j_kg + 10e3))
    assert_nothing(found.at_enthalpy(pressure, liquid.enthalpy_j_kg - 10e3))


@every
def test_above_the_critical_pressure_only_r744_has_states(name: str) -> None:
    found = fluid(name)
    pressure = 1.2 * found.curve.critical_pa
    assert_nothing(found.saturated_liquid(pressure))
    assert_nothing(found.liquid(pressure, 280.0))
    dense = found.gas(pressure, found.curve.critical_k + 20.0)
    assert math.isnan(dense.density_kg_m3) == (name != "R-744")


@pytest.mark.parametrize("ask", [Fluid.gas, Fluid.at_enthalpy])
def test_numbers_and_arrays_are_broadcast_and_their_shape_kept(
    ask: Callable[[Fluid, object, object], State],
) -> None:
    found = fluid("R-134a")
    pressure, second = np.array([[3e5], [5e5]]), np.array([310.0, 320.0, 330.0])
    if ask is Fluid.at_enthalpy:
        second = second * 1.35e3
    whole = ask(found, pressure, second)
    for field in ("pressure_pa", *NUMBERS):
        assert getattr(whole, field).shape == (2, 3)
        single = getattr(ask(found, 3e5, float(second[0])), field)
        assert isinstance(single, np.ndarray)
        assert single.shape == ()
    assert whole.density_kg_m3[1, 2] == ask(found, 5e5, float(second[2])).density_kg_m3
    assert ask(found, np.empty(0), np.empty(0)).density_kg_m3.shape == (0,)


def test_long_arrays_give_what_single_values_give() -> None:
    found = fluid("R-1234yf")
    pressure = np.linspace(2e5, 2e6, 9_001)
    enthalpy = np.linspace(210e3, 420e3, 9_001)
    whole = found.at_enthalpy(pressure, enthalpy)
    for index in (0, 4095, 4096, 8191, 8192, 9000):
        single = found.at_enthalpy(float(pressure[index]), float(enthalpy[index]))
        assert whole.density_kg_m3[index] == pytest.approx(float(single.density_kg_m3), rel=1e-14)


def test_one_bad_sample_leaves_its_neighbours_alone() -> None:
    found = fluid("R-134a")
    state = found.gas(np.array([3e5, math.nan, -1.0, 9e6, 3e5]), 300.0)
    assert np.isnan(state.density_kg_m3[1:4]).all()
    assert state.density_kg_m3[0] == state.density_kg_m3[4] == found.gas(3e5, 300.0).density_kg_m3
