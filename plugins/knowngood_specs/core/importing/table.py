"""A table as it was read from a file: every row below the header with its number in the file."""

from __future__ import annotations

from dataclasses import dataclass, field

LARGEST_BYTES = 100_000_000
MOST_ROWS = 200_000
MOST_COLUMNS = 300


class TableUnreadable(ValueError):  # noqa: N818 - reads as what it is
    """A file holds no table that can be read. The text says what was found and what to do."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its number in the file counted from 1, and as many cells as the header has.

    ``last_number`` differs from ``number`` where a cell holds line ends. ``fault`` says why the cells
    cannot be told apart (they are empty then), ``doubt`` what is odd about a row that can be used.
    """

    number: int
    cells: tuple[str, ...]
    last_number: int
    fault: str = ""
    doubt: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """The rows of a file under their header; ``notices`` tell the user what was found on the way.

    ``header_row`` is the number of the row that names the columns, 0 when there is none and the names
    were made up (``column 1``). ``other_sheets`` are those of a workbook that were not read. Rows that
    hold nothing are left out; ``blank_rows`` counts them.
    """

    name: str
    header: tuple[str, ...]
    rows: tuple[Row, ...]
    header_row: int
    dialect: str
    preamble: tuple[str, ...] = ()
    blank_rows: int = 0
    sheet: str = ""
    other_sheets: tuple[str, ...] = ()
    notices: tuple[str, ...] = ()
    _columns: dict[int, tuple[str, ...]] = field(default_factory=dict, init=False, repr=False, compare=False)

    def column(self, index: int) -> tuple[str, ...]:
        """The cells of a column, those of rows that cannot be used left out."""
        # What is still to be answered is asked anew at every change, of the whole file.
        if index not in self._columns:
            self._columns[index] = tuple(row.cells[index] for row in self.rows if not row.fault)
        return self._columns[index]


def refuse_by_shape(rows: int, columns: int) -> None:
    """Refuse a table beyond the limits.

    Raises
    ------
    TableUnreadable
        With what to do instead.
    """
    if rows > MOST_ROWS:
        raise TableUnreadable(
            f"The table has {rows:,} rows; at most {MOST_ROWS:,} can be brought in at once. Nothing was "
            "imported; split the file and import the parts one after the other."
        )
    if columns > MOST_COLUMNS:
        raise TableUnreadable(
            f"The table has {columns:,} columns; at most {MOST_COLUMNS} can be read. Nothing was imported; "
            "remove the columns that say nothing about vehicles."
        )
