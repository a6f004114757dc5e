"""Read a table pasted as text into a grid, with words for whatever is unclear, and print one as text."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING

from knowngood_refdata.published.axes import Axis, Column, Steps
from knowngood_refdata.published.grid import Grid
from knowngood_refdata.published.headings import Heading, PrintedUnit, read_heading, split_unit
from knowngood_refdata.published.layout import Layout, Row, Unclear, take_apart
from knowngood_refdata.published.span import Span, comma_is_decimal, has_grouped_comma, is_blank, read_span
from knowngood_refdata.published.terms import BadTable, Figure, Reference, Variable, kind_of

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True, slots=True)
class Pasted:
    """What a pasted text became: a grid, or problems; ``notes`` tell how something unclear was taken."""

    grid: Grid | None
    notes: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()


def read_table(text: str) -> Pasted:
    r"""The grid of a pasted table, its cells parted by tabs, ``|`` or ``;``.

    Headings name variable or figure with unit; see `knowngood_refdata.published.layout` for the two layouts.
    Nothing is guessed: with any problem there is no grid, and every problem is named at once.

    >>> pasted = read_table("Ambient °C | High psi | Low psi\n21 | 120-190 | 10-20\n27 | 140-210 | 10-25")
    >>> [stop.printed for stop in pasted.grid.axes[0].stops], pasted.problems
    (['21', '27'], ())
    """
    try:
        layout = take_apart(text)
    except Unclear as unclear:
        return Pasted(None, problems=(str(unclear),))
    reader = _Reader.of(layout)
    try:
        grid = reader.grid()
    except BadTable as bad:
        reader.problems.append(str(bad))
        grid = None
    problems = tuple(dict.fromkeys(reader.problems))
    return Pasted(None if problems else grid, tuple(dict.fromkeys(layout.notes)), problems)


def print_table(grid: Grid) -> str:
    """A grid as text that `read_table` reads back, every cell as printed, parted by tabs."""
    stops = [[stop.printed for stop in axis.stops] for axis in grid.axes]
    cells = [[cell.printed if cell else "" for cell in row] for row in grid.cells]
    if len(grid.axes) == 2 and len(grid.columns) == 1:
        down, across = grid.axes
        lines = [
            _column_heading(grid.columns[0]),
            "\t".join([f"{_axis_heading(down)} \\ {_axis_heading(across)}", *stops[1]]),
        ]
        for index, stop in enumerate(stops[0]):
            row = cells[index * len(stops[1]) : (index + 1) * len(stops[1])]
            lines.append("\t".join([stop, *(cell for (cell,) in row)]))
        return "\n".join(lines)
    header = [*map(_axis_heading, grid.axes), *map(_column_heading, grid.columns)]
    body = [[*combination, *row] for combination, row in zip(product(*stops), cells, strict=True)]
    return "\n".join("\t".join(line) for line in [header, *body])


def _axis_heading(axis: Axis) -> str:
    return heading_of(axis.heading, axis.variable, PrintedUnit(axis.unit))


def _column_heading(column: Column) -> str:
    return heading_of(column.heading, column.figure, PrintedUnit(column.unit, column.reference))


def heading_of(printed: str, what: Variable | Figure, unit: PrintedUnit) -> str:
    """The printed heading where it can be read back, with its unit added where that stood in the cells."""
    reference = "" if unit.reference is Reference.NOT_SAID else f" {unit.reference}"
    with_unit = f"{printed} {unit.unit.symbol}{reference}"
    for text in (printed, with_unit):
        read = read_heading(text)
        if read is not None and (read.what, read.unit) == (what, unit):
            return text
    return f"{what} {unit.unit.symbol}{reference}"


@dataclass(frozen=True, slots=True)
class _Reader:
    layout: Layout
    decimal_comma: bool
    problems: list[str]

    @classmethod
    def of(cls, layout: Layout) -> _Reader:
        texts = [text for row in layout.rows for text in (*row.stops, *row.cells)]
        decimal_comma = comma_is_decimal(texts)
        doubtful = next((text for text in texts if has_grouped_comma(text)), None)
        if doubtful is not None and decimal_comma is not False:
            meaning = (
                "a decimal sign, as it is elsewhere in the table" if decimal_comma else "grouping thousands"
            )
            layout.notes.append(f"the comma in '{doubtful}' was taken as {meaning}")
        return cls(layout, bool(decimal_comma), [])

    def grid(self) -> Grid | None:
        """The grid, or None where there are problems; all of them are collected first."""
        columns = [self._column(index) for index in range(len(self.layout.figures))]
        axes = [self._axis(index) for index in range(len(self.layout.variables))]
        rows: dict[tuple[str, ...], tuple[Span | None, ...]] = {}
        for row in self.layout.rows:
            if row.stops in rows:
                self.problems.append(f"line {row.line} has the same conditions as a line above it")
            rows[row.stops] = tuple(self._cell(row, index, column) for index, column in enumerate(columns))
        if self.problems:
            return None
        built = tuple(axis for axis in axes if axis is not None)
        keys = [self._keys(index, axis) for index, axis in enumerate(built)]
        empty = (None,) * len(columns)
        return Grid(
            columns=tuple(columns),
            cells=tuple(rows.get(combination, empty) for combination in product(*keys)),
            axes=built,
            at_rest=any(column.figure is Figure.AT_REST for column in columns),
        )

    def _axis(self, index: int) -> Axis | None:
        heading = self.layout.variables[index]
        assert isinstance(heading.what, Variable)
        unit = self._unit(heading, [row.stops[index] for row in self.layout.rows])
        texts = dict.fromkeys(row.stops[index] for row in self.layout.rows)
        read = [self._span(text, heading, unit) for text in texts]
        stops = [span for span in read if span is not None]
        if len(stops) < len(read):
            return None
        rising = sorted(stops, key=_start)
        if rising != stops:
            self.layout.notes.append(f"the rows were put in rising order of {heading.what}")
        return Axis(
            heading.what,
            unit.unit,
            tuple(rising),
            steps_of(rising),
            heading_of(heading.printed, heading.what, unit),
        )

    def _column(self, index: int) -> Column:
        heading = self.layout.figures[index]
        assert isinstance(heading.what, Figure)
        unit = self._unit(heading, [row.cells[index] for row in self.layout.rows])
        return Column(
            heading.what, unit.unit, unit.reference, heading_of(heading.printed, heading.what, unit)
        )

    def _keys(self, index: int, axis: Axis) -> list[str]:
        """The texts of the rows for each stop of an axis, in the order of the axis."""
        kind = axis.unit.kind
        texts = {split_unit(row.stops[index], kind)[0]: row.stops[index] for row in self.layout.rows}
        return [texts[stop.printed] for stop in axis.stops]

    def _unit(self, heading: Heading, texts: Sequence[str]) -> PrintedUnit:
        if heading.unit is not None:
            return heading.unit
        found = {unit for text in texts if (unit := split_unit(text, kind_of(heading.what))[1]) is not None}
        if len(found) == 1:
            return found.pop()
        if found:
            symbols = ", ".join(sorted(one.unit.symbol for one in found))
            raise BadTable(f"'{heading.printed}' holds several units ({symbols}): part it into columns")
        kind = kind_of(heading.what)
        raise BadTable(f"'{heading.printed}' has no unit of {kind}: write it in the heading")

    def _cell(self, row: Row, index: int, column: Column) -> Span | None:
        heading, text = self.layout.figures[index], row.cells[index]
        if is_blank(text):
            return None
        span = self._span(text, heading, PrintedUnit(column.unit, column.reference), f"line {row.line}: ")
        if span is not None:
            try:
                column.check(span)
            except BadTable as bad:
                self.problems.append(f"line {row.line}: {bad}")
        return span

    def _span(self, text: str, heading: Heading, unit: PrintedUnit, where: str = "") -> Span | None:
        bare, own = split_unit(text, kind_of(heading.what))
        if own is not None and own.unit != unit.unit:
            wanted = f"'{heading.printed}' ({unit.unit.symbol})"
            self.problems.append(f"{where}'{text}' is in another unit than its heading {wanted}")
            return None
        try:
            return read_span(bare, unit.unit, decimal_comma=self.decimal_comma)
        except BadTable as bad:
            self.problems.append(f"{where}{bad}")
            return None


def steps_of(stops: Sequence[Span]) -> Steps:
    """How stops follow one another by their look: numbers, thresholds, or else bins."""
    if all(stop.is_point for stop in stops):
        return Steps.POINTS
    return Steps.ABOVE if all(stop.high is None for stop in stops) else Steps.BINS


def _start(stop: Span) -> float:
    return -math.inf if stop.low is None else stop.low
