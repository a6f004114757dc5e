"""Where ranges fail: groups of cars whose readings left out fall outside too often."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.calibration import LEVEL, LeftOut, tally
from knowngood_refdata.expected.nodes import car_of, family_name

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.calibration import Asked, Calibration
    from knowngood_refdata.expected.forecasts import What
    from knowngood_refdata.records import Vehicle

CARS_NEEDED = 4
"""Fewer cars fail by chance alone."""
_FAR = 3.0
"""A shortfall so many standard errors large is no chance (one in some seven hundred groups)."""


@dataclass(frozen=True, slots=True)
class Failure:
    """A group of cars in which the ranges of a quantity hold too seldom."""

    left_out: LeftOut
    what: What
    group: str
    held: int
    of: int
    cars: int

    @property
    def sentence(self) -> str:
        """For the page."""
        held = f"90 % ranges held {self.held} of {self.of} readings of {self.cars} cars"
        return f"{self.what}, {self.group}: {held}"


def failures(book: Book, calibration: Calibration) -> tuple[Failure, ...]:
    """Makers, families and compressor kinds where ranges fail, the worst first."""
    groups: dict[tuple[LeftOut, What, str], list[Asked]] = defaultdict(list)
    for one in calibration.asked:
        if one.place is not None:
            for name in _groups_of(book.vehicles[one.reading.vehicle_id]):
                groups[one.left_out, one.what, name].append(one)
    found = [
        (_shortfall(asked), Failure(left_out, what, name, *_counts(asked)))
        for (left_out, what, name), asked in groups.items()
    ]
    kept = [(short, one) for short, one in found if short > _FAR]
    return tuple(one for _, one in sorted(kept, key=lambda pair: -pair[0]))


def _groups_of(vehicle: Vehicle) -> tuple[str, ...]:
    kind = vehicle.spec("compressor")
    found = ["all cars", f"maker {vehicle.maker or vehicle.make}", f"system family {family_name([vehicle])}"]
    return (*found, f"compressor {kind.as_printed}") if kind else tuple(found)


def _counts(asked: Sequence[Asked]) -> tuple[int, int, int]:
    counted = tally(asked)
    return counted.held, counted.of, len({car_of(one.reading) for one in asked})


def _shortfall(asked: Sequence[Asked]) -> float:
    """By how many standard errors too few are held; readings of one car count together."""
    by_car: dict[tuple[int, int], list[bool]] = defaultdict(list)
    for one in asked:
        by_car[car_of(one.reading)].append(one.held)
    if len(by_car) < CARS_NEEDED:
        return 0.0
    shares = np.array([float(np.mean(held)) for held in by_car.values()])
    spread = max(float(shares.std(ddof=1)), float(np.sqrt(LEVEL * (1.0 - LEVEL))))
    return float((LEVEL - shares.mean()) / (spread / np.sqrt(len(shares))))
