"""From the class of an instrument to the uncertainty of superheat and subcooling.

A class is a limit of error. Without further knowledge any error inside the limit is equally likely, so the
standard uncertainty is limit/√3 (JCGM 100:2008, 4.3.7). Independent contributions add as squares
(JCGM 100:2008, 5.1.2).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from knowngood_refdata.records import Estimate
from knowngood_refdata.refrigerants import subcooling_k, superheat_k

if TYPE_CHECKING:
    from knowngood_refdata.records import Instruments, PressureInstrument, Thermometer
    from knowngood_refdata.refrigerants import SaturationCurve


def pressure_limit_pa(instrument: PressureInstrument) -> float:
    """Limit of error [Pa]: the class in percent of full scale (EN 837-1).

    >>> from knowngood_refdata.records import PressureInstrument
    >>> round(pressure_limit_pa(PressureInstrument(1.6, 10e5)))
    16000
    """
    return instrument.class_percent / 100.0 * instrument.full_scale_pa


def pressure_standard_uncertainty_pa(instrument: PressureInstrument) -> float:
    """Standard uncertainty [Pa] of one pressure reading."""
    return pressure_limit_pa(instrument) / math.sqrt(3.0)


def thermometer_standard_uncertainty_k(thermometer: Thermometer) -> float:
    """Standard uncertainty [K] of one temperature reading, without any clamp bias."""
    return thermometer.limit_k / math.sqrt(3.0)


def combine(*standard_uncertainties: float) -> float:
    """Standard uncertainty of a sum of independent contributions.

    >>> combine(3.0, 4.0)
    5.0
    """
    return math.hypot(*standard_uncertainties)


def superheat_estimate(
    curve: SaturationCurve, low_pa: float, line_k: float, instruments: Instruments
) -> Estimate:
    """Superheat [K] with the standard uncertainty that the low side gauge and the line probe give it.

    ``low_pa`` is absolute [Pa], ``line_k`` the suction line [K]; both are NaN-safe: off the curve the
    value and its uncertainty are NaN.
    """
    from_pressure = curve.slope_k_per_pa(low_pa) * pressure_standard_uncertainty_pa(instruments.low)
    from_line = thermometer_standard_uncertainty_k(instruments.line)
    return Estimate(superheat_k(curve, low_pa, line_k), combine(from_pressure, from_line))


def subcooling_estimate(
    curve: SaturationCurve, high_pa: float, line_k: float, instruments: Instruments
) -> Estimate:
    """Subcooling [K] with the standard uncertainty that the high side gauge and the line probe give it.

    ``high_pa`` is absolute [Pa], ``line_k`` the liquid line [K].
    """
    from_pressure = curve.slope_k_per_pa(high_pa) * pressure_standard_uncertainty_pa(instruments.high)
    from_line = thermometer_standard_uncertainty_k(instruments.line)
    return Estimate(subcooling_k(curve, high_pa, line_k), combine(from_pressure, from_line))


def clamp_bias_k(seen: float, pipe_k: float, air_k: float) -> float:
    """One-sided error [K] of a clamp that sees a fraction ``seen`` of the air around the pipe.

    The clamp reads pipe + seen (air - pipe): in a warm engine bay superheat is read too high and subcooling
    too low, and both then mimic undercharge. A bias is no uncertainty: it has a sign.

    >>> round(clamp_bias_k(0.05, 281.15, 333.15), 1)
    2.6
    """
    return seen * (air_k - pipe_k)
