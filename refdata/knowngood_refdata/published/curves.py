"""Printed charts: a figure along one variable, between a lower and an upper line."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from knowngood_refdata.published.axes import check_possible, check_unit
from knowngood_refdata.published.span import Span
from knowngood_refdata.published.terms import BadTable, Variable

if TYPE_CHECKING:
    from knowngood_refdata.published.axes import Axis, Column, Limit
    from knowngood_refdata.quantities import MeasuringUnit


@dataclass(frozen=True, slots=True)
class Vertex:
    """A point read off a printed line, both coordinates in SI."""

    along: float
    value: float


@dataclass(frozen=True, slots=True)
class Band:
    """The lower and the upper line of a chart, for one stop of the axis that tells the bands apart."""

    lower: tuple[Vertex, ...]
    upper: tuple[Vertex, ...]


@dataclass(frozen=True, slots=True)
class Curves:
    """A chart: a figure along one variable, between a lower and an upper line, by bands of a second one.

    A chart that reads pressure against liquid-line temperature is one too: its two lines bound the zone
    printed as proper. ``bands`` has one entry for each stop of ``by``, or one where there is no ``by``.
    """

    column: Column
    along: Variable
    along_unit: MeasuringUnit
    bands: tuple[Band, ...]
    by: Axis | None = None
    name: str = ""
    at_rest: bool = False
    fault: str = ""
    limits: tuple[Limit, ...] = ()

    def __post_init__(self) -> None:
        check_unit(self.along, self.along_unit)
        if self.by is not None and self.by.variable is self.along:
            raise BadTable(f"the chart goes by {self.along} twice")
        wanted = 1 if self.by is None else len(self.by.stops)
        if len(self.bands) != wanted:
            raise BadTable(
                f"the chart has {wanted} bands by its conditions but {len(self.bands)} pairs of lines"
            )
        for band in self.bands:
            for line in (band.lower, band.upper):
                self._check_line(line)
            _check_not_crossed(band, self.along_unit)

    @property
    def columns(self) -> tuple[Column, ...]:
        """The one figure that the chart gives."""
        return (self.column,)

    def _check_line(self, line: tuple[Vertex, ...]) -> None:
        if len(line) < 2:
            raise BadTable("a line of a chart needs at least two points")
        for before, after in pairwise(line):
            if not before.along < after.along:
                raise BadTable(f"the points of a line must rise along the {self.along}")
        for vertex in line:
            along, value = self.along_unit.from_si(vertex.along), self.column.unit.from_si(vertex.value)
            check_possible(self.along, Span(f"{along:g}", vertex.along, vertex.along), self.along_unit)
            self.column.check(Span(f"{value:g}", vertex.value, vertex.value))


def on_line(line: tuple[Vertex, ...], along: float) -> float | None:
    """The value of a line at a place, None beyond its ends; linear between its points.

    >>> on_line((Vertex(20.0, 6.0), Vertex(30.0, 16.0)), 25.0)
    11.0
    """
    for before, after in pairwise(line):
        if before.along <= along <= after.along:
            share = (along - before.along) / (after.along - before.along)
            return before.value * (1.0 - share) + after.value * share
    return None


def _check_not_crossed(band: Band, unit: MeasuringUnit) -> None:
    # Lines of straight pieces can cross only if they are the wrong way round at one of their points.
    for vertex in (*band.lower, *band.upper):
        low, high = on_line(band.lower, vertex.along), on_line(band.upper, vertex.along)
        if low is not None and high is not None and low > high and not math.isclose(low, high):
            raise BadTable(
                f"at {unit.from_si(vertex.along):.4g} {unit.symbol} the lower line lies above the upper one"
            )
