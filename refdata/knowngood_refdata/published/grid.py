"""Printed cells by none, one or two variables.

Without an axis a grid is a single range; with one it holds rows for ambient points or bins, or the least
pressure at rest above each temperature; with two it is humidity by intake air. Edges are in SI, pressures
counted from where the publication counts them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.published.terms import BadTable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.published.axes import Axis, Column, Limit
    from knowngood_refdata.published.span import Span


@dataclass(frozen=True, slots=True)
class Grid:
    """Printed cells by none, one or two variables.

    Attributes
    ----------
    axes
        At most two.
    columns
        What the cells give.
    cells
        One row for each stop, or for each pair of stops with the second axis running faster; in a row one
        span a column, None where the print is empty.
    name
        The block's own caption.
    at_rest
        Whether it is for a system at rest.
    fault
        The fault these values are printed for; empty for a healthy system.
    limits
        Where alone the block holds.
    """

    columns: tuple[Column, ...]
    cells: tuple[tuple[Span | None, ...], ...]
    axes: tuple[Axis, ...] = ()
    name: str = ""
    at_rest: bool = False
    fault: str = ""
    limits: tuple[Limit, ...] = ()

    def __post_init__(self) -> None:
        if not self.columns:
            raise BadTable("a table gives at least one figure, and none was named")
        _check_once("figure", [column.figure for column in self.columns])
        if len(self.axes) > 2:
            raise BadTable("a table goes by two variables at most: enter it as several tables")
        _check_once("variable", [axis.variable for axis in self.axes])
        rows = math.prod(len(axis.stops) for axis in self.axes)
        if len(self.cells) != rows:
            raise BadTable(
                f"the table has {rows} rows by its conditions but {len(self.cells)} rows of values"
            )
        for row in self.cells:
            self._check_row(row)
        if all(cell is None for row in self.cells for cell in row):
            raise BadTable("every cell of the table is empty")

    def row(self, stops: Sequence[int]) -> int:
        """The row of cells of one stop an axis, by their indices."""
        row = 0
        for axis, stop in zip(self.axes, stops, strict=True):
            row = row * len(axis.stops) + stop
        return row

    def _check_row(self, row: tuple[Span | None, ...]) -> None:
        if len(row) != len(self.columns):
            raise BadTable(f"a row has {len(row)} values for {len(self.columns)} columns")
        for column, cell in zip(self.columns, row, strict=True):
            if cell is not None:
                column.check(cell)


def _check_once(what: str, names: Sequence[str]) -> None:
    for name in names:
        if names.count(name) > 1:
            raise BadTable(f"the {what} '{name}' stands in the table twice")
