"""From the class of an instrument to the uncertainty of superheat and subcooling.

A class is a limit of error. Without further knowledge any error inside the limit is equally likely, so the
standard uncertainty is limit/√3 (JCGM 100:2008, 4.3.7). Independent contributions add as squares
(JCGM 100:2008, 5.1.2).

The bias of a clamp is not among them. A probe on a pipe in warm air reads too warm and never too cold, so
it cannot be added as a square: it is a correction with a sign, see `clamp_bias_k`.
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

    u² = (dT/dp · u(p))² + u(line)², JCGM 100:2008, equation 10. The bias of a clamp in warm air is left
    out: it makes superheat look larger, never smaller.

    Parameters
    ----------
    low_pa
        Low side [Pa, absolute]; off the curve both the value and its uncertainty are NaN.
    line_k
        Suction line [K].

    >>> from knowngood_refdata.records import Instruments
    >>> from knowngood_refdata.refrigerants import saturation
    >>> found = superheat_estimate(saturation("R-134a"), 0.14e6, 263.15, Instruments())
    >>> round(found.value, 2), round(found.standard_uncertainty, 1)
    (8.76, 2.1)
    """
    from_pressure = curve.slope_k_per_pa(low_pa) * pressure_standard_uncertainty_pa(instruments.low)
    from_line = thermometer_standard_uncertainty_k(instruments.line)
    return Estimate(superheat_k(curve, low_pa, line_k), combine(from_pressure, from_line))


def subcooling_estimate(
    curve: SaturationCurve, high_pa: float, line_k: float, instruments: Instruments
) -> Estimate:
    """Subcooling [K] with the standard uncertainty that the high side gauge and the line probe give it.

    As in `superheat_estimate`. The bias of a clamp in warm air is left out: it makes subcooling look
    smaller, never larger.

    Parameters
    ----------
    high_pa
        High side [Pa, absolute]; off the curve both the value and its uncertainty are NaN.
    line_k
        Liquid line [K].
    """
    from_pressure = curve.slope_k_per_pa(high_pa) * pressure_standard_uncertainty_pa(instruments.high)
    from_line = thermometer_standard_uncertainty_k(instruments.line)
    return Estimate(subcooling_k(curve, high_pa, line_k), combine(from_pressure, from_line))


def clamp_bias_k(fraction_of_air_seen: float, pipe_k: float, air_k: float) -> float:
    """One-sided error [K] of a clamp whose sensor sees the air around the pipe as well as the pipe.

    bias = f (air - pipe), added to what the pipe really has. In a warm engine bay superheat is read too
    high and subcooling too low, and both then mimic undercharge. A bias is no uncertainty: it has a sign.

    Parameters
    ----------
    fraction_of_air_seen
        f from 0 (insulated, well seated) to 1 (hanging in the air). Common practice, no source: 0.02 under
        insulation to 0.15 for a bare clamp.
    pipe_k, air_k
        Pipe and air around it [K].

    Raises
    ------
    ValueError
        When the fraction is not between 0 and 1.

    >>> round(clamp_bias_k(0.05, 281.15, 333.15), 1)
    2.6
    """
    if not 0.0 <= fraction_of_air_seen <= 1.0:
        raise ValueError(f"a clamp sees a fraction of the air between 0 and 1, not {fraction_of_air_seen:g}")
    return fraction_of_air_seen * (air_k - pipe_k)
