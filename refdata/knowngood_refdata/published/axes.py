"""The parts of a printed grid: an axis with its stops, a column with its unit, a limit."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import TYPE_CHECKING

from knowngood_refdata.published.terms import POSSIBLE, BadTable, Figure, Reference, Variable, kind_of
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from knowngood_refdata.published.span import Span
    from knowngood_refdata.quantities import MeasuringUnit


class Steps(StrEnum):
    """How the rows of an axis follow one another, which says whether anything lies between two."""

    POINTS = "points"
    BINS = "bins"
    ABOVE = "above"


@dataclass(frozen=True, slots=True)
class Axis:
    """What a grid is entered with: a variable, its printed unit, and its stops in rising order.

    ``POINTS`` are single numbers, interpolated between. ``BINS`` are ranges that may touch or leave gaps and
    never overlap; the outer ones may be open. ``ABOVE`` are thresholds, each holding up to the next.
    """

    variable: Variable
    unit: MeasuringUnit
    stops: tuple[Span, ...]
    steps: Steps
    heading: str = ""

    def __post_init__(self) -> None:
        check_unit(self.variable, self.unit)
        if not self.stops:
            raise BadTable(f"the {self.variable} has no rows")
        for stop in self.stops:
            check_possible(self.variable, stop, self.unit)
            self._check_fits(stop)
        for before, after in pairwise(self.stops):
            self._check_rises(before, after)

    def _check_fits(self, stop: Span) -> None:
        fits = {
            Steps.POINTS: stop.is_point,
            Steps.BINS: not stop.is_point,
            Steps.ABOVE: stop.high is None,
        }[self.steps]
        if not fits:
            raise BadTable(
                f"'{stop.printed}' does not fit among the {self.variable} {_STEPS_IN_WORDS[self.steps]}: "
                "do not mix single numbers, bins and thresholds"
            )

    def _check_rises(self, before: Span, after: Span) -> None:
        start = _bottom(after)
        # A threshold holds up to the next, so only where it starts must rise.
        end = _top(before) if self.steps is Steps.BINS else _bottom(before)
        if start < end and self.steps is Steps.BINS and start > _bottom(before):
            raise BadTable(
                f"the {self.variable} bins '{before.printed}' and '{after.printed}' overlap: a value in both "
                "would have two answers"
            )
        if start < end or (start == end and self.steps is not Steps.BINS):
            raise BadTable(
                f"the {self.variable} must rise from row to row, and '{after.printed}' comes after "
                f"'{before.printed}'"
            )


@dataclass(frozen=True, slots=True)
class Column:
    """One figure that a table gives, in its printed unit."""

    figure: Figure
    unit: MeasuringUnit
    reference: Reference = Reference.NOT_SAID
    heading: str = ""

    def __post_init__(self) -> None:
        check_unit(self.figure, self.unit)
        if self.reference is not Reference.NOT_SAID and self.unit.kind is not Kind.PRESSURE:
            raise BadTable(f"the {self.figure} is no pressure, so it is neither gauge nor absolute")

    def check(self, span: Span) -> None:
        """Refuse a printed range that no system can show.

        Raises
        ------
        BadTable
            When an edge is impossible in this unit.
        """
        check_possible(self.figure, span, self.unit)
        if self.reference is Reference.ABSOLUTE and min(span.edges) < 0.0:
            raise BadTable(f"{self.figure} '{span.printed}' {self.unit.symbol} absolute lies below a vacuum")


@dataclass(frozen=True, slots=True)
class Limit:
    """A condition outside which the publication forbids the test or gives nothing."""

    variable: Variable
    unit: MeasuringUnit
    span: Span

    def __post_init__(self) -> None:
        check_unit(self.variable, self.unit)
        check_possible(self.variable, self.span, self.unit)


def check_unit(what: Variable | Figure, unit: MeasuringUnit) -> None:
    """Refuse a unit of another kind; raises `BadTable`."""
    if unit.kind is not kind_of(what):
        raise BadTable(f"the {what} cannot be in '{unit.symbol}': that is a unit of {unit.kind}")


def check_possible(what: Variable | Figure, span: Span, unit: MeasuringUnit) -> None:
    """Refuse edges that no system and no workshop has; raises `BadTable`."""
    lowest, highest = POSSIBLE[what]
    slack = 1e-9 * max(1.0, abs(highest))
    if min(span.edges) < lowest - slack or max(span.edges) > highest + slack:
        raise BadTable(
            f"{what} '{span.printed}' {unit.symbol} is impossible: between {unit.from_si(lowest):.4g} and "
            f"{unit.from_si(highest):.4g} {unit.symbol} was expected; check the unit and the digits"
        )


def _bottom(span: Span) -> float:
    return -math.inf if span.low is None else span.low


def _top(span: Span) -> float:
    return math.inf if span.high is None else span.high


_STEPS_IN_WORDS = {Steps.POINTS: "points", Steps.BINS: "bins", Steps.ABOVE: "thresholds"}
