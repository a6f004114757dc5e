"""What speaks for and against one configuration: its VIN pattern, model years and build months."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.vin_months import MonthSpan, month_words
from knowngood_refdata.vin_patterns import best_match, patterns_in, unreadable_in
from knowngood_refdata.vin_points import Configuration, Known, Point, Side

if TYPE_CHECKING:
    from knowngood_refdata.vin import Vin

_PATTERN_WEIGHT = 10
_YEAR_WEIGHT = 5


def range_words(first: int, last: int | None) -> str:
    """A range of model years for the reader.

    >>> range_words(2021, 2023), range_words(2021, 2021), range_words(2021, None)
    ('2021–2023', '2021', '2021 on')
    """
    if last is None:
        return f"{first} on"
    return f"{first}" if first == last else f"{first}\N{EN DASH}{last}"


def about_pattern(vin: Vin, vehicle: Configuration) -> list[Point]:
    """What the VIN patterns on record say."""
    points = [
        Point(Side.OPEN, f"The VIN pattern {pattern} on record cannot be read.", 0)
        for pattern in unreadable_in(vehicle.vin_pattern)
    ]
    patterns = patterns_in(vehicle.vin_pattern)
    if not patterns:
        return [*points, Point(Side.OPEN, "No VIN pattern is on record.", 0)]
    match = best_match(vin, patterns)
    if match.differs_at is not None:
        found, wanted = vin.at(match.differs_at), match.pattern[match.differs_at - 1]
        words = f"The VIN does not fit {match.pattern}: position {match.differs_at} is {found}, not {wanted}."
        return [*points, Point(Side.AGAINST, words)]
    if match.open_at is not None:
        words = f"What is known of the VIN fits {match.pattern}; position {match.open_at} is not known."
        return [*points, Point(Side.OPEN, words, match.told)]
    if not match.describes:
        words = f"The VIN fits {match.pattern}, which tells the maker only."
        return [*points, Point(Side.OPEN, words, match.told)]
    words = f"The VIN fits the pattern {match.pattern}."
    return [*points, Point(Side.FOR, words, _PATTERN_WEIGHT + match.told)]


def in_years(year: int, vehicle: Configuration) -> bool:
    """Whether a model year lies in the vehicle's range."""
    return vehicle.year_from <= year and (vehicle.year_to is None or year <= vehicle.year_to)


def years_in_range(vin: Vin, vehicle: Configuration) -> tuple[int, ...]:
    """The model years the VIN can mean that lie in the vehicle's range, the most likely first."""
    return tuple(year for year in vin.model_years.candidates if in_years(year, vehicle))


def about_years(vin: Vin, vehicle: Configuration) -> list[Point]:
    """What the model year says; where position 10 need not carry one it never speaks against."""
    years = vin.model_years
    span = range_words(vehicle.year_from, vehicle.year_to)
    if not years.candidates:
        return [Point(Side.OPEN, f"The VIN tells no model year to compare with {span}.", 0)]
    inside = years_in_range(vin, vehicle)
    told = " or ".join(str(year) for year in years.candidates)
    if not years.carried:
        if inside:
            words = f"Position 10, read as a model year, is {inside[0]}, in {span}."
            return [Point(Side.OPEN, words, 2)]
        words = f"Position 10, read as a model year, is {told}, not in {span}; it may mean something else."
        return [Point(Side.OPEN, words, -2)]
    if not inside:
        return [Point(Side.AGAINST, f"Model year {told} is not in {span}.")]
    if years.definite in inside:
        return [Point(Side.FOR, f"Model year {years.definite} is in {span}.", _YEAR_WEIGHT)]
    if years.light is not None:
        words = f"Fits as model year {inside[0]} only, so only if over 10,000 lb (4536 kg) fully loaded."
        return [Point(Side.OPEN, words, 0)]
    return [Point(Side.OPEN, f"The model year is {told}; {inside[0]} is in {span}.", 2)]


def possible_months(vin: Vin, vehicle: Configuration, known: Known) -> MonthSpan | None:
    """The build months this car and this vehicle have in common, None when there are none."""
    split = MonthSpan.on_record(vehicle.build_from, vehicle.build_to)
    return split.meet(_months_of_car(_model_year(vin, vehicle), known))


def _model_year(vin: Vin, vehicle: Configuration) -> int | None:
    """The model year the car has if it is this vehicle; None where position 10 need not tell it."""
    inside = years_in_range(vin, vehicle) if vin.model_years.carried else ()
    return inside[0] if inside else None


def _months_of_car(year: int | None, known: Known) -> MonthSpan:
    if known.build_month:
        return MonthSpan(known.build_month, known.build_month)
    return MonthSpan() if year is None else MonthSpan.of_model_year(year)


def about_build(vin: Vin, vehicle: Configuration, known: Known) -> list[Point]:
    """What the build month, or the months of the model year, say of a build-date split."""
    split = MonthSpan.on_record(vehicle.build_from, vehicle.build_to)
    year = _model_year(vin, vehicle)
    car = _months_of_car(year, known)
    points = []
    if known.build_month and year is not None and not car.within(MonthSpan.of_model_year(year)):
        words = (
            f"A vehicle of model year {year} is not built in {month_words(known.build_month)}: check both."
        )
        points.append(Point(Side.OPEN, words, 0))
    if not split.is_open or not (vehicle.build_from or vehicle.build_to):
        return [*points, *_about_split(split, car, known, year)]
    return [*points, Point(Side.OPEN, "The build months on record cannot be read.", 0)]


def _about_split(split: MonthSpan, car: MonthSpan, known: Known, year: int | None) -> list[Point]:
    if split.is_open:
        return []
    told = f"built {month_words(known.build_month)}" if known.build_month else f"of model year {year}"
    if split.meet(car) is None:
        return [Point(Side.AGAINST, f"Holds for build months {split.words}; the car is {told}.")]
    if car.within(split):
        return [Point(Side.FOR, f"Holds for build months {split.words}; the car is {told}.", 3)]
    return [Point(Side.OPEN, f"Only if built {split.words}.", 0)]


def year_by_pattern(vin: Vin, vehicle: Configuration) -> bool:
    """Whether the pattern the VIN lies on settles the model year itself."""
    patterns = patterns_in(vehicle.vin_pattern)
    return bool(patterns) and best_match(vin, patterns).tells_year
