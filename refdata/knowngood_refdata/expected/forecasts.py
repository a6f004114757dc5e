"""What a healthy reading of one car under given conditions should show, and what stands behind it."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_refdata.expected.model.forecast import Basis
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood_refdata.expected.interval import Interval
    from knowngood_refdata.expected.match import Point
    from knowngood_refdata.expected.model.outlook import Outlook
    from knowngood_refdata.expected.scale import Scale
    from knowngood_refdata.records import Reading, Vehicle

__all__ = ["Basis", "Behind", "Forecast", "Side", "Subject", "What"]


class Side(StrEnum):
    """The answer of a side to engine speed: change of ln(absolute pressure) a doubling of it."""

    LOW = "low side answer to engine speed"
    HIGH = "high side answer to engine speed"


What = Quantity | Side


@dataclass(frozen=True, slots=True)
class Subject:
    """Whose reading is to come, and under which conditions.

    ``uncertainty`` holds the standard uncertainty of today's reading, in the quantity's SI unit, where it is
    known: worse instruments than usual make the range wider.
    """

    vehicle: Vehicle
    unit_id: int | None
    point: Point
    uncertainty: Mapping[Quantity, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Forecast:
    """The range of one quantity for one subject, in SI units.

    Attributes
    ----------
    centre, inner, outer
        Median, 50 % and 90 % interval of a healthy reading; None when not enough is known.
    basis
        The nearest kin with readings, None when there is no reading at all.
    readings, cars, configurations
        How many of that kin stand behind it; of the whole book for `Basis.ALL`.
    reason
        Why not enough is known; empty otherwise.
    remarks
        What makes the range wider than it could be, or less sure than it looks.
    """

    what: What
    centre: float | None
    inner: Interval | None
    outer: Interval | None
    basis: Basis | None
    readings: int
    cars: int
    configurations: int
    reason: str = ""
    remarks: tuple[str, ...] = ()
    outlook: Outlook | None = field(default=None, repr=False)
    scale: Scale | None = field(default=None, repr=False)

    @property
    def known(self) -> bool:
        """Whether there is a range."""
        return self.outer is not None

    @property
    def stands_on(self) -> str:
        """What the range stands on in words: ``16 readings of 8 cars of its configuration``."""
        readings = _counted(self.readings, "reading")
        if self.basis is Basis.UNIT:
            return f"{readings} of {self.basis}"
        return f"{readings} of {_counted(self.cars, 'car')} of {self.basis or Basis.ALL}"

    def probability_below(self, value: float) -> float:
        """Probability that a healthy reading lies below a value.

        Raises
        ------
        ValueError
            When not enough is known.
        """
        if self.outlook is None or self.scale is None:
            raise ValueError(f"{self.what}: {self.reason}")
        return self.outlook.cumulative(self.scale.inside(value))


@dataclass(frozen=True, slots=True)
class Behind:
    """A reading behind a range: by how much the centre moves when the reading moves by one.

    ``flagged`` tells that it stands so far off that it counts for little.
    """

    reading: Reading
    weight: float
    flagged: bool


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
