"""What the calculator answers: pure functions in SI, absolute pressures, words where no number belongs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import Instruments, PressureInstrument, Thermometer
from knowngood_refdata.uncertainty import (
    combine,
    pressure_standard_uncertainty_pa,
    subcooling_estimate,
    superheat_estimate,
    thermometer_standard_uncertainty_k,
)

if TYPE_CHECKING:
    from knowngood_refdata.records import Estimate
    from knowngood_refdata.refrigerants import SaturationCurve

GAUGES = {
    "dial gauges class 1.6 (10 and 35 bar)": (PressureInstrument(1.6, 10e5), PressureInstrument(1.6, 35e5)),
    "dial gauges class 1.0 (10 and 35 bar)": (PressureInstrument(1.0, 10e5), PressureInstrument(1.0, 35e5)),
    "digital, 0.5 % of full scale (35 and 50 bar)": (
        PressureInstrument(0.5, 35e5),
        PressureInstrument(0.5, 50e5),
    ),
    "digital, 0.25 % of full scale (20 and 50 bar)": (
        PressureInstrument(0.25, 20e5),
        PressureInstrument(0.25, 50e5),
    ),
}
"""Common sets, low side and high side; classes after EN 837-1, spans common practice, no source."""

PROBES = {
    "type K class 2 (± 2.5 °C)": Thermometer(2.5),
    "type K class 1 (± 1.5 °C)": Thermometer(1.5),
    "type T class 2 (± 1.0 °C)": Thermometer(1.0),
    "type T class 1 (± 0.5 °C)": Thermometer(0.5),
}
"""Thermocouples with their limits of error near 0 to 100 °C, IEC 60584-1."""


@dataclass(frozen=True, slots=True)
class Answer:
    """A number with what it rests on, or words that say why there is none.

    Attributes
    ----------
    value
        In SI; None when `words` alone answer.
    standard_uncertainty
        In SI, None when not asked for.
    words
        A remark; the whole answer when ``value`` is None.
    """

    value: float | None
    standard_uncertainty: float | None = None
    words: str = ""


def saturation_temperature(curve: SaturationCurve, pressure_pa: float) -> Answer:
    """Saturation temperature [K] at an absolute pressure [Pa].

    >>> from knowngood_refdata.refrigerants import saturation
    >>> saturation_temperature(saturation("R-134a"), 5e6).value is None
    True
    """
    why = curve.why_none(pressure_pa)
    return Answer(None, words=why) if why else Answer(curve.temperature_k(pressure_pa))


def saturation_pressure(curve: SaturationCurve, temperature_k: float) -> Answer:
    """Saturation pressure [Pa, absolute] at a temperature [K].

    Tillner-Roth and Baehr 1994, table 8: 0.70282 MPa at 300 K.

    >>> from knowngood_refdata.refrigerants import saturation
    >>> round(saturation_pressure(saturation("R-134a"), 300.0).value)
    702821
    """
    if temperature_k <= 0.0:
        return Answer(None, words="no temperature lies below absolute zero")
    if temperature_k > curve.critical_k:
        return Answer(
            None,
            words=f"above the critical temperature of {curve.name} "
            f"({curve.critical_k - ZERO_CELSIUS_K:.1f} °C) there is no saturation pressure",
        )
    if temperature_k < curve.lowest_k:
        return Answer(
            None, words=f"below {curve.lowest_k - ZERO_CELSIUS_K:.0f} °C the curve is not tabulated"
        )
    return Answer(curve.pressure_pa(temperature_k))


def superheat(curve: SaturationCurve, low_pa: float, line_k: float, instruments: Instruments) -> Answer:
    """Superheat [K] of the suction line with its standard uncertainty, and a remark where it is needed.

    Çengel and Boles, Thermodynamics, 5th edition, example 11-2: 0.14 MPa, -10 °C give 8.76 K (computed from
    the example's data).

    >>> from knowngood_refdata.refrigerants import saturation
    >>> round(superheat(saturation("R-134a"), 0.14e6, 263.15, Instruments()).value, 2)
    8.76
    """
    why = curve.why_none(low_pa)
    if why:
        return Answer(None, words=why)
    found = superheat_estimate(curve, low_pa, line_k, instruments)
    words = ""
    if found.value < -2.0 * found.standard_uncertainty:
        words = (
            "colder than the evaporating temperature: check clamp and pressure port; "
            "this is no superheat to believe"
        )
    elif found.value < 0.0:
        words = "zero within the uncertainty: liquid may reach the suction line"
    elif found.value > 13.0:
        words = "normal at the compressor inlet behind an internal heat exchanger, high without one"
    return _answered(found, words)


def subcooling(curve: SaturationCurve, high_pa: float, line_k: float, instruments: Instruments) -> Answer:
    """Subcooling [K] of the liquid line with its standard uncertainty, and a remark where it is needed.

    Çengel and Boles, Thermodynamics, 5th edition, example 11-2: 0.72 MPa, 26 °C give 1.67 K (computed from
    the example's data).

    >>> from knowngood_refdata.refrigerants import saturation
    >>> round(subcooling(saturation("R-134a"), 0.72e6, 299.15, Instruments()).value, 2)
    1.67
    """
    why = curve.why_none(high_pa)
    if why:
        return Answer(None, words=why)
    found = subcooling_estimate(curve, high_pa, line_k, instruments)
    words = ""
    if found.value < -2.0 * found.standard_uncertainty:
        words = "negative: two-phase at this place, or a wrong clamp or port; not a number to believe"
    elif found.value < 0.0:
        words = "zero within the uncertainty: liquid and vapour may leave the condenser together"
    return _answered(found, words)


def sides_in_order(low_pa: float | None, high_pa: float | None) -> str:
    """A remark when the low side does not lie below the high side; empty when it does or one is missing."""
    if low_pa is None or high_pa is None or low_pa < high_pa:
        return ""
    if math.isclose(low_pa, high_pa, rel_tol=0.02):
        return "both sides are level: the compressor is off line, or not pumping"
    return "the low side lies above the high side: the hoses or the fields are swapped"


def dominating(
    curve: SaturationCurve, pressure_pa: float, instrument: PressureInstrument, line: Thermometer
) -> str:
    """Which input the uncertainty comes from most, in words; empty off the curve.

    A contribution dominates when it brings three quarters of the variance (JCGM 100:2008, 5.1.2).
    """
    slope = curve.slope_k_per_pa(pressure_pa)
    if math.isnan(slope):
        return ""
    from_gauge = slope * pressure_standard_uncertainty_pa(instrument)
    from_probe = thermometer_standard_uncertainty_k(line)
    share = (from_gauge / combine(from_gauge, from_probe)) ** 2
    if share > 0.75:
        return f"mostly from the gauge ({100 * share:.0f} %)"
    if share < 0.25:
        return f"mostly from the clamp ({100 * (1 - share):.0f} %)"
    return f"from gauge ({100 * share:.0f} %) and clamp ({100 * (1 - share):.0f} %)"


def _answered(found: Estimate, words: str) -> Answer:
    return Answer(found.value, found.standard_uncertainty, words)
