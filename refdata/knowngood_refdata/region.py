"""One tabulated stretch of single-phase states of a refrigerant, between two temperatures over pressures.

The table's rows lie at equal steps of a = sqrt(|ln(pc/p)|), in which the properties along the saturation
line are smooth up to the critical point. Along a row the temperature follows

    T = ridge + width(a) sinh(z),   width(a) = 0.1 Tc (a² + 0.1²)^1.5

with z in equal steps between the row's ends. The ridge is the saturation temperature, or above the critical
pressure the temperature of the largest heat capacity. Near the critical point properties change over a
width that shrinks as the 1.5th power of the distance in pressure, as for every van der Waals-like fluid; the
step along the row shrinks with it, and twice sixty nodes do where an even grid would need thousands.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from knowngood_refdata.cubic import Surface

    Floats = NDArray[np.float64]

DENSITY, ENTHALPY, ENTROPY = 0, 1, 2
"""The quantities of a table: ln(density [kg/m³]), enthalpy [J/kg], entropy [J/(kg K)]."""

ROUNDING = 1e-9
TOUCHING_K = 1e-6
"""What lies beyond the end of a row by no more than this is taken for the end."""

SHARPNESS = 0.1
SOFTENING = 0.1


def width_k(a: Floats, critical_k: float) -> Floats:
    """The scale of temperature [K] on which a row at a is stepped, shape of a."""
    width: Floats = SHARPNESS * critical_k * (a * a + SOFTENING**2) ** 1.5
    return width


@dataclass(frozen=True, slots=True)
class Bounds:
    """Where a region lies.

    Attributes
    ----------
    critical_k, critical_pa
        The critical point of the refrigerant.
    above
        Whether the region lies above the critical pressure.
    first, last
        Its pressures, as a = sqrt(|ln(pc/p)|).
    coldest_k, hottest_k
        Ends of every row; None where the row ends at the saturation line.
    valid_k
        Below this the row's states are no real ones: the refrigerant would be solid.
    """

    critical_k: float
    critical_pa: float
    above: bool
    first: float
    last: float
    coldest_k: float | None
    hottest_k: float | None
    valid_k: float = 0.0

    def spread(self, a: Floats, ridge_k: Floats) -> tuple[Floats, Floats, Floats]:
        """Width [K], and z at the cold and at the hot end of rows at a with their ridges [K]."""
        width = width_k(a, self.critical_k)
        cold, hot = (
            np.zeros_like(a) if end is None else np.arcsinh((end - ridge_k) / width)
            for end in (self.coldest_k, self.hottest_k)
        )
        return width, cold, hot

    def covers(self, pressure_pa: Floats, a: Floats) -> NDArray[np.bool_]:
        """Which pressures are tabulated."""
        side = pressure_pa > self.critical_pa if self.above else pressure_pa <= self.critical_pa
        covered: NDArray[np.bool_] = (
            side & (a >= self.first * (1.0 - ROUNDING)) & (a <= self.last * (1.0 + ROUNDING))
        )
        return covered

    def reaches(self, ridge_k: Floats, temperature_k: Floats) -> NDArray[np.bool_]:
        """Which temperatures lie on rows with these ridges."""
        coldest = ridge_k if self.coldest_k is None else max(self.coldest_k, self.valid_k)
        hottest = ridge_k if self.hottest_k is None else self.hottest_k
        reached: NDArray[np.bool_] = (temperature_k >= coldest - TOUCHING_K) & (
            temperature_k <= hottest + TOUCHING_K
        )
        return reached


@dataclass(frozen=True, slots=True)
class Region:
    """The table itself.

    Attributes
    ----------
    bounds
        Where it lies.
    ridge
        The ridge's temperatures [K] at places a.
    surface
        `DENSITY`, `ENTHALPY` and `ENTROPY` at the nodes.
    """

    bounds: Bounds
    ridge: Callable[[Floats], Floats]
    surface: Surface

    def at_temperature(self, a: Floats, temperature_k: Floats) -> Floats:
        """Properties, shape (m, 3), at places a and temperatures [K]; NaN beyond the ends of a row."""
        ridge_k = self.ridge(a)
        width, cold, hot = self.bounds.spread(a, ridge_k)
        share = (np.arcsinh((temperature_k - ridge_k) / width) - cold) / (hot - cold)
        columns = self.surface.values.shape[2] - 1
        found = self.surface.at(self._row(a), np.minimum(np.maximum(share, 0.0), 1.0) * columns)
        found[~self.bounds.reaches(ridge_k, temperature_k)] = np.nan
        return found

    def at_quantity(self, a: Floats, quantity: int, wanted: Floats) -> tuple[Floats, Floats]:
        """Temperatures [K], shape (m,), and properties, shape (m, 3), where a quantity has wanted values.

        NaN beyond the ends of a row, but for the saturation line: what lies beyond that, by the little by
        which two tables differ, is taken for saturated.
        """
        ridge_k, row = self.ridge(a), self._row(a)
        column, beyond = self.surface.solve(row, quantity, wanted)
        width, cold, hot = self.bounds.spread(a, ridge_k)
        share = column / (self.surface.values.shape[2] - 1)
        temperature = ridge_k + width * np.sinh(cold + share * (hot - cold))
        found = self.surface.at(row, column)
        found[:, quantity] = wanted
        outside = self._outside(beyond, ROUNDING * np.abs(wanted))
        outside |= temperature < self.bounds.valid_k - TOUCHING_K
        temperature[outside], found[outside] = np.nan, np.nan
        return temperature, found

    def _outside(self, beyond: Floats, slack: Floats) -> NDArray[np.bool_]:
        outside = np.zeros(len(beyond), dtype=np.bool_)
        if self.bounds.coldest_k is not None:
            outside |= beyond < -slack
        if self.bounds.hottest_k is not None:
            outside |= beyond > slack
        return outside

    def _row(self, a: Floats) -> Floats:
        bounds = self.bounds
        row: Floats = (a - bounds.first) * ((self.surface.values.shape[1] - 1) / (bounds.last - bounds.first))
        return row
