"""The rows of further lines, read as the lines above them were: nothing about the layout is asked anew."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood_sessions.core.mapping.continued import known
from knowngood_sessions.core.reading.cells import number_and_unit
from knowngood_sessions.core.reading.columns import numbers_of
from knowngood_sessions.core.reading.no_value import without_codes
from knowngood_sessions.core.reading.reader import labels_of
from knowngood_sessions.core.reading.split import split_lines

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    import polars as pl
    from numpy.typing import NDArray

    from knowngood_refdata.logs import Column, LogTable
    from knowngood_sessions.core.mapping.assignment import Assignment

_MOST_OPEN_LINES = 50


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """Rows that were read: numbers by column, NaN where there is none, and the time column's text.

    ``lines`` holds the file's line of each row, counted from 1; ``left_out`` counts the lines that do not
    have the header's number of fields, ``unreadable`` the cells that hold something else than a number.
    """

    values: NDArray[np.float64]  # (columns, k)
    times: tuple[str | None, ...]  # (k,)
    lines: NDArray[np.int64]  # (k,)
    left_out: int
    unreadable: int


class Rows:
    """Reads lines that follow a table, with the table's layout, decimal sign, units and codes for no value.

    Parameters
    ----------
    table
        What the lines above were read as.
    mapping
        What its columns are taken for.
    time, columns
        The names of the column that holds the time, and of those that are wanted.
    next_line
        The file's line that comes first, counted from 1.

    Raises
    ------
    LogUnreadable
        When the table is none of a text with one row a time.
    """

    def __init__(
        self,
        table: LogTable,
        mapping: Mapping[str, Assignment],
        time: str,
        columns: Sequence[str],
        next_line: int,
    ) -> None:
        self._layout = known(table, mapping).layout
        self._next_line = next_line
        self._open = b""
        places = positions(table)
        self._time = places[time]
        self._columns = [
            _ColumnReader(places[name][0], table.column(name), table.decimal) for name in columns
        ]

    def read(self, lines: bytes) -> Part:
        """The rows of whole lines, as UTF-8 with line feeds."""
        closed, self._open = _closed(self._open + lines)
        layout = replace(self._layout, first_data_line=self._next_line - 1)
        self._next_line += closed.count(b"\n")
        body = split_lines(closed, layout) if closed else None
        if body is None or not body.lines.size:
            nothing = np.empty((len(self._columns), 0))
            return Part(nothing, (), np.empty(0, dtype=np.int64), len(body.ragged) if body else 0, 0)
        read = [one.read(body.columns[one.place]) for one in self._columns]
        return Part(
            np.array([numbers for numbers, _ in read]),
            self._times(body.columns),
            body.lines,
            len(body.ragged),
            sum(unreadable for _, unreadable in read),
        )

    def _times(self, columns: Sequence[pl.Series]) -> tuple[str | None, ...]:
        first, *then = (columns[place].to_list() for place in self._time)
        for cells in then:
            # A date and a clock time in columns of their own.
            first = [_together(date, clock) for date, clock in zip(first, cells, strict=True)]
        return tuple(first)


class _ColumnReader:
    """Reads the cells of one column as those above them were read."""

    def __init__(self, place: int, column: Column, decimal: str) -> None:
        self.place = place
        self._decimal, self._codes = decimal, column.codes
        found = {parts[1] if (parts := number_and_unit(cell)) else "" for cell in column.examples}
        self._suffix = column.unit if found == {column.unit} else ""
        self._reach = _reach(column.numbers)

    def read(self, cells: pl.Series) -> tuple[NDArray[np.float64], int]:
        """The numbers (k,), NaN where there is none, and how many cells are unreadable."""
        if self._suffix:
            cells = cells.str.strip_suffix(self._suffix).str.strip_chars()
        numbers, _, unreadable = numbers_of(cells, self._decimal)
        numbers[np.isin(numbers, self._codes)] = np.nan
        # A code is known by lying far from everything else, also from what was read before.
        numbers = without_codes(np.concatenate([numbers, self._reach]))[0][: numbers.size]
        self._reach = _reach(np.concatenate([numbers, self._reach]))
        return numbers, unreadable


def positions(table: LogTable) -> dict[str, tuple[int, ...]]:
    """The fields of a line, counted from 0, in which each column of a table stands.

    One field, but for a date and a clock time that were read as one column: then the two.
    """
    labels = [name for name, _ in labels_of(table.header, table.unit_row)]
    names = [column.name for column in table.columns]
    places: dict[str, tuple[int, ...]] = {
        name: (place,) for place, name in enumerate(labels) if name in names
    }
    alone = [place for place, name in enumerate(labels) if name and name not in names]
    for column in names:
        if column in places:
            continue
        both = [(one, other) for one in alone for other in alone if one != other]
        found: list[tuple[int, ...]] = [
            pair for pair in both if column == " ".join(labels[place] for place in pair)
        ]
        found += [(place,) for place in range(len(labels)) if column.split(" (")[0] == f"column {place + 1}"]
        places[column] = found[0]
    return places


def _reach(numbers: NDArray[np.float64]) -> NDArray[np.float64]:
    """The least and the greatest number (2,), or nothing."""
    finite = numbers[np.isfinite(numbers)]
    return np.array([finite.min(), finite.max()]) if finite.size else np.empty(0)


def _together(date: str | None, clock: str | None) -> str | None:
    return None if date is None or clock is None else f"{date.strip()} {clock.strip()}"


def _closed(lines: bytes) -> tuple[bytes, bytes]:
    """The lines up to where no quotation mark is open, and those behind: a field may go on in the next."""
    if lines.count(b'"') % 2 == 0 or lines.count(b"\n") > _MOST_OPEN_LINES:
        return lines, b""
    start = lines.rindex(b'"')
    start = lines.rfind(b"\n", 0, start) + 1
    return lines[:start], lines[start:]
