"""The book of known-good readings, learnt: ask it what a car should read."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Self

import numpy as np

from knowngood_refdata.expected.forecasting import aimed, forecast, model_of
from knowngood_refdata.expected.forecasts import Behind, Forecast, Side, Subject, What
from knowngood_refdata.expected.model.answers import answers
from knowngood_refdata.expected.model.extract import Extract, extract
from knowngood_refdata.expected.model.fitted import Fitted, Lesson, fitted, teach
from knowngood_refdata.expected.model.influence import weights
from knowngood_refdata.expected.model.modelled import RESPONSES, STEADY, Modelled
from knowngood_refdata.expected.model.rows import Rows, sorted_rows
from knowngood_refdata.expected.model.strays import stray_readings
from knowngood_refdata.expected.model.vehicles import places
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from collections.abc import Collection, Container, Iterable, Mapping

    from numpy.typing import NDArray

    from knowngood_refdata.expected.model.vehicles import Place
    from knowngood_refdata.records import Reading, Vehicle

FLAGGED = 0.5
"""A reading that is more likely wrong than not is flagged."""
_AT_ONCE = 64
"""So few readings are always learnt from together."""
MOSTLY = 0.85
"""What was learnt from a smaller part of a quantity's readings does not hold for the rest."""
LIGHTEST = 1e-4
"""Readings that weigh less are not listed."""


@dataclass(frozen=True, slots=True)
class Part:
    """The rows of some quantities, what was learnt of each, and the fits.

    ``settled`` are the lessons from the book's first readings, ``lessons`` those in use: a quantity that was
    mostly measured later is learnt from all its readings.
    """

    models: tuple[Modelled, ...]
    rows: Rows
    settled: Mapping[Modelled, Lesson]
    lessons: Mapping[Modelled, Lesson]
    fits: Mapping[Modelled, Fitted]


@dataclass(frozen=True, slots=True)
class Book:
    """Known-good readings with what they teach; made by `of`, never changed.

    The same readings give the same ranges to the last digit, in whatever order they came.
    """

    readings: tuple[Reading, ...]
    vehicles: Mapping[int, Vehicle]
    places: Mapping[int, Place]
    numbers: Extract
    settled: NDArray[np.int64]
    parts: tuple[Part, ...]

    @classmethod
    def of(cls, readings: Iterable[Reading], vehicles: Iterable[Vehicle]) -> Self:
        """Learn from readings; the vehicles must include theirs.

        Raises
        ------
        ValueError
            When the vehicle of a reading is missing.
        """
        by_id = {one.id: one for one in vehicles}
        kept = tuple({one.id: one for one in readings}.values())
        _need_vehicles(kept, by_id)
        return cls._learnt(kept, by_id, extract(kept, by_id), None)

    def with_readings(self, more: Iterable[Reading], vehicles: Iterable[Vehicle] = ()) -> Self:
        """The book with more readings; what was learnt is kept while it is still what it should be."""
        given = {one.id: one for one in vehicles}
        by_id = {**self.vehicles, **given}
        added = {one.id: one for one in more}
        _need_vehicles(added.values(), by_id)
        changed = any(self.vehicles.get(number, one) != one for number, one in given.items())
        if changed or np.isin(list(added), self.numbers.keys[4]).any():
            kept = {one.id: one for one in self.readings} | added
            return type(self).of(kept.values(), by_id.values())
        new = tuple(added.values())
        numbers = self.numbers.joined(extract(new, by_id))
        return self._learnt(self.readings + new, by_id, numbers, self)

    def without(self, reading_ids: Container[int]) -> Self:
        """The book without some readings, as after their retirement."""
        kept = [one for one in self.readings if one.id not in reading_ids]
        return type(self).of(kept, self.vehicles.values())

    @classmethod
    def _learnt(
        cls, readings: tuple[Reading, ...], by_id: Mapping[int, Vehicle], numbers: Extract, old: Book | None
    ) -> Self:
        idents = np.sort(numbers.keys[4])
        first = idents[: settled_count(len(idents))]
        places_now = places(one for number, one in by_id.items() if old is None or number not in old.places)
        place_of = places_now if old is None else {**old.places, **places_now}
        kept = old if old is not None and np.array_equal(old.settled, first) else None
        parts = tuple(
            _part(models, one, place_of, first, None if kept is None else kept.parts[at].settled)
            for at, (models, one) in enumerate(((STEADY, numbers), (RESPONSES, answers(numbers))))
        )
        return cls(readings, by_id, place_of, numbers, first, parts)

    def part_of(self, what: What) -> Part:
        """The part that holds a quantity."""
        return self.parts[1] if isinstance(what, Side) else self.parts[0]

    def fit_of(self, what: What) -> Fitted | None:
        """The fit behind a quantity, None without readings."""
        return self.part_of(what).fits.get(model_of(what))

    def forecast(self, subject: Subject, what: What) -> Forecast:
        """The range of one quantity or answer for a subject."""
        return forecast(self.fit_of(what), subject, what)

    def forecasts(self, subject: Subject) -> dict[Quantity, Forecast]:
        """The ranges of all quantities for a subject."""
        return {quantity: self.forecast(subject, quantity) for quantity in Quantity}

    def response(self, subject: Subject, side: Side, to_rpm: float) -> Forecast:
        """The range of the answer of a side to engine speed, from the subject's own to another."""
        from_rpm = subject.point.engine_rpm
        mean = None if from_rpm is None else math.sqrt(from_rpm * to_rpm)
        between = replace(subject, point=replace(subject.point, engine_rpm=mean))
        return self.forecast(between, side)

    def behind(self, subject: Subject, what: What) -> tuple[Behind, ...]:
        """The readings a range stands on, the heaviest first, in the unit that is modelled.

        Of a pair of readings behind an answer to engine speed the later one is named.
        """
        fit = self.fit_of(what)
        if fit is None:
            return ()
        aim = aimed(fit, subject, what)
        weight, wrong = weights(fit, aim.target, aim.kin), stray_readings(fit)
        readings = [self.part_of(what).rows.readings[row] for row in fit.tree.rows]
        found = [
            Behind(reading, float(w), bool(p > FLAGGED))
            for reading, w, p in zip(readings, weight, wrong, strict=True)
            if abs(w) >= LIGHTEST
        ]
        return tuple(sorted(found, key=lambda one: (-abs(one.weight), one.reading.id)))


def settled_count(readings: int) -> int:
    """From how many of the earliest readings scales are learnt: it rises by a sixteenth at a time.

    >>> [settled_count(n) for n in (10, 64, 67, 68, 1000)]
    [10, 64, 64, 68, 991]
    """
    count = _AT_ONCE
    if readings <= count:
        return readings
    while count + count // 16 <= readings:
        count += count // 16
    return count


def _part(
    models: tuple[Modelled, ...], numbers: Extract, place_of: Mapping[int, Place],
    first: NDArray[np.int64], settled: Mapping[Modelled, Lesson] | None,
) -> Part:  # fmt: skip
    rows = sorted_rows(numbers, place_of)
    chosen = np.isin([one.id for one in rows.readings], first)
    if settled is None:
        known = np.isin(numbers.keys[4], first)
        early = rows if known.all() else sorted_rows(numbers.part(np.flatnonzero(known)), place_of)
        settled = _taught(models, early)
    measured = np.isfinite(rows.values)
    mostly_late = (measured & chosen).sum(axis=1) < MOSTLY * measured.sum(axis=1)
    late = [model for model, so in zip(models, mostly_late, strict=True) if so]
    lessons = {model: lesson for model, lesson in settled.items() if model not in late}
    lessons |= _taught(models, rows, late)
    every = np.ones(rows.count, dtype=bool)
    fits = {
        model: fitted(models.index(model), rows, lesson, every if model in late else chosen)
        for model, lesson in lessons.items()
    }
    return Part(models, rows, settled, lessons, fits)


def _taught(
    models: tuple[Modelled, ...], rows: Rows, wanted: Collection[Modelled] | None = None
) -> dict[Modelled, Lesson]:
    lessons = {
        model: teach(model, which, rows)
        for which, model in enumerate(models)
        if wanted is None or model in wanted
    }
    return {model: lesson for model, lesson in lessons.items() if lesson is not None}


def _need_vehicles(readings: Iterable[Reading], by_id: Mapping[int, Vehicle]) -> None:
    for one in readings:
        if one.vehicle_id not in by_id:
            raise ValueError(f"reading {one.id} is of vehicle {one.vehicle_id}, which was not given")
