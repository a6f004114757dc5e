"""The time of further rows, read on from the last one: midnight and dates as in the whole file."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood_sessions.core.reading.clock import ELAPSED, MINUTES, SERIAL, moments
from knowngood_sessions.core.reading.columns import numbers_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from knowngood_refdata.logs import Column


class Times:
    """Reads the cells of a time column that follow those of a table.

    Parameters
    ----------
    column
        The time column of the table.
    unit_name
        How its cells are read.
    decimal
        The sign in its numbers: ``.`` or ``,``.
    """

    def __init__(self, column: Column, unit_name: str, decimal: str) -> None:
        self._column, self._unit, self._decimal = column, unit_name, decimal
        self._last_s = np.nan
        self._last_cell = ""
        read = np.flatnonzero(np.isfinite(raw := moments(column, unit_name).time_s))
        if read.size and column.cells is not None:
            self._last_s, self._last_cell = float(raw[read[-1]]), str(column.cells[int(read[-1])])

    def read(self, cells: Sequence[str | None]) -> NDArray[np.float64]:
        """Times in seconds on the axis of the table's (k,), NaN where a cell holds none."""
        if not cells:
            return np.empty(0)
        if self._unit in (*ELAPSED, SERIAL):
            return self._moments(cells)
        if self._unit == MINUTES or not self._last_cell:
            return self._remember(cells, self._moments(cells))
        # The last cell goes before the new ones, so that midnight between them is seen.
        found = self._moments([self._last_cell, *cells])
        return self._remember(cells, found[1:] + (self._last_s - found[0]))

    def _remember(self, cells: Sequence[str | None], raw_s: NDArray[np.float64]) -> NDArray[np.float64]:
        read = np.flatnonzero(np.isfinite(raw_s))
        if read.size:
            self._last_s, self._last_cell = float(raw_s[read[-1]]), str(cells[int(read[-1])])
        return raw_s

    def _moments(self, cells: Sequence[str | None]) -> NDArray[np.float64]:
        import polars as pl

        numbers = numbers_of(pl.Series(cells, dtype=pl.String), self._decimal)[0]
        column = replace(self._column, numbers=numbers, cells=list(cells))
        return moments(column, self._unit).time_s
