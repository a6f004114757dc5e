"""Saturation, superheat and subcooling as answers: a number, or words where no number belongs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.quantities import Kind
from knowngood_refdata.uncertainty import subcooling_estimate, superheat_estimate

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood_refdata.records import Estimate, Instruments
    from knowngood_refdata.refrigerants import SaturationCurve

DOUBTFUL_AT = 2.0
"""A negative value is called zero up to this many standard uncertainties, and wrong beyond."""

HIGH_SUPERHEAT_K = 13.0
"""From here on the place of the clamp matters (common practice, no source)."""

HIGH_WORDS = "usual behind an internal heat exchanger, high without one"
"""Said of a high superheat while nothing is known of the place of the clamp."""

LEVEL = 0.02
"""Sides that differ by less than this share are level: within what gauges of a set differ by."""


@dataclass(frozen=True, slots=True)
class Limit:
    """A bound that an answer speaks of, in SI; a pressure is absolute."""

    value: float
    kind: Kind


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
        A remark; the whole answer when ``value`` is None. ``{limit}`` stands for the `limit`.
    doubtful
        The number contradicts itself and is shown only so that the mistake can be found.
    limit
        The bound that the words name, to be written in the reader's units.
    """

    value: float | None
    standard_uncertainty: float | None = None
    words: str = ""
    doubtful: bool = False
    limit: Limit | None = None

    def sentence(self, write: Callable[[Limit], str]) -> str:
        """The words with the limit written by ``write``."""
        return self.words if self.limit is None else self.words.format(limit=write(self.limit))


def saturation_temperature(curve: SaturationCurve, pressure_pa: float) -> Answer:
    """Saturation temperature [K] at an absolute pressure [Pa].

    Tillner-Roth and Baehr 1994, table 8: 246.79 K at 0.1 MPa.

    >>> from knowngood_refdata.refrigerants import saturation
    >>> round(saturation_temperature(saturation("R-134a"), 1e5).value, 2)
    246.79
    >>> saturation_temperature(saturation("R-134a"), 5e6).value is None
    True
    """
    if pressure_pa <= 0.0:
        return Answer(
            None, words="an absolute pressure is never zero or less: check gauge or absolute, and the air"
        )
    if pressure_pa > curve.critical_pa:
        words = f"above the critical pressure of {curve.name}, {{limit}}, there is no saturation temperature"
        return Answer(None, words=words, limit=Limit(curve.critical_pa, Kind.PRESSURE))
    if pressure_pa < curve.lowest_pa:
        return Answer(None, words=_below(curve), limit=Limit(curve.lowest_pa, Kind.PRESSURE))
    return Answer(curve.temperature_k(pressure_pa))


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
        words = f"above the critical temperature of {curve.name}, {{limit}}, there is no saturation pressure"
        return Answer(None, words=words, limit=Limit(curve.critical_k, Kind.TEMPERATURE))
    if temperature_k < curve.lowest_k:
        return Answer(None, words=_below(curve), limit=Limit(curve.lowest_k, Kind.TEMPERATURE))
    return Answer(curve.pressure_pa(temperature_k))


def slope(curve: SaturationCurve, pressure_pa: float) -> Answer:
    """How much the saturation temperature rises with pressure [K/Pa] at an absolute pressure [Pa].

    Off the curve there is none, without words: those stand beside the saturation temperature.
    """
    found = curve.slope_k_per_pa(pressure_pa)
    return Answer(None if math.isnan(found) else found)


def superheat(curve: SaturationCurve, low_pa: float, line_k: float, instruments: Instruments) -> Answer:
    """Superheat [K] of the suction line with its standard uncertainty, and a remark where it is needed.

    Çengel and Boles, Thermodynamics, 5th edition, example 11-2: 0.14 MPa, -10 °C give 8.76 K (computed from
    the example's data).

    >>> from knowngood_refdata.records import Instruments
    >>> from knowngood_refdata.refrigerants import saturation
    >>> round(superheat(saturation("R-134a"), 0.14e6, 263.15, Instruments()).value, 2)
    8.76
    """
    off_curve = saturation_temperature(curve, low_pa)
    if off_curve.value is None:
        return off_curve
    return superheat_answer(superheat_estimate(curve, low_pa, line_k, instruments))


def superheat_answer(found: Estimate, high_words: str = HIGH_WORDS) -> Answer:
    """A superheat [K] with the remark that it needs; ``high_words`` where it is high for the place.

    >>> from knowngood_refdata.records import Estimate
    >>> superheat_answer(Estimate(-0.5, 1.0)).words
    'zero within the uncertainty: liquid may reach the suction line'
    """
    if _is_wrong(found):
        return _answered(
            found,
            "the suction line cannot be colder than the evaporating temperature: "
            "check the clamp, the pressure port and the refrigerant",
            doubtful=True,
        )
    if found.value < 0.0:
        return _answered(found, "zero within the uncertainty: liquid may reach the suction line")
    if found.value > HIGH_SUPERHEAT_K:
        return _answered(found, high_words)
    return _answered(found)


def subcooling(curve: SaturationCurve, high_pa: float, line_k: float, instruments: Instruments) -> Answer:
    """Subcooling [K] of the liquid line with its standard uncertainty, and a remark where it is needed.

    Çengel and Boles, Thermodynamics, 5th edition, example 11-2: 0.72 MPa, 26 °C give 1.67 K (computed from
    the example's data).

    >>> from knowngood_refdata.records import Instruments
    >>> from knowngood_refdata.refrigerants import saturation
    >>> round(subcooling(saturation("R-134a"), 0.72e6, 299.15, Instruments()).value, 2)
    1.67
    """
    off_curve = saturation_temperature(curve, high_pa)
    if off_curve.value is None:
        return off_curve
    return subcooling_answer(subcooling_estimate(curve, high_pa, line_k, instruments))


def subcooling_answer(found: Estimate) -> Answer:
    """A subcooling [K] with the remark that it needs.

    >>> from knowngood_refdata.records import Estimate
    >>> subcooling_answer(Estimate(-9.0, 1.0)).doubtful
    True
    """
    if _is_wrong(found):
        return _answered(
            found,
            "negative: liquid and vapour together at this place, or a wrong clamp, port or refrigerant; "
            "no subcooling to go by",
            doubtful=True,
        )
    if found.value < 0.0:
        return _answered(
            found, "zero within the uncertainty: liquid and vapour may leave the condenser together"
        )
    return _answered(found)


def sides_in_order(low_pa: float | None, high_pa: float | None) -> str:
    """A remark when the low side does not lie below the high side; empty when it does or one is missing.

    >>> sides_in_order(12e5, 3e5)
    'the low side lies above the high side: hoses or fields are swapped'
    """
    if low_pa is None or high_pa is None:
        return ""
    if math.isclose(low_pa, high_pa, rel_tol=LEVEL):
        return "both sides are level: the compressor is off line, or not pumping"
    if low_pa > high_pa:
        return "the low side lies above the high side: hoses or fields are swapped"
    return ""


def _below(curve: SaturationCurve) -> str:
    if curve.begins_at_triple_point:
        return f"below {{limit}}, its triple point, {curve.name} is solid or gas, never liquid"
    return f"below {{limit}} the curve of {curve.name} is not tabulated"


def _is_wrong(found: Estimate) -> bool:
    return found.value < -DOUBTFUL_AT * found.standard_uncertainty


def _answered(found: Estimate, words: str = "", *, doubtful: bool = False) -> Answer:
    return Answer(found.value, found.standard_uncertainty, words, doubtful)
