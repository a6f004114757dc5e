"""Like with like: how the conditions of a reading compare with those of the readings behind its range.

What lies no farther apart than readings of one test usually do is *equal*. What the model has seen vary is
*corrected for*. What lies beyond everything it has seen *differs*, and the reading is not comparable until
the test is repeated. What is not recorded is never taken as equal; a range is then the wider for it. The
tolerances are proposals of the trade (common practice, no source).
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.covariates import of_point, raw, with_wet_bulb
from knowngood_refdata.expected.model.vehicles import ELECTRIC, place
from knowngood_refdata.local_air import local_air
from knowngood_refdata.records import AirSource, Opening, Quantity

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.forecasts import Behind, Subject
    from knowngood_refdata.expected.match import Point
    from knowngood_refdata.expected.model.nesting import Floats
    from knowngood_refdata.records import Conditions


class Condition(StrEnum):
    """The conditions of a comparison."""

    AMBIENT = "ambient"
    WET_BULB = "wet bulb"
    ENGINE_SPEED = "engine speed"
    FAN_STAGE = "fan stage"
    BLOWER = "blower"
    AIR_SOURCE = "air source"
    DOORS = "doors"
    HOOD = "hood"
    SUN = "sun"
    AIR_PRESSURE = "local air pressure"
    RUN_TIME = "time running before"


class Grade(StrEnum):
    """How one condition compares."""

    EQUAL = "equal"
    CORRECTED = "corrected for"
    DIFFERS = "differs"
    NOT_RECORDED = "not recorded"


NUMBERED = {
    Condition.AMBIENT: (0, 4.0, 6.0),
    Condition.WET_BULB: (1, 3.0, 4.0),
    Condition.ENGINE_SPEED: (2, 0.15, 0.5),
    Condition.FAN_STAGE: (3, 0.1, 0.1),
    Condition.BLOWER: (4, 0.10, 0.20),
}
"""Place among the covariates, what counts as equal, and how far beyond all readings a range still reaches;
kelvins, doublings of engine speed, stages, share of full speed."""
SWITCHED = {
    Condition.AIR_SOURCE: (5, (AirSource.RECIRCULATION.value, AirSource.FRESH.value)),
    Condition.DOORS: (6, (Opening.CLOSED.value, Opening.OPEN.value)),
    Condition.HOOD: (7, (Opening.CLOSED.value, Opening.OPEN.value)),
    Condition.SUN: (8, ("no sun on the car", "sun on the car")),
}
"""Place among the covariates, and the words for 0 and 1."""
BLOCKING = frozenset(Condition) - {Condition.SUN, Condition.AIR_PRESSURE}
"""Where these differ, a reading is not comparable; the local air is taken up by absolute pressures."""
REQUIRED = frozenset(
    {
        Condition.AMBIENT,
        Condition.WET_BULB,
        Condition.ENGINE_SPEED,
        Condition.FAN_STAGE,
        Condition.AIR_SOURCE,
    }
)
"""Where these are not recorded, a reading is not comparable."""

MOSTLY = 0.8
"""Equal to so much of the weight behind a range is equal."""
SEEN_OFTEN = 5
"""A switch that stood both ways in so many readings each is corrected for."""
AIR_WITHIN_PA = 3_500.0
RUNNING_LONG_S, RUNNING_SHORT_S = 600.0, 300.0


@dataclass(frozen=True, slots=True)
class Likeness:
    """One line of the match sheet.

    Attributes
    ----------
    here
        The value of this reading in SI (engine speed in rpm), None where not recorded.
    there
        Lowest and highest value of the readings behind the range.
    words_here, words_there
        The same for what is no number: ``recirculation``; ``recirculation 9, fresh air 2``.
    reach
        From where to where a test would be comparable, SI; None where that cannot be told.
    wanted
        What a switch should be for the test to be comparable.
    """

    condition: Condition
    grade: Grade
    here: float | None = None
    there: tuple[float, float] | None = None
    words_here: str = ""
    words_there: str = ""
    reach: tuple[float, float] | None = None
    wanted: str = ""

    @property
    def blocks(self) -> bool:
        """Whether the reading is not comparable for it."""
        if self.grade is Grade.NOT_RECORDED:
            return self.condition in REQUIRED
        return self.grade is Grade.DIFFERS and self.condition in BLOCKING


@dataclass(frozen=True, slots=True)
class MatchSheet:
    """Every condition of a reading against the readings behind its range."""

    lines: tuple[Likeness, ...]
    readings: int

    @property
    def blocking(self) -> tuple[Likeness, ...]:
        """What makes the reading not comparable."""
        return tuple(one for one in self.lines if one.blocks)

    def graded(self, grade: Grade) -> tuple[Condition, ...]:
        """The conditions with a grade."""
        return tuple(one.condition for one in self.lines if one.grade is grade)


def match_sheet(book: Book, subject: Subject, behind: Sequence[Behind]) -> MatchSheet:
    """Grade every condition of a subject; ``behind`` are the readings its range stands on."""
    readings = [one.reading for one in behind]
    weight = np.array([abs(one.weight) for one in behind])
    everything = book.part_of(Quantity.LOW_SIDE).rows.covariates
    points = [(one.conditions, one.engine_rpm, one.fan_stage) for one in readings]
    rows = np.array([raw(*one) for one in points], dtype=np.float64).reshape(-1, 10).T
    there = with_wet_bulb(rows) if readings else np.empty((9, 0))
    point = subject.point
    here = of_point(point)
    # The engine does not turn an electric compressor: its speed is no condition.
    numbered = [
        one
        for one in NUMBERED
        if one is not Condition.ENGINE_SPEED or place(subject.vehicle).kind != ELECTRIC
    ]
    lines = [
        *(_numbered(one, here, there, weight, everything) for one in numbered),
        *(_switched(one, here, there, weight, everything) for one in SWITCHED),
        _air_pressure(point, [one.conditions for one in readings]),
        _run_time(point, [one.conditions.run_time_s for one in readings]),
    ]
    return MatchSheet(tuple(lines), len(readings))


def _numbered(
    condition: Condition, here: Floats, there: Floats, weight: Floats, everything: Floats
) -> Likeness:
    place, equal, beyond = NUMBERED[condition]
    mine, theirs = float(here[place]), there[place]
    recorded = np.isfinite(theirs)
    span = _span(theirs[recorded])
    reach = _span(everything[place][np.isfinite(everything[place])])
    wide = None if reach is None else (reach[0] - beyond, reach[1] + beyond)
    shown = _shown(condition, (None if math.isnan(mine) else mine, span, wide))
    if math.isnan(mine) or span is None or reach is None:
        return Likeness(condition, Grade.NOT_RECORDED, *shown[:2], reach=shown[2])
    near = recorded & (np.abs(theirs - mine) <= equal + 1e-9)
    if weight[near].sum() >= MOSTLY * weight.sum():
        grade = Grade.EQUAL
    elif wide is not None and wide[0] - 1e-9 <= mine <= wide[1] + 1e-9:
        grade = Grade.CORRECTED
    else:
        grade = Grade.DIFFERS
    return Likeness(condition, grade, *shown[:2], reach=shown[2])


def _shown(
    condition: Condition, parts: tuple[float | None, tuple[float, float] | None, tuple[float, float] | None]
) -> tuple[float | None, tuple[float, float] | None, tuple[float, float] | None]:
    """Engine speed is modelled by doublings and shown in revolutions."""
    if condition is not Condition.ENGINE_SPEED:
        return parts
    mine, there, reach = parts
    return (None if mine is None else 2.0**mine, _powers(there), _powers(reach))


def _powers(span: tuple[float, float] | None) -> tuple[float, float] | None:
    return None if span is None else (2.0 ** span[0], 2.0 ** span[1])


def _switched(
    condition: Condition, here: Floats, there: Floats, weight: Floats, everything: Floats
) -> Likeness:
    place, words = SWITCHED[condition]
    mine, theirs = float(here[place]), there[place]
    recorded = np.isfinite(theirs)
    counts = Counter(words[int(one)] for one in theirs[recorded])
    told = ", ".join(f"{word} {counts[word]}" for word in words if counts[word])
    if math.isnan(mine) or not recorded.any():
        return Likeness(condition, Grade.NOT_RECORDED, words_here="", words_there=told)
    said = words[int(mine)]
    same = weight[recorded & (theirs == mine)].sum()
    seen = [int((everything[place] == state).sum()) for state in (0.0, 1.0)]
    if same >= MOSTLY * weight[recorded].sum():
        grade = Grade.EQUAL
    elif min(seen) >= SEEN_OFTEN:
        grade = Grade.CORRECTED
    else:
        grade = Grade.DIFFERS
    usual = counts.most_common(1)[0][0]
    return Likeness(condition, grade, words_here=said, words_there=told, wanted=usual)


def _air_pressure(point: Point, conditions: Sequence[Conditions]) -> Likeness:
    here = _recorded_air_pa(point.conditions)
    there = _span(_known(_recorded_air_pa(one) for one in conditions))
    if here is None or there is None:
        return Likeness(Condition.AIR_PRESSURE, Grade.NOT_RECORDED, here, there)
    near = there[0] - AIR_WITHIN_PA <= here <= there[1] + AIR_WITHIN_PA
    return Likeness(Condition.AIR_PRESSURE, Grade.EQUAL if near else Grade.CORRECTED, here, there)


def _recorded_air_pa(one: Conditions) -> float | None:
    known = one.altitude_m is not None or one.barometer_pa is not None
    return local_air(one.barometer_pa, one.altitude_m).pressure_pa if known else None


def _run_time(point: Point, run_times_s: Iterable[float | None]) -> Likeness:
    here = point.conditions.run_time_s
    there = _span(_known(run_times_s))
    if here is None or there is None:
        return Likeness(Condition.RUN_TIME, Grade.NOT_RECORDED, here, there)
    too_short = here < RUNNING_SHORT_S and there[0] >= RUNNING_LONG_S
    grade = Grade.DIFFERS if too_short else Grade.EQUAL
    return Likeness(Condition.RUN_TIME, grade, here, there, reach=(RUNNING_LONG_S, math.inf))


def _known(values: Iterable[float | None]) -> Floats:
    return np.array([one for one in values if one is not None])


def _span(values: Floats) -> tuple[float, float] | None:
    return (float(values.min()), float(values.max())) if values.size else None
