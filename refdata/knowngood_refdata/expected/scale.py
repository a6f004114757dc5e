"""From the numbers that are modelled to those that are shown, and back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.refrigerants import SaturationCurve


@dataclass(frozen=True, slots=True)
class Scale:
    """``origin`` is added to what is modelled; a pressure lies on ``curve`` at the sum, its temperature [K].

    For the high side the origin includes today's ambient.
    """

    origin: float
    curve: SaturationCurve | None = None

    def shown(self, modelled: NDArray[np.float64]) -> NDArray[np.float64]:
        """Values as they are shown (n,); beyond the ends of the curve the end."""
        value = modelled + self.origin
        if self.curve is None:
            return value
        inside = np.clip(value, self.curve.lowest_k, self.curve.critical_k)
        return np.asarray(self.curve.pressure_pa(inside))

    def inside(self, shown: float) -> float:
        """A shown value as it is modelled; pressures off the curve count as its end."""
        if self.curve is None:
            return shown - self.origin
        pressure = min(max(shown, self.curve.lowest_pa), self.curve.critical_pa)
        return float(self.curve.temperature_k(pressure)) - self.origin

    def uncertainty(self, shown: float) -> float:
        """A small standard uncertainty in the unit of what is modelled."""
        if self.curve is None:
            return shown
        at = float(self.shown(np.zeros(1))[0])
        return shown * float(np.nan_to_num(self.curve.slope_k_per_pa(at)))


PRESSURES = (Quantity.LOW_SIDE, Quantity.HIGH_SIDE)
