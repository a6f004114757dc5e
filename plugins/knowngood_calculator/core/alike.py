"""Where two refrigerants have the same saturation pressure, and where gauges could tell them apart."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.uncertainty import (
    pressure_standard_uncertainty_pa,
    thermometer_standard_uncertainty_k,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.records import PressureInstrument, Thermometer
    from knowngood_refdata.refrigerants import SaturationCurve

COVERAGE = 2.0
"""A difference counts from this many standard uncertainties on (about 95 %, JCGM 100:2008, 6.3.3)."""

COLDEST_K, WARMEST_K = 263.15, 333.15
"""Temperatures of cars at rest, -10 to 60 °C (common practice, no source)."""

ONLY_AN_IDENTIFIER = "only an identifier tells which refrigerant is inside"


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where two saturation curves meet [K; Pa, absolute]."""

    temperature_k: float
    pressure_pa: float


@dataclass(frozen=True, slots=True)
class Apart:
    """Whether a pressure at rest could tell two refrigerants apart.

    Attributes
    ----------
    difference_pa
        Saturation pressure of the first less that of the second; NaN off a curve.
    needed_pa
        How large it must be to count: two standard uncertainties of gauge and thermometer.
    apart
        Whether it is.
    ranges_k
        Temperatures [K] of cars at rest, from and to, at which it would be.
    """

    difference_pa: float
    needed_pa: float
    apart: bool
    ranges_k: tuple[tuple[float, float], ...]
    words: str


def crossings(first: SaturationCurve, second: SaturationCurve) -> tuple[Crossing, ...]:
    """Where two saturation curves meet, the coldest first; empty when they never do.

    R-134a and R-1234yf near 41 °C, by interpolation between their pressures at 40 and 45 °C
    (CoolProp 8.0).

    >>> from knowngood_refdata.refrigerants import saturation
    >>> [round(one.temperature_k - 273.15) for one in crossings(saturation("R-134a"), saturation("R-1234yf"))]
    [41]
    """
    lowest_k, highest_k = max(first.lowest_k, second.lowest_k), min(first.critical_k, second.critical_k)
    if lowest_k >= highest_k:
        return ()
    temperature_k = np.linspace(lowest_k, highest_k, 512)
    above = first.pressure_pa(temperature_k) > second.pressure_pa(temperature_k)
    changes = np.flatnonzero(above[1:] != above[:-1])
    return tuple(
        _bisect(first, second, float(temperature_k[i]), float(temperature_k[i + 1])) for i in changes
    )


def tell_apart(
    first: SaturationCurve,
    second: SaturationCurve,
    temperature_k: float,
    gauge: PressureInstrument,
    probe: Thermometer,
) -> Apart:
    """Whether a gauge and a thermometer could tell two pure refrigerants apart at rest, and where else.

    |p1 - p2| against 2 √(u_gauge² + (dp/dT u_probe)²), with the steeper of the two slopes (JCGM 100:2008,
    equation 10). Even where they could, a mixture or air may look like either.

    >>> from knowngood_refdata.records import PressureInstrument, Thermometer
    >>> from knowngood_refdata.refrigerants import saturation
    >>> fine = PressureInstrument(0.1, 20e5), Thermometer(0.2)
    >>> found = tell_apart(saturation("R-134a"), saturation("R-1234yf"), 314.15, *fine)
    >>> found.apart, [[round(end - 273.15) for end in one] for one in found.ranges_k]
    (False, [[-10, 36], [46, 60]])
    """
    here = np.array([temperature_k])
    difference_pa, needed_pa = _difference(first, second, here, gauge, probe)
    apart = bool(abs(difference_pa[0]) > needed_pa[0])
    grid_k = np.linspace(COLDEST_K, WARMEST_K, 141)
    differences_pa, limits_pa = _difference(first, second, grid_k, gauge, probe)
    ranges_k = _ranges(grid_k, np.abs(differences_pa) > limits_pa)
    words = _words(float(difference_pa[0]), apart=apart, anywhere=bool(ranges_k))
    return Apart(float(difference_pa[0]), float(needed_pa[0]), apart, ranges_k, words)


def _difference(
    first: SaturationCurve,
    second: SaturationCurve,
    temperature_k: NDArray[np.float64],
    gauge: PressureInstrument,
    probe: Thermometer,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    pressures_pa = first.pressure_pa(temperature_k), second.pressure_pa(temperature_k)
    flatter = np.minimum(first.slope_k_per_pa(pressures_pa[0]), second.slope_k_per_pa(pressures_pa[1]))
    from_probe = thermometer_standard_uncertainty_k(probe) / flatter
    needed_pa = COVERAGE * np.hypot(pressure_standard_uncertainty_pa(gauge), from_probe)
    return pressures_pa[0] - pressures_pa[1], needed_pa


def _ranges(temperature_k: NDArray[np.float64], apart: NDArray[np.bool_]) -> tuple[tuple[float, float], ...]:
    """Stretches of a grid in which the flag stands, each with its first and last temperature."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], apart, [False])).astype(np.int8)))
    return tuple(
        (float(temperature_k[start]), float(temperature_k[stop - 1]))
        for start, stop in zip(edges[::2], edges[1::2], strict=True)
    )


def _bisect(first: SaturationCurve, second: SaturationCurve, low_k: float, high_k: float) -> Crossing:
    above_at_low = first.pressure_pa(low_k) > second.pressure_pa(low_k)
    while high_k - low_k > 1e-6:
        middle_k = (low_k + high_k) / 2.0
        same_side = (first.pressure_pa(middle_k) > second.pressure_pa(middle_k)) == above_at_low
        low_k, high_k = (middle_k, high_k) if same_side else (low_k, middle_k)
    return Crossing(low_k, first.pressure_pa(low_k))


def _words(difference_pa: float, *, apart: bool, anywhere: bool) -> str:
    if math.isnan(difference_pa):
        return "one of the two has no saturation pressure at this temperature"
    if apart:
        return (
            "pure, their pressures differ by more than the uncertainty here; a mixture or air hides it: "
            f"{ONLY_AN_IDENTIFIER}"
        )
    if anywhere:
        return f"at this temperature these instruments cannot tell them apart: {ONLY_AN_IDENTIFIER}"
    return f"at no usual temperature could these instruments tell them apart: {ONLY_AN_IDENTIFIER}"
