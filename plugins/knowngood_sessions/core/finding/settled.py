"""The settled values of steady stretches, each with its standard uncertainty and how it behaved."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.records import Estimate, Quantity
from knowngood_refdata.uncertainty import (
    combine,
    pressure_standard_uncertainty_pa,
    thermometer_standard_uncertainty_k,
)

from .trend import settled_mean

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from knowngood_refdata.records import Instruments
    from knowngood_refdata.refrigerants import SaturationCurve
    from knowngood_sessions.core.channels.derive import Derived

    from .steady import Stretch

    Means = Mapping[Quantity, tuple[float, float]]
    Array = NDArray[np.float64]


def part_of(derived: Derived, stretch: Stretch) -> slice:
    """The samples that lie in a stretch."""
    first = np.searchsorted(derived.time_s, stretch.start_s, side="left")
    last = np.searchsorted(derived.time_s, stretch.end_s, side="right")
    return slice(int(first), int(last))


def quantity_series(derived: Derived) -> dict[Quantity, Array]:
    """What is compared with known-good readings, sample by sample, (n,); without what is not there."""
    series = {
        Quantity.LOW_SIDE: derived.low_pa,
        Quantity.HIGH_SIDE: derived.high_pa,
        Quantity.SUPERHEAT: derived.superheat_k,
        Quantity.SUBCOOLING: derived.subcooling_k,
        Quantity.CONDENSING_ABOVE_AMBIENT: derived.condensing_above_ambient_k,
        Quantity.EVAPORATING: derived.evaporating_k,
        Quantity.VENT: derived.vent_k,
    }
    return {quantity: values for quantity, values in series.items() if values is not None}


def settled_means(derived: Derived, stretch: Stretch) -> Means:
    """Mean of each quantity over a stretch with its standard error, honest about autocorrelation.

    A quantity that has no samples, or no saturation temperature, is left out.
    """
    part = part_of(derived, stretch)
    means = {quantity: settled_mean(values[part]) for quantity, values in quantity_series(derived).items()}
    return {quantity: mean for quantity, mean in means.items() if np.isfinite(mean[0])}


def settled_values(
    means: Means, curve: SaturationCurve, instruments: Instruments
) -> dict[Quantity, Estimate]:
    """The means with their standard uncertainty: the instrument's part and the scatter's combined.

    The instrument's part is its limit of error taken as rectangular (see `knowngood_refdata.uncertainty`).
    """
    found = {}
    for quantity, (mean, scatter) in means.items():
        low, high = (
            np.array([means[side][0] if side in means else np.nan])
            for side in (Quantity.LOW_SIDE, Quantity.HIGH_SIDE)
        )
        part = float(instrument_part(quantity, low, high, curve, instruments)[0])
        found[quantity] = Estimate(mean, combine(part, scatter))
    return found


def instrument_part(
    quantity: Quantity, low_pa: Array, high_pa: Array, curve: SaturationCurve, instruments: Instruments
) -> Array:
    """Standard uncertainty from the instruments alone in the unit of the quantity, (k,).

    Parameters
    ----------
    low_pa, high_pa
        The sides at which the quantity was read, (k,), absolute. A saturation temperature takes over the
        gauge's uncertainty by dT/dp, and adds to that of the probe as a square (JCGM 100:2008, equation 10).
    """
    low = pressure_standard_uncertainty_pa(instruments.low)
    high = pressure_standard_uncertainty_pa(instruments.high)
    line = thermometer_standard_uncertainty_k(instruments.line)
    air = thermometer_standard_uncertainty_k(instruments.air)
    if quantity in {Quantity.LOW_SIDE, Quantity.HIGH_SIDE, Quantity.VENT}:
        plain = {Quantity.LOW_SIDE: low, Quantity.HIGH_SIDE: high, Quantity.VENT: air}[quantity]
        return np.full(low_pa.shape, plain)
    evaporating = curve.slope_k_per_pa(low_pa) * low
    condensing = curve.slope_k_per_pa(high_pa) * high
    parts = {
        Quantity.EVAPORATING: (evaporating, 0.0),
        Quantity.SUPERHEAT: (evaporating, line),
        Quantity.SUBCOOLING: (condensing, line),
        Quantity.CONDENSING_ABOVE_AMBIENT: (condensing, air),
    }
    return np.asarray(np.hypot(*parts[quantity]))
