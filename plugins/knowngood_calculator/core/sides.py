"""Superheat and subcooling with everything that moves them: instruments, air pressure, clamp and port.

Random errors go into a standard uncertainty (JCGM 100:2008). A clamp in warm air errs one way only, which
stays beside it: the interval is longer on that side, and nothing is corrected in silence. A pressure drop
between port and clamp shifts the saturation temperature and is corrected.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_calculator.core.answers import (
    Answer,
    Limit,
    saturation_temperature,
    subcooling_answer,
    superheat_answer,
)
from knowngood_calculator.core.clamp_places import high_superheat_words, subcooling_words
from knowngood_calculator.core.instruments import what_dominates
from knowngood_calculator.core.readings import Port
from knowngood_refdata.propagation import Input, propagate
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Estimate
from knowngood_refdata.uncertainty import (
    pressure_standard_uncertainty_pa,
    thermometer_standard_uncertainty_k,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood_calculator.core.clamp_places import LiquidPlace, SuctionPlace
    from knowngood_calculator.core.readings import LineTaken, PressureTaken
    from knowngood_refdata.propagation import Component, Result
    from knowngood_refdata.refrigerants import SaturationCurve

WORTH_TELLING_K = 0.05
"""A shift below this is not told: it is lost in the rounding of what is shown."""

GAUGE, CLAMP, AIR_PRESSURE, DROP = "gauge", "clamp", "air pressure", "pressure drop to the port"

CURES = {
    GAUGE: "a gauge of a better class or a narrower span",
    CLAMP: "a better probe",
    AIR_PRESSURE: "a reading of the local barometer",
    DROP: "a port at the clamp",
}


@dataclass(frozen=True, slots=True)
class Remark:
    """Words to stand under an answer; ``{limit}`` in them stands for the limit."""

    words: str
    limit: Limit | None = None

    def sentence(self, write: Callable[[Limit], str]) -> str:
        """The words with the limit written by ``write``."""
        return self.words if self.limit is None else self.words.format(limit=write(self.limit))


@dataclass(frozen=True, slots=True)
class Side:
    """Superheat or subcooling with its uncertainty, its one-sided bias and where they come from.

    Attributes
    ----------
    answer
        The value at the clamp, corrected for the pressure drop but not for the clamp's bias.
    saturation_k
        At the clamp [K]; None off the curve.
    correction_k
        What the pressure drop has changed [K]; NaN when the port itself lies off the curve.
    shift_k
        How far at most the truth lies from the value because of the clamp [K]: negative means lower.
    parts
        Components of the uncertainty, with their shares of the variance.
    origin
        Which part dominates and what would help, in words.
    """

    answer: Answer
    saturation_k: float | None = None
    correction_k: float = 0.0
    shift_k: float = 0.0
    parts: tuple[Component, ...] = ()
    origin: str = ""
    remarks: tuple[Remark, ...] = ()

    def interval_k(self, coverage_factor: float = 2.0) -> tuple[float, float] | None:
        """Where the truth lies [K]: ± k u, with the clamp's shift on its side alone; None without a value."""
        value, u = self.answer.value, self.answer.standard_uncertainty
        if value is None or u is None:
            return None
        reach = coverage_factor * u
        return value - reach + min(self.shift_k, 0.0), value + reach + max(self.shift_k, 0.0)


def superheat_side(
    curve: SaturationCurve,
    pressure: PressureTaken,
    line: LineTaken,
    place: SuctionPlace | None = None,
    exchanger: bool | None = None,
) -> Side:
    """Superheat [K] at the clamp: SH = T_line - T_sat(p_port ± drop).

    Parameters
    ----------
    place, exchanger
        Where the clamp sits, and whether there is an internal heat exchanger; None when not known.

    Çengel and Boles, Thermodynamics, 5th edition, example 11-2: 0.14 MPa, -10 °C give 8.76 K (computed from
    the example's data).

    >>> from knowngood_calculator.core.readings import LineTaken, PressureTaken
    >>> from knowngood_refdata.records import PressureInstrument, Thermometer
    >>> from knowngood_refdata.refrigerants import saturation
    >>> low = PressureTaken(0.14e6, PressureInstrument(1.6, 10e5))
    >>> found = superheat_side(saturation("R-134a"), low, LineTaken(263.15, Thermometer(2.5)))
    >>> round(found.answer.value, 2), round(found.answer.standard_uncertainty, 1)
    (8.76, 2.1)
    """

    def judge(found: Estimate) -> Answer:
        return superheat_answer(found, high_superheat_words(place, exchanger, found.value))

    return _side(curve, pressure, line, "superheat", judge)


def subcooling_side(
    curve: SaturationCurve,
    pressure: PressureTaken,
    line: LineTaken,
    place: LiquidPlace | None = None,
    exchanger: bool | None = None,
) -> Side:
    """Subcooling [K] at the clamp: SC = T_sat(p_port ± drop) - T_line. Parameters as for `superheat_side`.

    Çengel and Boles, Thermodynamics, 5th edition, example 11-2: 0.72 MPa, 26 °C give 1.67 K (computed from
    the example's data). With a port upstream of a condenser that drops half a bar there is none:

    >>> from knowngood_calculator.core.readings import Drop, LineTaken, Port, PressureTaken
    >>> from knowngood_refdata.records import PressureInstrument, Thermometer
    >>> from knowngood_refdata.refrigerants import saturation
    >>> gauge, line = PressureInstrument(1.6, 35e5), LineTaken(299.15, Thermometer(2.5))
    >>> at_clamp = subcooling_side(saturation("R-134a"), PressureTaken(0.72e6, gauge), line)
    >>> upstream = PressureTaken(0.72e6, gauge, port=Port.UPSTREAM, drop=Drop(0.5e5, 0.5e5))
    >>> corrected = subcooling_side(saturation("R-134a"), upstream, line)
    >>> round(at_clamp.answer.value, 2), round(corrected.answer.value, 2)
    (1.67, -0.77)
    """

    def judge(found: Estimate) -> Answer:
        answer = subcooling_answer(found)
        if answer.words:
            return answer
        words = subcooling_words(place, exchanger, found.value)
        return Answer(answer.value, answer.standard_uncertainty, words)

    return _side(curve, pressure, line, "subcooling", judge)


def _side(
    curve: SaturationCurve,
    pressure: PressureTaken,
    line: LineTaken,
    quantity: str,
    judge: Callable[[Estimate], Answer],
) -> Side:
    at_clamp = saturation_temperature(curve, pressure.absolute_pa + pressure.correction_pa)
    if at_clamp.value is None:
        return Side(at_clamp, remarks=_scale_remark(pressure))
    direction = 1.0 if quantity == "superheat" else -1.0
    found = _propagated(curve, pressure, line, direction)
    answer = judge(Estimate(found.value, found.standard_uncertainty))
    # Adding 0.0 turns a negative zero, which would be shown with its sign, into a plain one.
    correction = direction * (curve.temperature_k(pressure.absolute_pa) - at_clamp.value) + 0.0
    shift = -direction * line.bias_k + 0.0
    return Side(
        answer,
        at_clamp.value,
        correction,
        shift,
        found.components,
        what_dominates(found.components, CURES),
        (
            *_scale_remark(pressure),
            *_correction_remark(pressure, correction, quantity),
            *_shift_remark(shift, answer, found.standard_uncertainty, quantity),
        ),
    )


def _propagated(curve: SaturationCurve, pressure: PressureTaken, line: LineTaken, direction: float) -> Result:
    barometer = pressure.barometer
    air_pa, air_u = (barometer.pressure_pa, barometer.standard_uncertainty_pa) if barometer else (0.0, 0.0)

    def difference(gauge_pa: float, air_pa: float, drop_pa: float, line_k: float) -> float:
        return direction * (line_k - curve.temperature_k(gauge_pa + air_pa + pressure.sign * drop_pa))

    return propagate(
        difference,
        (
            Input(GAUGE, pressure.absolute_pa - air_pa, pressure_standard_uncertainty_pa(pressure.gauge)),
            Input(AIR_PRESSURE, air_pa, air_u),
            Input(DROP, pressure.drop.middle_pa, pressure.drop.standard_uncertainty_pa),
            Input(CLAMP, line.line_k, thermometer_standard_uncertainty_k(line.probe)),
        ),
    )


def _scale_remark(pressure: PressureTaken) -> tuple[Remark, ...]:
    air_pa = pressure.barometer.pressure_pa if pressure.barometer else 0.0
    if pressure.absolute_pa - air_pa <= pressure.gauge.full_scale_pa:
        return ()
    return (Remark("the reading lies beyond the full scale of the gauge: check the reading and the gauge"),)


def _correction_remark(pressure: PressureTaken, correction_k: float, quantity: str) -> tuple[Remark, ...]:
    if pressure.port is not Port.AT_CLAMP and pressure.drop.most_pa == 0.0:
        false = "too high" if (pressure.port is Port.DOWNSTREAM) == (quantity == "superheat") else "too low"
        return (Remark(f"the pressure drop to the port is not given: it makes {quantity} {false}"),)
    # Off the curve at the port there is nothing to compare with.
    if math.isnan(correction_k) or abs(correction_k) < WORTH_TELLING_K:
        return ()
    way = "raised" if correction_k > 0.0 else "lowered"
    limit = Limit(abs(correction_k), Kind.TEMPERATURE_DIFFERENCE)
    return (Remark(f"{way} by {{limit}} for the pressure drop between port and clamp", limit),)


def _shift_remark(
    shift_k: float, answer: Answer, standard_uncertainty: float, quantity: str
) -> tuple[Remark, ...]:
    if abs(shift_k) < WORTH_TELLING_K:
        return ()
    way = "lower" if shift_k < 0.0 else "higher"
    told = [
        Remark(
            f"the clamp sees the air around it: the true {quantity} is {way} by up to {{limit}}",
            Limit(abs(shift_k), Kind.TEMPERATURE_DIFFERENCE),
        )
    ]
    if answer.value is not None and answer.value + shift_k <= 0.0 < answer.value:
        told.append(Remark(f"the {quantity} may in truth be zero, liquid and vapour together at this place"))
    if abs(shift_k) > 2.0 * standard_uncertainty:
        told.append(Remark("the seat of the clamp matters more than the instruments: insulate it"))
    return tuple(told)
