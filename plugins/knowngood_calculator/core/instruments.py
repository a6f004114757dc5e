"""Common gauge sets and probes to choose from, and which of the two the uncertainty comes from."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.records import PressureInstrument, Thermometer
from knowngood_refdata.uncertainty import (
    combine,
    pressure_standard_uncertainty_pa,
    thermometer_standard_uncertainty_k,
)

if TYPE_CHECKING:
    from knowngood_refdata.refrigerants import SaturationCurve

DOMINATES = 0.75
"""A contribution dominates when it brings this share of the variance."""


@dataclass(frozen=True, slots=True)
class GaugeSet:
    """A low side and a high side gauge that are sold together, named without their spans."""

    name: str
    low: PressureInstrument
    high: PressureInstrument


def _gauges(name: str, class_percent: float, low_pa: float, high_pa: float) -> GaugeSet:
    return GaugeSet(
        name,
        PressureInstrument(class_percent, low_pa, name),
        PressureInstrument(class_percent, high_pa, name),
    )


GAUGES = (
    _gauges("dial gauges, class 1.6", 1.6, 10e5, 35e5),
    _gauges("dial gauges, class 1.0", 1.0, 10e5, 35e5),
    _gauges("digital, 0.5 % of full scale", 0.5, 35e5, 50e5),
    _gauges("digital, 0.25 % of full scale", 0.25, 20e5, 50e5),
)
"""Classes: EN 837-1 (from memory). Which spans go together: common practice, no source."""

PROBES = (
    Thermometer(2.5, "type K, class 2"),
    Thermometer(1.5, "type K, class 1"),
    Thermometer(1.0, "type T, class 2"),
    Thermometer(0.5, "type T, class 1"),
)
"""Thermocouples with their limits of error near 0 to 100 °C: IEC 60584-1 (from memory)."""


def gauge_share(
    curve: SaturationCurve, pressure_pa: float, gauge: PressureInstrument, probe: Thermometer
) -> float:
    """Share of the gauge, 0 to 1, in the variance of a superheat or subcooling; NaN off the curve.

    Share = (slope u_gauge)² / ((slope u_gauge)² + u_probe²), with u the standard uncertainties and the
    slope of the saturation curve at the absolute pressure [Pa] (JCGM 100:2008, 5.1.2).

    >>> from knowngood_refdata.refrigerants import saturation
    >>> round(gauge_share(saturation("R-134a"), 3e5, GAUGES[0].low, PROBES[0]), 2)
    0.26
    """
    from_gauge = curve.slope_k_per_pa(pressure_pa) * pressure_standard_uncertainty_pa(gauge)
    total = combine(from_gauge, thermometer_standard_uncertainty_k(probe))
    return (from_gauge / total) ** 2 if total > 0.0 else math.nan


def dominating(
    curve: SaturationCurve, pressure_pa: float, gauge: PressureInstrument, probe: Thermometer
) -> str:
    """Which input brings most of the uncertainty, in words; empty off the curve."""
    share = gauge_share(curve, pressure_pa, gauge, probe)
    if math.isnan(share):
        return ""
    if share > DOMINATES:
        return f"uncertainty mostly from the gauge ({100 * share:.0f} %): a better clamp would not help"
    if share < 1.0 - DOMINATES:
        return f"uncertainty mostly from the clamp ({100 - 100 * share:.0f} %): a better gauge would not help"
    return f"uncertainty from gauge ({100 * share:.0f} %) and clamp ({100 - 100 * share:.0f} %)"
