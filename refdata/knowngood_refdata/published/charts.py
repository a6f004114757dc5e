"""Enter a printed chart as the points read off its lines, and write them back.

One row a point; a line that has no point in a row leaves its cell empty, and the column of the bands is
left out where the chart has one pair of lines::

    RH %  | Intake °C | Lower vent °C | Upper vent °C
    50-60 | 20        | 4             | 8
          | 25        | 6             |
          | 35        | 12            | 20
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.published.axes import Axis, Column
from knowngood_refdata.published.curves import Band, Curves, Vertex
from knowngood_refdata.published.headings import Heading, PrintedUnit, read_heading
from knowngood_refdata.published.layout import Line, Unclear, check_lengths, lines_of
from knowngood_refdata.published.pasted import heading_of, steps_of
from knowngood_refdata.published.span import Span, comma_is_decimal, is_blank, read_span
from knowngood_refdata.published.terms import BadTable, Figure, Variable

if TYPE_CHECKING:
    from knowngood_refdata.quantities import MeasuringUnit

_SIDE = re.compile(r"(lower|upper)\s+(.*)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class PastedChart:
    """What pasted points became: a chart, or the problem that stands in the way."""

    curves: Curves | None
    problem: str = ""


def read_chart(text: str) -> PastedChart:
    r"""The chart of points pasted as text; see the module for the form.

    >>> chart = read_chart("Intake °C;Lower vent °C;Upper vent °C\n20;4;8\n35;12;20").curves
    >>> len(chart.bands), len(chart.bands[0].lower)
    (1, 2)
    """
    try:
        return PastedChart(_chart(text))
    except (Unclear, BadTable) as error:
        return PastedChart(None, str(error))


def print_chart(curves: Curves) -> str:
    """The points of a chart as text that `read_chart` reads back, parted by tabs."""
    column = curves.column
    name = heading_of("", column.figure, PrintedUnit(column.unit, column.reference))
    header = [heading_of("", curves.along, PrintedUnit(curves.along_unit)), f"Lower {name}", f"Upper {name}"]
    if curves.by is not None:
        header.insert(0, heading_of(curves.by.heading, curves.by.variable, PrintedUnit(curves.by.unit)))
    lines = ["\t".join(header)]
    for index, band in enumerate(curves.bands):
        sides = [{vertex.along: vertex.value for vertex in line} for line in (band.lower, band.upper)]
        for along in sorted(sides[0].keys() | sides[1].keys()):
            cells = [_number(along, curves.along_unit)]
            cells += [_number(side[along], column.unit) if along in side else "" for side in sides]
            lines.append("\t".join(cells if curves.by is None else [curves.by.stops[index].printed, *cells]))
    return "\n".join(lines)


@dataclass(frozen=True, slots=True)
class _Head:
    by: Heading | None
    along: Heading
    figure: Heading
    lower_first: bool


def _chart(text: str) -> Curves:
    header, *rows = lines_of(text) or [Line(1, [])]
    check_lengths(header, rows)
    head = _head(header)
    along, figure = _unit(head.along), _unit(head.figure)
    decimal_comma = bool(comma_is_decimal([cell for row in rows for cell in row.cells]))
    points: dict[str, tuple[list[Vertex], list[Vertex]]] = {}
    band = ""
    for row in rows:
        *first, at, one, other = row.cells
        band = first[0] if first and first[0] else band
        lines = points.setdefault(band, ([], []))
        place = _single(at, along.unit, row, decimal_comma=decimal_comma)
        for line, cell in zip(lines, (one, other) if head.lower_first else (other, one), strict=True):
            if not is_blank(cell):
                value = _single(cell, figure.unit, row, decimal_comma=decimal_comma)
                line.append(Vertex(place, value))
    assert isinstance(head.along.what, Variable)
    assert isinstance(head.figure.what, Figure)
    return Curves(
        column=Column(head.figure.what, figure.unit, figure.reference),
        along=head.along.what,
        along_unit=along.unit,
        bands=tuple(Band(tuple(lower), tuple(upper)) for lower, upper in points.values()),
        by=_axis(head.by, list(points), decimal_comma=decimal_comma) if head.by else None,
    )


def _head(header: Line) -> _Head:
    sides = [match for cell in header.cells[-2:] if (match := _SIDE.fullmatch(cell))]
    names = [match[1].casefold() for match in sides]
    if sorted(names) != ["lower", "upper"] or len(header.cells) not in {3, 4}:
        raise Unclear("the last two headings name the lower and the upper line, as 'Lower vent °C'")
    figures = [read_heading(match[2]) for match in sides]
    variables = [read_heading(cell) for cell in header.cells[:-2]]
    figure, along, by = figures[0], variables[-1], variables[0] if len(variables) == 2 else None
    if figure is None or not isinstance(figure.what, Figure) or figures[1] != figure:
        raise Unclear("both lines are of one figure in one unit, as 'Lower vent °C' and 'Upper vent °C'")
    if along is None or None in variables or any(isinstance(v.what, Figure) for v in variables if v):
        raise Unclear("the headings ahead of the lines name what the chart goes by, as 'Intake °C'")
    return _Head(by, along, figure, lower_first=names[0] == "lower")


def _axis(heading: Heading, stops: list[str], *, decimal_comma: bool) -> Axis:
    unit = _unit(heading).unit
    assert isinstance(heading.what, Variable)
    spans = tuple(read_span(stop, unit, decimal_comma=decimal_comma) for stop in stops)
    return Axis(heading.what, unit, spans, steps_of(spans), heading.printed)


def _unit(heading: Heading) -> PrintedUnit:
    if heading.unit is None:
        raise Unclear(f"'{heading.printed}' has no unit: write it in the heading")
    return heading.unit


def _single(text: str, unit: MeasuringUnit, row: Line, *, decimal_comma: bool) -> float:
    span: Span = read_span(text, unit, decimal_comma=decimal_comma)
    if span.low is None or not span.is_point:
        raise Unclear(f"line {row.number}: '{text}' is no single number, and a point of a line is one")
    return span.low


def _number(si: float, unit: MeasuringUnit) -> str:
    return f"{unit.from_si(si):.10g}"
