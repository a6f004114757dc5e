"""Find today's place in a printed block. Never beyond its ends, never across a gap, never by guess."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise, product
from math import prod
from typing import TYPE_CHECKING

from knowngood_refdata.published.axes import Axis, Steps
from knowngood_refdata.published.curves import on_line
from knowngood_refdata.published.grid import Grid

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from knowngood_refdata.published.curves import Band, Curves, Vertex
    from knowngood_refdata.published.span import Span
    from knowngood_refdata.published.terms import Variable
    from knowngood_refdata.quantities import MeasuringUnit

    Given = Callable[[Variable], float | None]
    """What a variable is today, in SI."""

_SLACK = 1e-9
_STRICTLY = {"begins": "above", "ends": "below"}


class SaysNothing(LookupError):  # noqa: N818 - reads as what it is
    """The table gives no range here; the text says why."""


@dataclass(frozen=True, slots=True)
class Place:
    """Stops of an axis by index with their weights, which add up to one, and how they were found."""

    weights: tuple[tuple[int, float], ...]
    how: str


@dataclass(frozen=True, slots=True)
class Found:
    """A range in SI as the publication counts it; ``printed`` is its text where it stands there so."""

    low: float | None
    high: float | None
    how: str
    printed: str = ""


def look_up(part: Grid | Curves, given: Given, column: int = 0) -> Found:
    """The range of one column of a printed block.

    Parameters
    ----------
    given
        Answers what a variable is today, in SI, None when not recorded.
    column
        Index of the column; a chart has one.

    Raises
    ------
    SaysNothing
        When the block gives no range for this.
    """
    return _in_grid(part, given, column) if isinstance(part, Grid) else _in_chart(part, given)


def _in_grid(part: Grid, given: Given, column: int) -> Found:
    places = [locate(axis, _known(axis.variable, given)) for axis in part.axes]
    cells: list[tuple[Span, float]] = []
    for combination in product(*(place.weights for place in places)):
        indices = [index for index, _ in combination]
        cell = part.cells[part.row(indices)][column]
        if cell is None:
            raise SaysNothing(f"the table leaves the cell for {_stops(part.axes, indices)} empty")
        cells.append((cell, prod(weight for _, weight in combination)))
    low = _blend([(cell.low, weight) for cell, weight in cells])
    high = _blend([(cell.high, weight) for cell, weight in cells])
    if low is None and high is None:
        raise SaysNothing("neighbouring rows give different sides of the range: nothing lies between them")
    how = "; ".join(place.how for place in places) or "the one range that is printed"
    if len(cells) == 1:
        return Found(low, high, how, cells[0][0].printed)
    return Found(low, high, how + _dropped([cell for cell, _ in cells]))


def _in_chart(part: Curves, given: Given) -> Found:
    along = _known(part.along, given)
    place = Place(((0, 1.0),), "") if part.by is None else locate(part.by, _known(part.by.variable, given))
    bands = [(_on_band(part, part.bands[index], along), weight) for index, weight in place.weights]
    at = f"on the printed lines at {shown(along, part.along_unit)} {part.along}"
    return Found(
        _blend([(low, weight) for (low, _), weight in bands]),
        _blend([(high, weight) for (_, high), weight in bands]),
        f"{at}, straight between the points read off" + (f"; {place.how}" if place.how else ""),
    )


def locate(axis: Axis, value: float) -> Place:
    """The stops of an axis that hold for a value in SI.

    A value on the edge that two bins share belongs to the lower one. A threshold holds above itself, up
    to the next one.

    Raises
    ------
    SaysNothing
        Below the first stop, above the last one, or in a gap.
    """
    return {Steps.POINTS: _among_points, Steps.BINS: _among_bins, Steps.ABOVE: _above}[axis.steps](
        axis, value
    )


def check_within(span: Span, variable: Variable, unit: MeasuringUnit, value: float | None) -> None:
    """Refuse a value outside a printed limit; one that is not recorded passes.

    Raises
    ------
    SaysNothing
        When the value lies outside.
    """
    if value is not None and not _holds(span, value):
        raise SaysNothing(
            f"the table holds for {span.printed} {unit.symbol} {variable} only, and today it is "
            f"{shown(value, unit)}"
        )


def shown(value: float, unit: MeasuringUnit) -> str:
    """A value in SI as text in a printed unit.

    >>> from knowngood_refdata.quantities import Kind, unit
    >>> shown(303.15, unit("°C", Kind.TEMPERATURE))
    '30 °C'
    """
    return f"{round(unit.from_si(value), 2):,.6g} {unit.symbol}"


def _known(variable: Variable, given: Given) -> float:
    value = given(variable)
    if value is None:
        raise SaysNothing(f"the table goes by {variable}, which is not recorded today")
    return value


def _among_points(axis: Axis, value: float) -> Place:
    points = [edge for stop in axis.stops for edge in stop.edges[:1]]
    for index, point in enumerate(points):
        if abs(value - point) <= _slack(point):
            return Place(((index, 1.0),), f"the row for {_named(axis, index)}")
    for index, (before, after) in enumerate(pairwise(points)):
        if before < value < after:
            share = (value - before) / (after - before)
            how = (
                f"between the rows for {axis.stops[index].printed} and {_named(axis, index + 1)}: "
                "interpolated linearly"
            )
            return Place(((index, 1.0 - share), (index + 1, share)), how)
    raise _beyond(axis, value)


def _among_bins(axis: Axis, value: float) -> Place:
    holding = [index for index, stop in enumerate(axis.stops) if _holds(stop, value)]
    if holding:
        index = holding[0]
        how = f"the bin {_named(axis, index)}"
        if len(holding) > 1:
            both = f"{axis.stops[index].printed} and {_named(axis, holding[1])}"
            how = f"on the edge of the bins {both}: the first counts"
        return Place(((index, 1.0),), how)
    for index, (before, after) in enumerate(pairwise(axis.stops)):
        if before.high is not None and after.low is not None and before.high <= value <= after.low:
            raise SaysNothing(
                f"{shown(value, axis.unit)} {axis.variable} lies between the bins {before.printed} and "
                f"{_named(axis, index + 1)}: the table says nothing there"
            )
    raise _beyond(axis, value)


def _above(axis: Axis, value: float) -> Place:
    holding = [index for index, stop in enumerate(axis.stops) if _holds(stop, value)]
    if not holding:
        raise _beyond(axis, value)
    return Place(((holding[-1], 1.0),), f"the row {_named(axis, holding[-1])}")


def _holds(span: Span, value: float) -> bool:
    for edge, side in ((span.low, 1.0), (span.high, -1.0)):
        if edge is None:
            continue
        beyond = side * (value - edge)
        if beyond <= _slack(edge) if span.strict else beyond < -_slack(edge):
            return False
    return True


def _slack(edge: float) -> float:
    """What rounding makes of one and the same number on its way through units."""
    return _SLACK * max(1.0, abs(edge))


def _beyond(axis: Axis, value: float) -> SaysNothing:
    first, last = axis.stops[0], axis.stops[-1]
    starts = first.low is not None and value <= first.low + _slack(first.low)
    stop, verb, edge = (first, "begins", first.low) if starts else (last, "ends", last.high)
    assert edge is not None, "a value beyond an open end is in it"
    where = f"{_STRICTLY[verb]} {shown(edge, axis.unit)}" if stop.strict else f"at {shown(edge, axis.unit)}"
    today = shown(value, axis.unit)
    return SaysNothing(f"the table {verb} {where} {axis.variable}, and today it is {today}")


def _named(axis: Axis, index: int) -> str:
    return f"{axis.stops[index].printed} {axis.unit.symbol} {axis.variable}"


def _stops(axes: Sequence[Axis], indices: Sequence[int]) -> str:
    return " and ".join(_named(axis, index) for axis, index in zip(axes, indices, strict=True))


def _blend(weighted: Sequence[tuple[float | None, float]]) -> float | None:
    values = [value for value, _ in weighted if value is not None]
    if len(values) < len(weighted):
        return None
    total = sum(value * weight for value, (_, weight) in zip(values, weighted, strict=True))
    # Rounding must not carry the answer beyond the rows it lies between.
    return min(max(total, min(values)), max(values))


def _dropped(cells: Sequence[Span]) -> str:
    """What is lost where neighbours do not print the same edges."""
    for name, edges in (("lower", [cell.low for cell in cells]), ("upper", [cell.high for cell in cells])):
        if None in edges and any(edge is not None for edge in edges):
            return f"; not every row prints the {name} value, so none is given"
    return ""


def _on_band(part: Curves, band: Band, along: float) -> tuple[float, float]:
    low, high = (on_line(line, _snapped(line, along)) for line in (band.lower, band.upper))
    if low is not None and high is not None:
        return low, high
    starts = max(line[0].along for line in (band.lower, band.upper))
    ends = min(line[-1].along for line in (band.lower, band.upper))
    verb, edge = ("begin", starts) if along < starts else ("end", ends)
    raise SaysNothing(
        f"the printed lines {verb} at {shown(edge, part.along_unit)} {part.along}, and today it is "
        f"{shown(along, part.along_unit)}"
    )


def _snapped(line: tuple[Vertex, ...], along: float) -> float:
    for end in (line[0].along, line[-1].along):
        if abs(along - end) <= _slack(end):
            return end
    return along
