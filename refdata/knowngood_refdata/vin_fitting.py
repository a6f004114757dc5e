"""Which configurations of the library fit a VIN, why, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING, Generic, TypeVar

from knowngood_refdata.vin_attributes import Answers, about_attributes, identified, same
from knowngood_refdata.vin_evidence import (
    about_build,
    about_pattern,
    about_years,
    possible_months,
    year_by_pattern,
    years_in_range,
)
from knowngood_refdata.vin_months import MonthSpan
from knowngood_refdata.vin_points import Configuration, Known, Point, Side

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from knowngood_refdata.vin import Vin

V = TypeVar("V", bound=Configuration)
V_co = TypeVar("V_co", bound=Configuration, covariant=True)

NOTHING_KNOWN = Known()


class Grade(StrEnum):
    """How well a configuration fits, the best first."""

    CERTAIN = "certain"
    POSSIBLE = "possible"
    EXCLUDED = "excluded"


_ORDER = tuple(Grade)


@dataclass(frozen=True, slots=True)
class Fit(Generic[V_co]):
    """One configuration with how well it fits and why.

    ``reasons`` begin with what decided. ``months`` are the build months and ``years`` the model years of
    the VIN under which it still fits; ``years`` is empty when the VIN tells none. ``weight`` ranks fits of
    one grade.
    """

    vehicle: V_co
    grade: Grade
    reasons: tuple[str, ...]
    months: MonthSpan
    years: tuple[int, ...]
    weight: int


@dataclass(frozen=True, slots=True)
class _Evidence:
    """The points of one vehicle, by where they come from."""

    vin: list[Point]
    pattern: list[Point]
    years: list[Point]
    build: list[Point]
    attributes: list[Point]

    @property
    def points(self) -> list[Point]:
        return [*self.pattern, *self.years, *self.build, *self.attributes, *self.vin]


def fitting(vin: Vin, vehicles: Iterable[V], known: Known = NOTHING_KNOWN) -> tuple[Fit[V], ...]:
    """Grade every vehicle against a VIN and whatever else is known of the car, the best first.

    *Certain* takes a VIN whose check digit is not wrong, a full match with a pattern that tells more than
    the maker (or every attribute on record given by the reader), the model year, every build-date split
    settled, and no other vehicle of the same make and model left. *Excluded* takes one point against.
    Everything else is *possible*.

    A VIN with problems decides nothing: then only ``known`` does.
    """
    candidates = tuple(vehicles)
    answers = Answers.among(known, candidates)
    fits = [_fit(vin, vehicle, answers) for vehicle in candidates]
    return tuple(sorted((_beside_rivals(fit, fits) for fit in fits), key=_rank))


def _rank(fit: Fit[V]) -> tuple[int, int, str, str, int, str]:
    vehicle = fit.vehicle
    place = _ORDER.index(fit.grade)
    return place, -fit.weight, vehicle.make, vehicle.model, vehicle.year_from, vehicle.engine


def _fit(vin: Vin, vehicle: V, answers: Answers) -> Fit[V]:
    known = answers.known
    evidence = _Evidence(
        vin=_about_vin(vin),
        pattern=about_pattern(vin, vehicle) if vin.usable else [],
        years=about_years(vin, vehicle) if vin.usable else [],
        build=about_build(vin, vehicle, known),
        attributes=about_attributes(vehicle, answers),
    )
    grade = _grade(vin, vehicle, known, evidence)
    return Fit(
        vehicle,
        grade,
        _reasons(evidence, grade),
        possible_months(vin, vehicle, known) or MonthSpan.on_record(vehicle.build_from, vehicle.build_to),
        years_in_range(vin, vehicle),
        sum(point.weight for point in evidence.points),
    )


def _about_vin(vin: Vin) -> list[Point]:
    if not vin.usable:
        return [Point(Side.OPEN, f"The VIN cannot be used. {' '.join(vin.problems)}", 0)]
    if vin.check_ok is False:
        return [Point(Side.OPEN, "The check digit is wrong: the VIN may be mistyped.", 0)]
    return []


def _grade(vin: Vin, vehicle: Configuration, known: Known, evidence: _Evidence) -> Grade:
    if any(point.side is Side.AGAINST for point in evidence.points):
        return Grade.EXCLUDED
    open_points = [*evidence.vin, *evidence.build, *evidence.attributes]
    if any(point.side is Side.OPEN for point in open_points):
        return Grade.POSSIBLE
    which = _has_for(evidence.pattern) or identified(vehicle, known)
    year = _has_for(evidence.years) or (_has_for(evidence.pattern) and year_by_pattern(vin, vehicle))
    return Grade.CERTAIN if which and year else Grade.POSSIBLE


def _has_for(points: list[Point]) -> bool:
    return any(point.side is Side.FOR for point in points)


def _reasons(evidence: _Evidence, grade: Grade) -> tuple[str, ...]:
    wanted = (Side.AGAINST,) if grade is Grade.EXCLUDED else (Side.FOR, Side.OPEN)
    words = [point.words for side in wanted for point in evidence.points if point.side is side]
    if grade is Grade.EXCLUDED:
        words += [point.words for point in evidence.vin]
    return tuple(words)


def _beside_rivals(fit: Fit[V], fits: Sequence[Fit[V]]) -> Fit[V]:
    """A certain fit is only possible while another vehicle that could be meant is left."""
    if fit.grade is not Grade.CERTAIN:
        return fit
    rivals = sum(_rivals(fit, other) for other in fits)
    if not rivals:
        return fit
    words = f"{rivals} other{'s' if rivals > 1 else ''} on record may fit as well."
    return replace(fit, grade=Grade.POSSIBLE, reasons=(*fit.reasons, words))


def _rivals(fit: Fit[V], other: Fit[V]) -> bool:
    if other is fit or other.grade is Grade.EXCLUDED:
        return False
    alike = same(fit.vehicle.make, other.vehicle.make) and same(fit.vehicle.model, other.vehicle.model)
    return alike or other.grade is Grade.CERTAIN
