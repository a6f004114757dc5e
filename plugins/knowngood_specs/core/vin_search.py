"""From a VIN and what else is known of the car to the vehicles that fit, and what the VIN tells in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic

from knowngood_refdata.vin_fitting import Fit, Grade, V, V_co, fitting
from knowngood_refdata.vin_question import Question, settling_question

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.vin import Vin
    from knowngood_refdata.vin_points import Known

_DESCRIBED = 8
"""The maker and the attributes of the vehicle stand in positions 1 to 8 (49 CFR 565.15)."""


@dataclass(frozen=True, slots=True)
class Outcome(Generic[V_co]):
    """The vehicles that fit, the best first, how many do not, and the question that would settle it."""

    fits: tuple[Fit[V_co], ...]
    excluded: int
    question: Question[V_co] | None


def judge(vin: Vin, vehicles: Sequence[V], known: Known) -> Outcome[V]:
    """Lay a VIN beside vehicles and keep those that fit."""
    graded = fitting(vin, vehicles, known)
    fits = tuple(fit for fit in graded if fit.grade is not Grade.EXCLUDED)
    return Outcome(fits, len(graded) - len(fits), settling_question(fits))


def told(vin: Vin) -> tuple[tuple[str, str], ...]:
    """What a VIN tells, as titles and answers; empty when it cannot be used."""
    if not vin.usable:
        return ()
    return (
        ("Check digit", _check(vin)),
        ("Model year", _years(vin)),
        ("Region", ", ".join(part for part in (vin.region, vin.country.name if vin.country else "") if part)),
        ("Maker identifier", vin.maker_mark),
        ("Serial number", vin.serial),
    )


def new_vehicle(vin: Vin) -> dict[str, str]:
    """The entries of a new vehicle that a VIN tells; the years are for the reader to widen."""
    year = "" if vin.model_years.definite is None else str(vin.model_years.definite)
    entries = {"year_from": year, "year_to": year, "vin_pattern": vin.between(1, _DESCRIBED)}
    return {name: text for name, text in entries.items() if text}


def fit_line(fit: Fit[V]) -> str:
    """How well a vehicle fits and the first reason, in a line."""
    return ": ".join((str(fit.grade), *fit.reasons[:1]))


def _check(vin: Vin) -> str:
    if vin.check is None:
        return "not among these characters"
    if vin.check.agrees:
        return f"{vin.check.found}, agrees"
    if vin.check_ok is False:
        return f"{vin.check.found}, wrong: {vin.check.computed} would agree"
    return f"{vin.check.found} is none; not every region asks for one"


def _years(vin: Vin) -> str:
    years = vin.model_years
    if years.definite is not None:
        return str(years.definite)
    return " or ".join(map(str, years.candidates))
