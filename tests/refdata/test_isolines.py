"""The lines of the pressure-enthalpy diagram against CoolProp, point by point."""

from __future__ import annotations

import math
import subprocess
import sys
from typing import TYPE_CHECKING

import CoolProp
import numpy as np
import pytest

from knowngood_refdata.generate_isolines import UNIT_SETS, trace
from knowngood_refdata.generate_saturation import FLUIDS
from knowngood_refdata.isolines import DiagramLines, TracedLine, lines
from knowngood_refdata.refrigerants import DATA, REFRIGERANTS, UnknownRefrigerant, saturation
from knowngood_refdata.states import fluid

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from knowngood_refdata.isolines import Values

every = pytest.mark.parametrize("name", REFRIGERANTS)
both = pytest.mark.parametrize("values", UNIT_SETS)
LB_PER_FT3 = 16.01846337396014
BTU_PER_LB_R = 4186.8


def families(drawn: DiagramLines) -> dict[str, tuple[TracedLine, ...]]:
    return {
        "temperature": drawn.isotherms,
        "entropy": drawn.isentropes,
        "density": drawn.isochores,
        "quality": drawn.qualities,
    }


def some_points(line: TracedLine) -> Iterator[tuple[float, float]]:
    """Points next to either end and two between."""
    count = len(line.enthalpy_j_kg)
    for index in sorted({1, count // 3, 2 * count // 3, count - 2} & set(range(count))):
        yield float(line.enthalpy_j_kg[index]), float(line.pressure_pa[index])


@every
@both
def test_along_a_line_coolprop_finds_what_is_said_to_be_constant(name: str, values: Values) -> None:
    state = CoolProp.AbstractState("HEOS", FLUIDS[name])
    state.update(CoolProp.QT_INPUTS, 0.0, 273.15)
    enthalpy_shift, entropy_shift = 200e3 - state.hmass(), 1e3 - state.smass()
    reads: dict[str, tuple[Callable[[], float], float]] = {
        "temperature": (state.T, 0.02),
        "entropy": (lambda: state.smass() + entropy_shift, 0.01),
        "density": (state.rhomass, 0.3),
        "quality": (state.Q, 2e-5),
    }
    for kind, family in families(lines(name, values)).items():
        read, most = reads[kind]
        assert len(family) >= 6, kind
        for line in family:
            for enthalpy, pressure in some_points(line):
                state.update(CoolProp.HmassP_INPUTS, enthalpy - enthalpy_shift, pressure)
                assert read() == pytest.approx(line.value, abs=most, rel=3e-4), (kind, enthalpy, pressure)


@every
@both
def test_the_dome_goes_over_the_critical_point_and_along_the_saturated_states(
    name: str, values: Values
) -> None:
    found, dome = fluid(name), lines(name, values).dome
    top = int(np.argmax(dome.pressure_pa))
    assert math.isnan(dome.value)
    assert dome.pressure_pa[top] == pytest.approx(saturation(name).critical_pa, rel=1e-6)
    assert (np.diff(dome.pressure_pa[: top + 1]) > 0).all()
    assert (np.diff(dome.pressure_pa[top:]) < 0).all()
    left = found.saturated_liquid(dome.pressure_pa[1:top]).enthalpy_j_kg
    right = found.saturated_vapour(dome.pressure_pa[top + 1 : -1]).enthalpy_j_kg
    np.testing.assert_allclose(dome.enthalpy_j_kg[1:top], left, atol=60.0)
    np.testing.assert_allclose(dome.enthalpy_j_kg[top + 1 : -1], right, atol=60.0)


@every
def test_values_are_round_in_si_units(name: str) -> None:
    drawn = lines(name, "si")
    celsius = [line.value - 273.15 for line in drawn.isotherms]
    assert celsius == pytest.approx([20.0 * round(value / 20.0) for value in celsius])
    kilojoule = [line.value / 100.0 for line in drawn.isentropes]
    assert kilojoule == pytest.approx([round(value) for value in kilojoule])
    assert all(_leading(line.value) in (1, 2, 5) for line in drawn.isochores)


@every
def test_values_are_round_in_us_units(name: str) -> None:
    drawn = lines(name, "us")
    fahrenheit = [(line.value - 273.15) * 1.8 + 32.0 for line in drawn.isotherms]
    assert fahrenheit == pytest.approx([40.0 * round(value / 40.0) for value in fahrenheit], abs=1e-9)
    btu = [line.value / BTU_PER_LB_R / 0.02 for line in drawn.isentropes]
    assert btu == pytest.approx([round(value) for value in btu])
    assert all(_leading(line.value / LB_PER_FT3) in (1, 2, 5) for line in drawn.isochores)


def _leading(value: float) -> int:
    """The one digit of a round number; 0 when there are more."""
    share = value / 10.0 ** math.floor(math.log10(value) + 1e-9)
    return round(share) if abs(share - round(share)) < 1e-6 else 0


@every
@both
def test_lines_stay_in_the_window_but_for_one_point_at_either_end(name: str, values: Values) -> None:
    drawn = lines(name, values)
    window = drawn.window
    for family in families(drawn).values():
        assert [line.value for line in family] == sorted(line.value for line in family)
        for line in family:
            inner = slice(1, -1)
            assert line.enthalpy_j_kg.shape == line.pressure_pa.shape
            assert len(line.enthalpy_j_kg) >= 2
            assert (line.pressure_pa[inner] >= window.lowest_pa * 0.999999).all()
            assert (line.pressure_pa[inner] <= window.highest_pa * 1.000001).all()
            assert (line.enthalpy_j_kg[inner] >= window.least_j_kg).all()
            assert (line.enthalpy_j_kg[inner] <= window.most_j_kg).all()


def test_the_window_reaches_the_gas_cooler_of_r744_and_above_the_dome_of_the_others() -> None:
    for name in REFRIGERANTS:
        window, curve = lines(name, "si").window, saturation(name)
        assert window.lowest_pa == pytest.approx(curve.pressure_pa(228.15))
        assert window.highest_pa == pytest.approx(150e5 if name == "R-744" else 1.3 * curve.critical_pa)


def test_the_shipped_lines_are_what_the_generator_traces() -> None:
    made = trace("R-152a", FLUIDS["R-152a"], "us")
    with np.load(DATA / "isolines_R-152a_us.npz") as shipped:
        assert set(shipped) == set(made)
        for key, array in made.items():
            np.testing.assert_allclose(shipped[key], array, rtol=1e-6)


def test_lines_are_answered_without_loading_coolprop_or_scipy() -> None:
    program = (
        "import sys\n"
        "from knowngood_refdata.isolines import lines\n"
        "lines('R-744', 'si')\n"
        "print('CoolProp' in sys.modules, 'scipy' in sys.modules)"
    )
    answer = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "False False"


def test_an_unknown_refrigerant_is_refused_with_the_known_ones() -> None:
    with pytest.raises(UnknownRefrigerant, match="R-134a, R-1234yf"):
        lines("R-22", "si")
