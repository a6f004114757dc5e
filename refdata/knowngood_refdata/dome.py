"""Saturated liquid and vapour of a refrigerant along its saturation curve, and what lies between them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.cubic import Line
    from knowngood_refdata.refrigerants import SaturationCurve

    Floats = NDArray[np.float64]
    Indices = NDArray[np.intp]

LIQUID_SIDE, WET, GAS_SIDE = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Dome:
    """The saturated states at places a = sqrt(ln(pc/p)) along the curve.

    Attributes
    ----------
    curve
        The saturation curve.
    line
        ln(density), enthalpy, entropy of liquid, then of vapour, at equal steps of a from 0.
    """

    curve: SaturationCurve
    line: Line

    def covers(self, pressure_pa: Floats) -> NDArray[np.bool_]:
        """Which pressures lie on the curve."""
        covered: NDArray[np.bool_] = (pressure_pa >= self.curve.lowest_pa) & (
            pressure_pa <= self.curve.critical_pa
        )
        return covered

    def edges(self, a: Floats) -> Floats:
        """Liquid and vapour at places a, shape (m, 2, 3)."""
        last = self.curve.deepest_place
        return self.line.at(a * (len(self.line.pieces) / last)).reshape(-1, 2, 3)

    def side(self, pressure_pa: Floats, a: Floats, quantity: int, wanted: Floats) -> Indices:
        """Whether a value of a quantity lies on the liquid's side, between, or on the gas's side.

        Above the critical pressure all is the gas's side; below the lowest too.
        """
        side = np.full(len(a), GAS_SIDE)
        where = np.flatnonzero(self.covers(pressure_pa))
        edge = self.edges(a[where])[:, :, quantity]
        sought = wanted[where]
        side[where] = np.where(sought < edge[:, 0], LIQUID_SIDE, np.where(sought > edge[:, 1], GAS_SIDE, WET))
        return side

    def mixture(self, a: Floats, quantity: int, wanted: Floats) -> tuple[Floats, Floats]:
        """Properties, shape (m, 3), and quality of the mixtures of liquid and vapour with wanted values.

        Volume, enthalpy and entropy of a mixture are those of its parts by their mass.
        """
        edge = self.edges(a)
        gap = edge[:, 1, quantity] - edge[:, 0, quantity]
        # At the critical point liquid and vapour are one, and any share is right.
        quality = np.divide(wanted - edge[:, 0, quantity], gap, out=np.zeros_like(a), where=gap > 0.0)
        edge[:, :, 0] = np.exp(-edge[:, :, 0])
        found = edge[:, 0] + quality[:, None] * (edge[:, 1] - edge[:, 0])
        found[:, 0] = -np.log(found[:, 0])
        found[:, quantity] = wanted
        return found, quality
