"""How often the ranges of this very library hold readings it was not shown.

Cars, or whole configurations, are left out by folds: each fold takes at most a few of every parent, what is
left is fitted anew, with the scales learnt from all, and each reading left out is forecast. Scales rest on
hundreds of effects, so that one car moves them little; sites and effects are all found anew.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.forecasting import aimed, model_of
from knowngood_refdata.expected.forecasts import Basis, Side, Subject, What
from knowngood_refdata.expected.match import Point
from knowngood_refdata.expected.model.covariates import Covariate
from knowngood_refdata.expected.model.fitted import fitted_without
from knowngood_refdata.expected.model.forecast import outlook
from knowngood_refdata.expected.model.kin import backing
from knowngood_refdata.expected.sufficiency import too_little
from knowngood_refdata.expected.suspects import MODELLED

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from numpy.typing import NDArray

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.model.fitted import Fitted
    from knowngood_refdata.records import Reading

FOLDS = 8
MOST = 1500
"""Of one quantity at one level no more readings are asked: whole folds, in a fixed order."""
LEVEL, INNER = 0.90, 0.50


class LeftOut(StrEnum):
    """What was kept from the library before it was asked."""

    UNIT = "one car left out"
    CONFIGURATION = "one configuration left out"


@dataclass(frozen=True, slots=True)
class Asked:
    """A reading that was left out, and the probability that its range gave to all below it.

    ``place`` is None where the library would have said that not enough is known.
    """

    left_out: LeftOut
    basis: Basis
    what: What
    reading: Reading
    place: float | None

    @property
    def held(self) -> bool:
        """Whether the 90 % range held it."""
        return self.place is not None and abs(self.place - 0.5) <= LEVEL / 2

    @property
    def held_inner(self) -> bool:
        """Whether the 50 % range held it."""
        return self.place is not None and abs(self.place - 0.5) <= INNER / 2


@dataclass(frozen=True, slots=True)
class Tally:
    """How many of the readings asked were held by the 90 % and the 50 % range; ``unknown`` had no range."""

    held: int
    of: int
    inner_held: int
    unknown: int

    @property
    def share(self) -> float:
        """Part of the readings with a range that were held; NaN for none."""
        return self.held / self.of if self.of else float("nan")


@dataclass(frozen=True, slots=True)
class Calibration:
    """All readings that were left out and asked, in a fixed order."""

    asked: tuple[Asked, ...]

    def tally(
        self, left_out: LeftOut | None = None, what: What | None = None, basis: Basis | None = None
    ) -> Tally:
        """Count those of one kind; all where nothing is named."""
        return tally(
            one
            for one in self.asked
            if left_out in (None, one.left_out) and what in (None, one.what) and basis in (None, one.basis)
        )

    @property
    def misses(self) -> tuple[Asked, ...]:
        """Readings outside their 90 % range, the furthest out first."""
        outside = [one for one in self.asked if one.place is not None and not one.held]
        return tuple(sorted(outside, key=lambda one: (-abs((one.place or 0.0) - 0.5), one.reading.id)))


def tally(asked: Iterable[Asked]) -> Tally:
    """Count readings that were asked."""
    every = list(asked)
    known = [one for one in every if one.place is not None]
    held, inner = sum(one.held for one in known), sum(one.held_inner for one in known)
    return Tally(held, len(known), inner, len(every) - len(known))


class Cancelled(Exception):  # noqa: N818 - reads as what it is
    """Somebody did not want to wait for the calibration."""


def calibrate(
    book: Book,
    progress: Callable[[float], None] = lambda _: None,
    cancelled: Callable[[], bool] = lambda: False,
    quantities: Sequence[What] = MODELLED,
) -> Calibration:
    """Leave out cars and configurations and count how often the ranges hold.

    The low side is held wherever the evaporating temperature is, the high side wherever condensing above
    ambient is.

    Raises
    ------
    Cancelled
        When ``cancelled`` says so between two folds.
    """
    found: list[Asked] = []
    jobs = [(what, left_out) for what in quantities for left_out in LeftOut]
    for done, (what, left_out) in enumerate(jobs):
        count = 0
        for fold in range(FOLDS):
            progress((done + fold / FOLDS) / len(jobs))
            if cancelled():
                raise Cancelled
            asked = list(_asked(book, what, left_out, fold)) if count < MOST else []
            count += len(asked)
            found += asked
    progress(1.0)
    return Calibration(tuple(found))


def _asked(book: Book, what: What, left_out: LeftOut, fold: int) -> Iterator[Asked]:
    fit, part, model = book.fit_of(what), book.part_of(what), model_of(what)
    if fit is None:
        return
    out = np.zeros(part.rows.count, dtype=bool)
    out[fit.tree.rows[_folds(fit, left_out) == fold]] = True
    kept = ~out & np.isfinite(part.rows.values[part.models.index(model)])
    if kept.sum() < 2 or not out.any():
        return
    rest = fitted_without(part.models.index(model), part.rows, part.lessons[model], kept)
    for row in np.flatnonzero(out):
        yield _one(book, rest, what, left_out, int(row))


def _folds(fit: Fitted, left_out: LeftOut) -> NDArray[np.intp]:
    """The fold of each reading (n,); -1 where it is never left out.

    Cars of a configuration, and configurations of a family, are dealt to the folds in turn. A car that is
    all its configuration has is not left out by itself: that is the other question.
    """
    nesting = fit.tree.nesting
    below = nesting.configuration if left_out is LeftOut.UNIT else nesting.family
    counts = np.bincount(below.of)
    # Each parent begins with another fold, so that all folds get alike many.
    turn = np.arange(len(below.of)) - below.start[below.of] + below.of
    fold = turn % FOLDS
    unit = nesting.unit.of[nesting.visit.of]
    if left_out is LeftOut.UNIT:
        return np.where(counts[below.of] > 1, fold, -1)[unit]
    return fold[nesting.configuration.of[unit]]


def _one(book: Book, rest: Fitted, what: What, left_out: LeftOut, row: int) -> Asked:
    part, which = book.part_of(what), book.part_of(what).models.index(model_of(what))
    reading = part.rows.readings[row]
    # Behind an answer to engine speed stand two readings: its speed is the mean of both.
    octave = float(part.rows.covariates[Covariate.ENGINE_SPEED, row])
    speed = 2.0**octave if np.isfinite(octave) else None
    stated = {} if isinstance(what, Side) else {what: float(part.rows.stated[which, row])}
    point = Point(reading.conditions, speed, reading.fan_stage)
    aim = aimed(rest, Subject(book.vehicles[reading.vehicle_id], reading.unit_id, point, stated), what)
    refused = too_little(rest, aim.kin, backing(rest, aim.kin), aim.target.place)
    value = float(part.rows.values[which, row]) - rest.frame.origin
    place = None if refused else outlook(rest, aim.target).cumulative(value)
    return Asked(left_out, aim.kin.basis, what, reading, place)
