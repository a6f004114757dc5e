"""States from the tables against CoolProp over their whole range; round trips; what lies outside."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from typing import TYPE_CHECKING

import CoolProp
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI, set_reference_state

from knowngood_refdata.generate_saturation import FLUIDS
from knowngood_refdata.generate_states import HOTTEST_K, NEAREST_TO_CRITICAL, tabulate
from knowngood_refdata.refrigerants import DATA, REFRIGERANTS, UnknownRefrigerant
from knowngood_refdata.states import Fluid, State, fluid

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

every = pytest.mark.parametrize("name", REFRIGERANTS)
POINTS = 1_500
FAR, NEAR = 0.9, NEAREST_TO_CRITICAL

# Most that the tables may be off: density (relative), enthalpy [J/kg], entropy [J/(kg K)].
AWAY_FROM_CRITICAL = (1e-5, 3.0, 0.05)
TOWARDS_CRITICAL = (1e-4, 20.0, 0.3)


def expected(name: str, phase: int, pressures: Floats, temperatures: Floats) -> Floats:
    """CoolProp's density, enthalpy and entropy, shape (3, n), on our reference state."""
    state = CoolProp.AbstractState("HEOS", FLUIDS[name])
    state.update(CoolProp.QT_INPUTS, 0.0, 273.15)
    enthalpy, entropy = 200e3 - state.hmass(), 1e3 - state.smass()
    state.specify_phase(phase)
    found = []
    for pressure, kelvin in zip(pressures, temperatures, strict=True):
        state.update(CoolProp.PT_INPUTS, pressure, kelvin)
        found.append((state.rhomass(), state.hmass() + enthalpy, state.smass() + entropy))
    return np.array(found).T


def assert_close(state: State, wanted: Floats, most: tuple[float, float, float]) -> None:
    assert np.abs(state.density_kg_m3 / wanted[0] - 1.0).max() < most[0]
    assert np.abs(state.enthalpy_j_kg - wanted[1]).max() < most[1]
    assert np.abs(state.entropy_j_kg_k - wanted[2]).max() < most[2]


def pressures_of(found: Fluid, least: float, most: float) -> Floats:
    """Pressures between shares of the critical one, evenly in their logarithm; never below the curve."""
    lowest = max(found.curve.lowest_pa, least * found.curve.critical_pa)
    spread = np.random.default_rng(4).uniform(
        math.log(lowest), math.log(most * found.curve.critical_pa), POINTS
    )
    return np.exp(spread)


def crowded(seed: int) -> Floats:
    """Shares between 0 and 1, more of them near 0."""
    return np.random.default_rng(seed).uniform(0.0, 1.0, POINTS) ** 3


@every
@pytest.mark.parametrize(
    ("least", "most", "off"), [(0.0, FAR, AWAY_FROM_CRITICAL), (FAR, NEAR, TOWARDS_CRITICAL)]
)
def test_gas_follows_coolprop_from_saturation_to_two_hundred_degrees(
    name: str, least: float, most: float, off: tuple[float, float, float]
) -> None:
    found = fluid(name)
    pressure = pressures_of(found, least, most)
    line = found.curve.temperature_k(pressure)
    kelvin = line + crowded(5) * (HOTTEST_K - line)
    assert_close(found.gas(pressure, kelvin), expected(name, CoolProp.iphase_gas, pressure, kelvin), off)


@every
@pytest.mark.parametrize(
    ("least", "most", "off"), [(0.0, FAR, AWAY_FROM_CRITICAL), (FAR, NEAR, TOWARDS_CRITICAL)]
)
def test_liquid_follows_coolprop_from_saturation_down(
    name: str, least: float, most: float, off: tuple[float, float, float]
) -> None:
    found = fluid(name)
    pressure = pressures_of(found, least, most)
    line = found.curve.temperature_k(pressure)
    coldest = found.curve.lowest_k if name == "R-744" else 180.0
    kelvin = line - crowded(6) * (line - coldest)
    assert_close(
        found.liquid(pressure, kelvin), expected(name, CoolProp.iphase_liquid, pressure, kelvin), off
    )


def test_transcritical_r744_follows_coolprop() -> None:
    found = fluid("R-744")
    random = np.random.default_rng(8)
    for low, high, off in ((75e5, 81e5, TOWARDS_CRITICAL), (81e5, 160e5, AWAY_FROM_CRITICAL)):
        pressure, kelvin = random.uniform(low, high, POINTS), random.uniform(273.15, 453.15, POINTS)
        state = found.gas(pressure, kelvin)
        assert np.isnan(state.quality).all()
        assert_close(state, expected("R-744", CoolProp.iphase_not_imposed, pressure, kelvin), off)


@every
def test_saturated_states_follow_coolprop(name: str) -> None:
    found = fluid(name)
    pressure = pressures_of(found, 0.0, 0.99)
    shift_h = 200e3 - PropsSI("H", "T", 273.15, "Q", 0, FLUIDS[name])
    shift_s = 1e3 - PropsSI("S", "T", 273.15, "Q", 0, FLUIDS[name])
    for quality, state in enumerate((found.saturated_liquid(pressure), found.saturated_vapour(pressure))):
        density, enthalpy, entropy = (
            PropsSI(key, "P", pressure, "Q", quality, FLUIDS[name]) for key in ("D", "H", "S")
        )
        assert_close(state, np.array([density, enthalpy + shift_h, entropy + shift_s]), (1e-6, 0.1, 1e-3))
        assert (state.quality == quality).all()
        np.testing.assert_allclose(state.temperature_k, found.curve.temperature_k(pressure), rtol=1e-12)


@every
def test_the_scale_of_enthalpy_and_entropy_begins_where_it_should(name: str) -> None:
    # Reference state of the International Institute of Refrigeration: 200 kJ/kg, 1 kJ/(kg K) at 0 °C.
    found = fluid(name)
    state = found.saturated_liquid(found.curve.pressure_pa(273.15))
    assert float(state.enthalpy_j_kg) == pytest.approx(200e3, abs=0.01)
    assert float(state.entropy_j_kg_k) == pytest.approx(1e3, abs=1e-4)


@every
def test_the_tables_are_what_the_generator_makes(name: str) -> None:
    arrays, facts = tabulate(name, FLUIDS[name])
    record = json.loads((DATA / "states.json").read_text("utf-8"))["tables"][name]
    assert record["equation_of_state"] == facts["equation_of_state"]
    assert record["ridge"] == pytest.approx(facts["ridge"], rel=1e-3)
    assert record["regions"].keys() == facts["regions"].keys()
    for kind, bounds in facts["regions"].items():
        for key, value in bounds.items():
            end = value if value is None else pytest.approx(value, rel=1e-9)
            assert record["regions"][kind][key] == end
    with np.load(DATA / f"states_{name}.npz") as shipped:
        assert set(shipped) == set(arrays)
        for kind, table in arrays.items():
            np.testing.assert_allclose(shipped[kind], table, rtol=1e-7, atol=1e-5)


@pytest.fixture
def ashrae_reference() -> Iterator[None]:
    """CoolProp with its process-wide reference state of R-134a moved; put back afterwards."""
    set_reference_state("R134a", "ASHRAE")
    yield
    set_reference_state("R134a", "IIR")


def test_another_reference_state_in_coolprop_moves_no_state_of_ours(ashrae_reference: None) -> None:
    assert PropsSI("H", "T", 273.15, "Q", 0, "R134a") == pytest.approx(51.86e3, abs=20.0)
    fluid.cache_clear()
    found = fluid("R-134a")
    assert float(found.saturated_liquid(292_803.0).enthalpy_j_kg) == pytest.approx(200e3, abs=10.0)


def test_tables_made_while_coolprop_counts_otherwise_are_the_same(ashrae_reference: None) -> None:
    arrays, _ = tabulate("R-134a", "R134a")
    with np.load(DATA / "states_R-134a.npz") as shipped:
        np.testing.assert_allclose(arrays["gas"], shipped["gas"], rtol=1e-7, atol=1e-5)


def test_states_are_answered_without_loading_coolprop_or_scipy() -> None:
    program = (
        "import sys\n"
        "from knowngood_refdata.states import fluid\n"
        "fluid('R-1234yf').at_entropy(1e6, 1.7e3)\n"
        "print('CoolProp' in sys.modules, 'scipy' in sys.modules)"
    )
    answer = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "False False"


def test_an_unknown_refrigerant_is_refused_with_the_known_ones() -> None:
    with pytest.raises(UnknownRefrigerant, match="R-134a, R-1234yf"):
        fluid("R-22")
