"""Pressure at rest against saturation: is liquid there, is it gone, or is a foreign gas inside.

At rest and at one temperature the pressure over liquid is the saturation pressure, whatever the amount of
liquid. The check therefore never tells the charge: charge is recovered and weighed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_calculator.core.rest import (
    AtRest,
    Met,
    Precondition,
    preconditions,
    reading,
    temperature_estimate,
)
from knowngood_refdata.records import Estimate
from knowngood_refdata.uncertainty import combine

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.refrigerants import SaturationCurve

COVERAGE = 2.0
"""A difference counts from this many standard uncertainties on (about 95 %, JCGM 100:2008, 6.3.3)."""

AIR_J_KG_K = 287.05
"""Gas constant of dry air (standard atmosphere, ISO 2533)."""

CANNOT_TELL = (
    "the charge: a spoonful of liquid gives the same pressure as a full circuit. Recover and weigh",
    "which refrigerant is inside: only an identifier tells",
    "a little air or another gas, as long as it stays within the uncertainty",
    "moisture, oil, sealant",
)
"""What a pressure at rest does not say, whatever the outcome."""


class Outcome(StrEnum):
    """What the pressure at rest says."""

    LIQUID_PRESENT = "liquid present"
    NO_LIQUID_LEFT = "no liquid left"
    ABOVE_SATURATION = "pressure above saturation"
    CANNOT_TELL = "cannot tell"


_WORDS = {
    Outcome.LIQUID_PRESENT: "the pressure agrees with saturation: there is liquid, how much cannot be told",
    Outcome.NO_LIQUID_LEFT: (
        "below saturation by more than the uncertainty: no liquid is left, or a refrigerant of lower "
        "pressure is inside. Identify the gas; find the leak before anything is put in"
    ),
    Outcome.ABOVE_SATURATION: (
        "above saturation by more than the uncertainty: air, another gas or another refrigerant is inside, "
        "or a part is warmer than measured. Identify the gas before it is recovered"
    ),
}


@dataclass(frozen=True, slots=True)
class EngineOff:
    """What the pressure at rest says, with everything it rests on; estimates are None where there is none.

    Attributes
    ----------
    pressure, saturation
        Measured and saturation pressure [Pa, absolute].
    temperature
        Temperature of the circuit [K]: the middle of those measured.
    difference
        Measured less saturation [Pa].
    air
        Estimated partial pressure of air or foreign gas [Pa], when above saturation.
    air_fraction
        Its share of the molecules in the vapour, 0 to 1.
    also_fits
        Other refrigerants whose saturation agrees with the pressure just as well.
    """

    outcome: Outcome
    words: str
    preconditions: tuple[Precondition, ...]
    pressure: Estimate | None = None
    temperature: Estimate | None = None
    saturation: Estimate | None = None
    difference: Estimate | None = None
    air: Estimate | None = None
    air_fraction: float | None = None
    also_fits: tuple[str, ...] = ()


def check_at_rest(
    curve: SaturationCurve, at_rest: AtRest, others: Sequence[SaturationCurve] = ()
) -> EngineOff:
    """Compare the pressure at rest with saturation of a refrigerant at the temperature measured.

    d = p - p_sat(T), u² = u(p)² + (dp_sat/dT u(T))² (JCGM 100:2008, equation 10). Within 2 u there is
    liquid; further below none is left; further above d is the partial pressure of a foreign gas (Dalton).
    With a precondition not met the numbers are given without a verdict.

    Parameters
    ----------
    others
        Curves of refrigerants to be named when they fit as well.

    >>> from knowngood_refdata.refrigerants import saturation
    >>> curve = saturation("R-134a")
    >>> found = check_at_rest(curve, AtRest(298.15, low_pa=6.70e5, high_pa=6.60e5, soak_s=4 * 3600.0))
    >>> found.outcome.value, round(found.difference.value, -3)
    ('liquid present', 5000.0)
    """
    conditions = preconditions(at_rest)
    problem = _unusable(curve, at_rest)
    if problem:
        return EngineOff(Outcome.CANNOT_TELL, problem, conditions)
    pressure, temperature = reading(at_rest), temperature_estimate(at_rest)
    assert pressure is not None
    saturated = saturation_estimate(curve, temperature)
    difference = Estimate(
        pressure.value - saturated.value,
        combine(pressure.standard_uncertainty, saturated.standard_uncertainty),
    )
    outcome = Outcome.CANNOT_TELL if _unmet(conditions) else _outcome(difference)
    air = difference if outcome is Outcome.ABOVE_SATURATION else None
    return EngineOff(
        outcome,
        _words(outcome, conditions),
        conditions,
        pressure,
        temperature,
        saturated,
        difference,
        air,
        None if air is None else air.value / pressure.value,
        tuple(one.name for one in others if _fits(one, pressure, temperature) and one.name != curve.name),
    )


def saturation_estimate(curve: SaturationCurve, temperature: Estimate) -> Estimate:
    """Saturation pressure [Pa, absolute] with the uncertainty that the temperature [K] gives it.

    u(p) = dp/dT u(T), JCGM 100:2008, equation 10. NaN off the curve. Tillner-Roth and Baehr 1994, table 8:
    0.70282 MPa at 300 K; the slope is 20.7 kPa/K there (computed).

    >>> from knowngood_refdata.refrigerants import saturation
    >>> found = saturation_estimate(saturation("R-134a"), Estimate(300.0, 1.0))
    >>> round(found.value), round(found.standard_uncertainty, -2)
    (702821, 20700.0)
    """
    pressure_pa = curve.pressure_pa(temperature.value)
    return Estimate(pressure_pa, temperature.standard_uncertainty / curve.slope_k_per_pa(pressure_pa))


def air_mass_kg(partial_pa: float, volume_m3: float, temperature_k: float) -> float:
    """Mass of air [kg] behind a partial pressure [Pa] in a vapour space [m³], m = p V / (R T), ideal gas.

    Hundy, Trott and Welch, Refrigeration and Air-Conditioning, example 1.7, p. 8: nitrogen, oxygen and
    argon of 1.199 kg in a cubic metre at 20 °C add up to 100,985 Pa (the sum computed from its data).

    >>> round(air_mass_kg(100_985.0, 1.0, 293.15), 2)
    1.2
    """
    return partial_pa * volume_m3 / (AIR_J_KG_K * temperature_k)


def _outcome(difference: Estimate) -> Outcome:
    if abs(difference.value) <= COVERAGE * difference.standard_uncertainty:
        return Outcome.LIQUID_PRESENT
    return Outcome.ABOVE_SATURATION if difference.value > 0.0 else Outcome.NO_LIQUID_LEFT


def _fits(curve: SaturationCurve, pressure: Estimate, temperature: Estimate) -> bool:
    saturated = saturation_estimate(curve, temperature)
    uncertainty = combine(pressure.standard_uncertainty, saturated.standard_uncertainty)
    return abs(pressure.value - saturated.value) <= COVERAGE * uncertainty


def _unmet(conditions: Sequence[Precondition]) -> list[Precondition]:
    return [one for one in conditions if one.met is Met.NO]


def _words(outcome: Outcome, conditions: Sequence[Precondition]) -> str:
    unmet = _unmet(conditions)
    if unmet:
        return "no verdict: " + "; ".join(one.words for one in unmet)
    unknown = [one.name for one in conditions if one.met is Met.NOT_KNOWN]
    words = _WORDS[outcome]
    return f"{words}. Not known: {', '.join(unknown)}" if unknown else words


def _unusable(curve: SaturationCurve, at_rest: AtRest) -> str:
    """Why nothing can be compared, in words; empty when it can."""
    pressures = at_rest.pressures_pa
    temperature_k = temperature_estimate(at_rest).value
    if not pressures:
        return "no pressure: read at least one gauge"
    if not all(math.isfinite(one) and one > 0.0 for one in pressures):
        return "an absolute pressure is never zero or less: check gauge or absolute, and the air"
    if not (math.isfinite(temperature_k) and min(at_rest.temperatures_k) > 0.0):
        return "no temperature lies below absolute zero: check the value and its unit"
    if temperature_k > curve.critical_k:
        return (
            f"warmer than the critical temperature of {curve.name}: there is no liquid at any pressure, and "
            "nothing to compare with"
        )
    if temperature_k < curve.lowest_k:
        return f"so cold the curve of {curve.name} is not tabulated"
    return ""
