"""The settled values of a steady window, each with its standard uncertainty."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.records import Estimate, Quantity
from knowngood_refdata.uncertainty import (
    combine,
    pressure_standard_uncertainty_pa,
    subcooling_estimate,
    superheat_estimate,
    thermometer_standard_uncertainty_k,
)

from .trend import settled_mean

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood_refdata.records import Instruments
    from knowngood_refdata.refrigerants import SaturationCurve

    from .derive import Derived
    from .steady import Stretch

    Means = Mapping[Quantity, tuple[float, float]]


def part_of(derived: Derived, stretch: Stretch) -> slice:
    """The samples that lie in a stretch."""
    first = np.searchsorted(derived.time_s, stretch.start_s, side="left")
    last = np.searchsorted(derived.time_s, stretch.end_s, side="right")
    return slice(int(first), int(last))


def settled_means(derived: Derived, stretch: Stretch) -> Means:
    """Mean of each quantity over a stretch with its standard error, honest about autocorrelation.

    A quantity that has no samples, or no saturation temperature, is left out.
    """
    part = part_of(derived, stretch)
    series = {
        Quantity.LOW_SIDE: derived.low_pa,
        Quantity.HIGH_SIDE: derived.high_pa,
        Quantity.SUPERHEAT: derived.superheat_k,
        Quantity.SUBCOOLING: derived.subcooling_k,
        Quantity.CONDENSING_ABOVE_AMBIENT: derived.condensing_above_ambient_k,
        Quantity.EVAPORATING: derived.evaporating_k,
        Quantity.VENT: derived.vent_k,
    }
    means = {
        quantity: settled_mean(values[part]) for quantity, values in series.items() if values is not None
    }
    return {quantity: mean for quantity, mean in means.items() if np.isfinite(mean[0])}


def settled_values(
    means: Means, curve: SaturationCurve, instruments: Instruments
) -> dict[Quantity, Estimate]:
    """The means with their standard uncertainty: the instrument's part and the scatter's combined.

    The instrument's part is its limit of error taken as rectangular (see `knowngood_refdata.uncertainty`).
    """
    return {
        quantity: Estimate(mean, combine(_instrument_part(quantity, means, curve, instruments), scatter))
        for quantity, (mean, scatter) in means.items()
    }


def _instrument_part(
    quantity: Quantity, means: Means, curve: SaturationCurve, instruments: Instruments
) -> float:
    """Standard uncertainty from the instruments alone, in the unit of the quantity."""
    if quantity is Quantity.VENT:
        return thermometer_standard_uncertainty_k(instruments.air)
    if quantity is Quantity.LOW_SIDE:
        return pressure_standard_uncertainty_pa(instruments.low)
    if quantity is Quantity.HIGH_SIDE:
        return pressure_standard_uncertainty_pa(instruments.high)
    if quantity in {Quantity.SUPERHEAT, Quantity.EVAPORATING}:
        low_pa = means[Quantity.LOW_SIDE][0]
        if quantity is Quantity.EVAPORATING:
            return curve.slope_k_per_pa(low_pa) * pressure_standard_uncertainty_pa(instruments.low)
        line_k = means[Quantity.EVAPORATING][0] + means[Quantity.SUPERHEAT][0]
        return superheat_estimate(curve, low_pa, line_k, instruments).standard_uncertainty
    high_pa = means[Quantity.HIGH_SIDE][0]
    if quantity is Quantity.CONDENSING_ABOVE_AMBIENT:
        condensing = curve.slope_k_per_pa(high_pa) * pressure_standard_uncertainty_pa(instruments.high)
        return combine(condensing, thermometer_standard_uncertainty_k(instruments.air))
    line_k = curve.temperature_k(high_pa) - means[Quantity.SUBCOOLING][0]
    return subcooling_estimate(curve, high_pa, line_k, instruments).standard_uncertainty
