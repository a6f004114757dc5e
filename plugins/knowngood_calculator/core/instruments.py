"""Gauges and probes to choose from, and which of them the uncertainty comes from."""

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
    from collections.abc import Mapping, Sequence

    from knowngood_refdata.propagation import Component
    from knowngood_refdata.refrigerants import SaturationCurve

DOMINATES = 0.75
"""A contribution dominates when it brings this share of the variance."""


EN_837_CLASSES = (0.1, 0.25, 0.6, 1.0, 1.6, 2.5, 4.0)
"""Accuracy classes of dial gauges in percent of the span: EN 837-1 (from memory)."""


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


def dial_gauge(class_percent: float, full_scale_pa: float) -> PressureInstrument:
    """A dial gauge of a class of EN 837-1 and a span of one's own.

    Raises
    ------
    ValueError
        When the standard has no such class, or the full scale is not above zero.

    >>> dial_gauge(1.6, 25e5).name
    'dial gauge, class 1.6'
    """
    if class_percent not in EN_837_CLASSES:
        known = ", ".join(f"{one:g}" for one in EN_837_CLASSES)
        raise ValueError(f"dial gauges have no class {class_percent:g}; the classes are {known}")
    _check_scale(full_scale_pa)
    return PressureInstrument(class_percent, full_scale_pa, f"dial gauge, class {class_percent:g}")


def digital_gauge(
    percent: float, full_scale_pa: float, digits: float = 0.0, step_pa: float = 0.0
) -> PressureInstrument:
    """A digital gauge: limit = percent of full scale + digits times the step of its display [Pa].

    The digits are written into the class, so that everything that takes a gauge takes this one.

    Raises
    ------
    ValueError
        When the full scale is not above zero or one of the others is negative.

    >>> from knowngood_refdata.uncertainty import pressure_limit_pa
    >>> round(pressure_limit_pa(digital_gauge(0.5, 50e5, digits=2, step_pa=1000.0)))
    27000
    """
    _check_scale(full_scale_pa)
    if min(percent, digits, step_pa) < 0.0:
        raise ValueError("the percentage, the digits and the step of a display are never negative")
    whole = percent + 100.0 * digits * step_pa / full_scale_pa
    name = f"digital, {percent:g} % of full scale"
    return PressureInstrument(whole, full_scale_pa, f"{name} and {digits:g} digits" if digits else name)


def what_dominates(parts: Sequence[Component], cures: Mapping[str, str]) -> str:
    """Where the uncertainty comes from and what would help, in words; empty without any.

    Parameters
    ----------
    parts
        Components of the variance by name.
    cures
        What makes the part of each name smaller, as a noun: "a better probe".

    >>> from knowngood_refdata.propagation import Component
    >>> parts = [Component("clamp", 1.0, 0.3, 0.1), Component("gauge", 1.0, 0.9, 0.9)]
    >>> what_dominates(parts, {"gauge": "a narrower span"})
    'uncertainty mostly from the gauge (90 %): a narrower span would help, nothing else would'
    """
    ordered = sorted((one for one in parts if one.share > 0.0), key=lambda one: one.share, reverse=True)
    if not ordered:
        return ""
    first = ordered[0]
    cure = cures.get(first.name, "")
    if first.share > DOMINATES:
        help_words = f": {cure} would help, nothing else would" if cure else ""
        return f"uncertainty mostly from the {first.name} ({100 * first.share:.0f} %){help_words}"
    second = ordered[1]
    help_words = f": {cure} would help most" if cure else ""
    return (
        f"uncertainty from the {first.name} ({100 * first.share:.0f} %) and the {second.name} "
        f"({100 * second.share:.0f} %){help_words}"
    )


def _check_scale(full_scale_pa: float) -> None:
    if not full_scale_pa > 0.0:
        raise ValueError(f"the full scale of a gauge is above zero, not {full_scale_pa:g} Pa")
