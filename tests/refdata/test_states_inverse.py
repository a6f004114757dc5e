"""States found from enthalpy and entropy lead back to themselves, in every phase and at its edges."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.generate_states import HOTTEST_K, NEAREST_TO_CRITICAL
from knowngood_refdata.refrigerants import REFRIGERANTS
from knowngood_refdata.states import Fluid, State, fluid

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

shares = st.floats(0.0, 1.0)
every = pytest.mark.parametrize("name", REFRIGERANTS)


def pressure_of(found: Fluid, share: float, highest: float = NEAREST_TO_CRITICAL) -> float:
    lowest = found.curve.lowest_pa
    return float(lowest * (highest * found.curve.critical_pa / lowest) ** share)


def assert_same(one: State, other: State) -> None:
    for field in ("temperature_k", "density_kg_m3", "enthalpy_j_kg", "entropy_j_kg_k"):
        assert float(getattr(one, field)) == pytest.approx(float(getattr(other, field)), rel=1e-9), field


@every
@given(where=shares, warmth=shares)
def test_a_gas_is_found_again_from_its_enthalpy_and_from_its_entropy(
    name: str, where: float, warmth: float
) -> None:
    found = fluid(name)
    pressure = pressure_of(found, where)
    line = found.curve.temperature_k(pressure)
    # At the line itself two tables meet, which differ by a hair.
    state = found.gas(pressure, line + 0.01 + warmth * (HOTTEST_K - line - 0.01))
    assert_same(found.at_enthalpy(pressure, state.enthalpy_j_kg), state)
    assert_same(found.at_entropy(pressure, state.entropy_j_kg_k), state)


@every
@given(where=shares, cold=shares)
def test_a_liquid_is_found_again_from_its_enthalpy_and_from_its_entropy(
    name: str, where: float, cold: float
) -> None:
    found = fluid(name)
    pressure = pressure_of(found, where)
    line = found.curve.temperature_k(pressure)
    coldest = found.curve.lowest_k if name == "R-744" else 180.0
    state = found.liquid(pressure, line - min(0.01 + cold * (line - coldest), line - coldest))
    assert_same(found.at_enthalpy(pressure, state.enthalpy_j_kg), state)
    assert_same(found.at_entropy(pressure, state.entropy_j_kg_k), state)


@every
@given(where=shares, quality=shares)
def test_a_mixture_is_found_again_from_its_enthalpy_and_from_its_entropy(
    name: str, where: float, quality: float
) -> None:
    found = fluid(name)
    pressure = pressure_of(found, where, 0.9999)
    liquid, vapour = found.saturated_liquid(pressure), found.saturated_vapour(pressure)

    def between(field: str) -> float:
        left, right = float(getattr(liquid, field)), float(getattr(vapour, field))
        return min(max(left + quality * (right - left), left), right)

    for state in (
        found.at_enthalpy(pressure, between("enthalpy_j_kg")),
        found.at_entropy(pressure, between("entropy_j_kg_k")),
    ):
        assert float(state.quality) == pytest.approx(quality, abs=1e-9)
        assert float(state.temperature_k) == pytest.approx(found.curve.temperature_k(pressure), abs=1e-9)
        volume = (1.0 - quality) / liquid.density_kg_m3 + quality / vapour.density_kg_m3
        assert float(state.density_kg_m3) == pytest.approx(float(1.0 / volume), rel=1e-9)
        assert float(state.enthalpy_j_kg) == pytest.approx(between("enthalpy_j_kg"), abs=1e-3)
        assert float(state.entropy_j_kg_k) == pytest.approx(between("entropy_j_kg_k"), abs=1e-6)


@given(bar=st.floats(75.0, 160.0), celsius=st.floats(0.0, 180.0))
def test_transcritical_r744_is_found_again_from_its_enthalpy_and_from_its_entropy(
    bar: float, celsius: float
) -> None:
    found = fluid("R-744")
    state = found.gas(bar * 1e5, celsius + 273.15)
    assert_same(found.at_enthalpy(bar * 1e5, state.enthalpy_j_kg), state)
    assert_same(found.at_entropy(bar * 1e5, state.entropy_j_kg_k), state)


@every
@given(where=shares)
def test_on_the_saturation_line_gas_and_liquid_are_the_saturated_states(name: str, where: float) -> None:
    found = fluid(name)
    pressure = pressure_of(found, where, 0.9)
    line = found.curve.temperature_k(pressure)
    pairs = (
        (found.gas(pressure, line), found.saturated_vapour(pressure)),
        (found.liquid(pressure, line), found.saturated_liquid(pressure)),
    )
    for single, saturated in pairs:
        assert float(single.density_kg_m3) == pytest.approx(float(saturated.density_kg_m3), rel=1e-5)
        assert float(single.enthalpy_j_kg) == pytest.approx(float(saturated.enthalpy_j_kg), abs=2.0)
        assert math.isnan(single.quality)


@every
def test_across_the_dome_temperature_and_density_run_on_without_a_jump_or_a_gap(name: str) -> None:
    found = fluid(name)
    for share in (0.0, 0.3, 0.6, 0.9, 0.98):
        pressure = pressure_of(found, share)
        liquid, vapour = found.saturated_liquid(pressure), found.saturated_vapour(pressure)
        # Where the row of liquid has no length yet, at the triple point, begin at saturation.
        least = float(liquid.enthalpy_j_kg) - (0.0 if name == "R-744" and share == 0.0 else 2e3)
        enthalpy = np.linspace(least, float(vapour.enthalpy_j_kg) + 2e3, 20_001)
        state = found.at_enthalpy(pressure, enthalpy)
        step = enthalpy[1] - enthalpy[0]
        assert not np.isnan(state.temperature_k).any()
        # No heat capacity in the tables is less than 400 J/(kg K).
        rises = np.diff(state.temperature_k)
        assert rises.min() > -1e-5
        assert rises.max() < step / 400.0 + 1e-5
        assert np.diff(state.entropy_j_kg_k).min() > 0.0
        assert np.diff(state.density_kg_m3).max() < 1e-4 * float(liquid.density_kg_m3)


@every
@given(where=shares, first=shares, second=shares)
def test_at_one_pressure_a_warmer_gas_is_thinner_and_holds_more_heat(
    name: str, where: float, first: float, second: float
) -> None:
    found = fluid(name)
    pressure = pressure_of(found, where)
    line = found.curve.temperature_k(pressure)
    cool, warm = sorted(line + share * (HOTTEST_K - line) for share in (first, second))
    if warm - cool < 1e-3:
        return
    state = found.gas(pressure, np.array([cool, warm]))
    assert state.density_kg_m3[1] < state.density_kg_m3[0]
    assert state.enthalpy_j_kg[1] > state.enthalpy_j_kg[0]
    assert state.entropy_j_kg_k[1] > state.entropy_j_kg_k[0]


@every
@given(where=st.floats(0.1, 0.9), warmth=st.floats(0.0, 0.5), ratio=st.floats(1.0, 1.05))
def test_an_isentropic_compression_warms_the_gas_and_gives_the_work_of_its_mean_volume(
    name: str, where: float, warmth: float, ratio: float
) -> None:
    # dh = v dp at constant entropy: over a small step the mean of both volumes.
    found = fluid(name)
    pressure = pressure_of(found, where, 0.85)
    line = found.curve.temperature_k(pressure)
    start = found.gas(pressure, line + 5.0 + warmth * (HOTTEST_K - line - 60.0))
    end = found.at_entropy(pressure * ratio, start.entropy_j_kg_k)
    work = float(end.enthalpy_j_kg - start.enthalpy_j_kg)
    mean_m3 = 0.5 * float(1.0 / start.density_kg_m3 + 1.0 / end.density_kg_m3)
    assert work == pytest.approx(mean_m3 * pressure * (ratio - 1.0), rel=0.005, abs=2.0)
    assert float(end.temperature_k) >= float(start.temperature_k) - 1e-6
