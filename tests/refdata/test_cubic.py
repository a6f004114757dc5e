"""The splines of the property tables, on functions of which the answer is known."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.cubic import Line, Surface, slope_matrix

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

GRID_X, GRID_Y = np.arange(7.0), np.arange(9.0)


def cubic(x: Floats, y: Floats) -> Floats:
    """Third degree both ways: a spline through its values is the function itself."""
    return (1.0 + 0.3 * x - 0.02 * x**3) * (2.0 + y + 0.05 * y**3)


def rising(x: Floats, y: Floats) -> Floats:
    return 10.0 * x + np.exp(0.3 * y) + y


SURFACE = Surface.through(np.array([f(GRID_X[:, None], GRID_Y[None, :]) for f in (cubic, rising)]))
x_places, y_places = st.floats(0.0, 6.0), st.floats(0.0, 8.0)


@given(x=x_places, y=y_places)
def test_a_cubic_in_both_directions_is_given_back_exactly(x: float, y: float) -> None:
    at = np.array([x]), np.array([y])
    assert SURFACE.at(*at)[0, 0] == pytest.approx(cubic(*at)[0], rel=1e-12, abs=1e-11)


def test_a_finer_grid_errs_with_the_fourth_power_of_its_step() -> None:
    places = np.linspace(0.0, 1.0, 997)
    worst = []
    for nodes in (21, 41):
        line = Line.through(np.sin(5.0 * np.linspace(0.0, 1.0, nodes))[:, None])
        worst.append(np.abs(line.at(places * (nodes - 1))[:, 0] - np.sin(5.0 * places)).max())
    assert 10.0 < worst[0] / worst[1] < 24.0


@given(x=x_places, y=y_places)
def test_the_place_of_a_value_is_found_again(x: float, y: float) -> None:
    value = SURFACE.at(np.array([x]), np.array([y]))[:, 1]
    found, beyond = SURFACE.solve(np.array([x]), 1, value)
    assert found[0] == pytest.approx(y, abs=1e-9)
    assert beyond[0] == pytest.approx(0.0, abs=1e-9)


def test_beyond_the_ends_of_a_row_the_nearer_end_and_the_distance_are_answered() -> None:
    at = np.array([2.5, 2.5])
    ends = SURFACE.at(at, np.array([0.0, 8.0]))[:, 1]
    found, beyond = SURFACE.solve(at, 1, ends + np.array([-3.0, 4.0]))
    np.testing.assert_allclose(found, [0.0, 8.0], atol=1e-12)
    np.testing.assert_allclose(beyond, [-3.0, 4.0], atol=1e-9)


def test_slopes_at_nodes_are_exact_for_a_cubic() -> None:
    np.testing.assert_allclose(slope_matrix(9) @ GRID_Y**3, 3.0 * GRID_Y**2, atol=1e-9)
