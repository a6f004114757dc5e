"""Grams of refrigerant as CO2 equivalent, with the report named that the warming potential comes from."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from knowngood_refdata.facts import AssessmentReport, Gwp

RECORDS_FROM_KG = 5_000.0
"""5 t of CO2 equivalent: from here on Regulation (EU) 2024/573 asks for leak checks and records, for the
equipment in its scope (from memory). A car holds far less."""


class Bound(StrEnum):
    """Whether a mass is the value itself, or all that is known is what it lies below or above."""

    EXACT = ""
    LESS_THAN = "less than"
    MORE_THAN = "more than"


@dataclass(frozen=True, slots=True)
class Equivalent:
    """A mass [kg] with its bound and the report behind it; None with words where there is no answer."""

    mass_kg: float | None
    bound: Bound = Bound.EXACT
    report: AssessmentReport | None = None
    words: str = ""


def co2_equivalent(mass_kg: float, gwp: Gwp | None) -> Equivalent:
    """Mass of CO2 [kg] that warms as much over 100 years, m GWP.

    By hand with the fourth report: 0.700 kg of R-134a is 1,001 kg. Where the report gives only an upper
    bound, so does the answer.

    >>> from knowngood_refdata.facts import AssessmentReport, gwp
    >>> found = co2_equivalent(0.700, gwp("R-134a", AssessmentReport.AR4))
    >>> round(found.mass_kg, 1), found.words
    (1001.0, 'counted with the IPCC fourth assessment report, 2007')
    >>> found = co2_equivalent(0.500, gwp("R-1234yf", AssessmentReport.AR5))
    >>> found.bound.value, found.mass_kg
    ('less than', 0.5)
    """
    problem = _problem(mass_kg, gwp)
    if gwp is None or problem:
        return Equivalent(None, words=problem)
    return _answered(mass_kg * gwp.value, gwp, Bound.LESS_THAN)


def mass_of(co2_kg: float, gwp: Gwp | None) -> Equivalent:
    """Mass of refrigerant [kg] that warms as much as a mass of CO2 [kg]: the inverse of `co2_equivalent`.

    By hand with the fourth report: 5 t of CO2 are 5000/1430 = 3.4965 kg of R-134a.

    >>> from knowngood_refdata.facts import AssessmentReport, gwp
    >>> round(mass_of(RECORDS_FROM_KG, gwp("R-134a", AssessmentReport.AR4)).mass_kg, 4)
    3.4965
    """
    problem = _problem(co2_kg, gwp)
    if gwp is None or problem:
        return Equivalent(None, words=problem)
    return _answered(co2_kg / gwp.value, gwp, Bound.MORE_THAN)


def _answered(mass_kg: float, gwp: Gwp, if_bounded: Bound) -> Equivalent:
    words = f"counted with the {gwp.report.full_name}"
    if gwp.note:
        words = f"{words}. {gwp.note}"
    # Nothing is nothing, also under a bound.
    bound = if_bounded if gwp.below and mass_kg > 0.0 else Bound.EXACT
    return Equivalent(mass_kg, bound, gwp.report, words)


def _problem(mass_kg: float, gwp: Gwp | None) -> str:
    if gwp is None:
        return "this report has no warming potential for this refrigerant: choose another one"
    if not (math.isfinite(mass_kg) and mass_kg >= 0.0):
        return "a mass is zero or more: check the value and its unit"
    return ""
