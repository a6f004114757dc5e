"""A recorded CSV as a table: numbers by column, with everything that could not be read counted and told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from .cells import MISSING_MARKS, is_moment, number_and_unit
from .layout import DELIMITERS, Layout, find_layout
from .split import Body, lines_in_words, split_body
from .text import LogUnreadable, decode
from .units import is_unit, name_and_unit

if TYPE_CHECKING:
    from collections.abc import Callable

    import polars as pl
    from numpy.typing import NDArray

__all__ = ["Column", "LogTable", "LogUnreadable", "Notice", "read_log"]

_EXAMPLES = 5
_COMMA = r"^\s*[+\-−]?\d*,\d+(?:[eE][+\-]?\d+)?\s*$"
_POINT = r"^\s*[+\-−]?\d*\.\d+(?:[eE][+\-]?\d+)?\s*$"
_THOUSANDS = r"^\s*[+\-−]?[1-9]\d{0,2},\d{3}\s*$"


@dataclass(frozen=True, slots=True)
class Notice:
    """Something that the user should know, in words; ``column`` is empty when it is about the file."""

    text: str
    column: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """One column: what the header says, its numbers, and its text where it holds no numbers.

    ``numbers`` is NaN where there is no value; ``missing`` counts the cells left empty or marked as
    missing, ``unreadable`` those that hold something else than a number. ``examples`` are the first
    cells as written. ``cells`` is None where every value is a number.
    """

    name: str
    unit: str
    numbers: NDArray[np.float64]  # (n,)
    missing: int
    unreadable: int
    examples: tuple[str, ...]
    cells: pl.Series | None

    @property
    def holds_numbers(self) -> bool:
        """Whether most of the values are numbers."""
        return self.unreadable <= 0.5 * (len(self.numbers) - self.missing)

    @property
    def holds_moments(self) -> bool:
        """Whether the cells are clock times or dates."""
        return not self.holds_numbers and any(is_moment(cell) for cell in self.examples)


@dataclass(frozen=True, slots=True, eq=False)
class LogTable:
    """A log as a table; ``lines`` holds the file's line of each row, counted from 1."""

    source_name: str
    columns: tuple[Column, ...]
    lines: NDArray[np.int64]  # (n,)
    header: tuple[str, ...]
    unit_row: tuple[str, ...]
    preamble: tuple[str, ...]
    delimiter: str
    decimal: str
    encoding: str
    notices: tuple[Notice, ...]

    def column(self, name: str) -> Column:
        """The column of a name.

        Raises
        ------
        KeyError
            When there is none.
        """
        for one in self.columns:
            if one.name == name:
                return one
        raise KeyError(name)

    @property
    def dialect(self) -> str:
        """How the file was read, in words: ``utf-8, semicolon, decimal comma``."""
        point = "decimal comma" if self.decimal == "," else "decimal point"
        return f"{self.encoding}, {DELIMITERS[self.delimiter]}, {point}"


def read_log(data: bytes, name: str, proceed: Callable[[float], None] = lambda _: None) -> LogTable:
    """Read the bytes of a log file.

    Parameters
    ----------
    data
        The file as it is.
    name
        Its name, kept for the record.
    proceed
        Called now and then with the fraction done; it may raise to stop.

    Raises
    ------
    LogUnreadable
        When the file is no table of numbers under a header; the text says what was found.
    """
    text = decode(data)
    layout = find_layout(text.utf8)
    body = split_body(text.utf8, layout, lambda fraction: proceed(0.4 * fraction))
    decimal = _decimal(body, layout)
    labels = _labels(layout)
    columns = []
    for index, ((label, unit), cells) in enumerate(zip(labels, body.columns, strict=True)):
        proceed(0.4 + 0.6 * index / layout.width)
        if label or cells.null_count() < len(cells):
            columns.append(_column(label or f"column {index + 1}", unit, cells, decimal))
    return LogTable(
        source_name=name,
        columns=tuple(columns),
        lines=body.lines,
        header=layout.header,
        unit_row=layout.unit_row,
        preamble=layout.preamble,
        delimiter=layout.delimiter,
        decimal=decimal,
        encoding=text.encoding,
        notices=tuple(_notices(body, layout, columns)),
    )


def _labels(layout: Layout) -> list[tuple[str, str]]:
    """Name and unit of each column; a name that occurs again is numbered."""
    seen: dict[str, int] = {}
    labels = []
    for index, cell in enumerate(layout.header):
        name, unit = name_and_unit(cell)
        below = layout.unit_row[index].strip(" []()") if layout.unit_row else ""
        if below and is_unit(below):
            # With a unit row, brackets in the header hold something else.
            name, unit = (name if unit == "" or name != cell else cell), below
        seen[name] = seen.get(name, 0) + 1
        labels.append((name if seen[name] == 1 or not name else f"{name} ({seen[name]})", unit))
    return labels


def _decimal(body: Body, layout: Layout) -> str:
    """``,`` or ``.``: by what the cells look like, all of them.

    Raises
    ------
    LogUnreadable
        When ``1,234`` may mean one thousand or one.
    """
    commas = sum(int(cells.str.contains(_COMMA).sum()) for cells in body.columns)
    if commas == 0:
        return "."
    points = sum(int(cells.str.contains(_POINT).sum()) for cells in body.columns)
    if points >= commas:
        return "."
    thousands = sum(int(cells.str.contains(_THOUSANDS).sum()) for cells in body.columns)
    if layout.delimiter == "," and thousands == commas:
        raise LogUnreadable(
            "Numbers such as '1,234' in this file may mean one thousand or a little more than one. Nothing "
            "was imported; export without thousands separators, or with semicolons between the fields."
        )
    return ","


def _column(name: str, unit: str, cells: pl.Series, decimal: str) -> Column:
    numbers, missing, unreadable = _numbers(cells, decimal)
    examples = tuple(cells.drop_nulls().head(_EXAMPLES).to_list())
    if unreadable > 0.5 * (len(cells) - missing):
        suffix = _unit_in_cells(examples)
        if suffix and not unit:
            bare = cells.str.strip_suffix(suffix).str.strip_chars()
            numbers, missing, unreadable = _numbers(bare, decimal)
            unit = suffix
    return Column(name, unit, numbers, missing, unreadable, examples, cells if unreadable else None)


def _unit_in_cells(examples: tuple[str, ...]) -> str:
    """The unit that stands behind every value, or nothing."""
    found = {parts[1] if (parts := number_and_unit(cell)) else "" for cell in examples}
    suffix = found.pop() if len(found) == 1 else ""
    return suffix if suffix and is_unit(suffix) else ""


def _numbers(cells: pl.Series, decimal: str) -> tuple[NDArray[np.float64], int, int]:
    """The numbers (n,) with NaN for the rest, and how many cells are missing and unreadable."""
    import polars as pl

    written = cells
    if decimal == ",":
        # A point in a file with decimal commas may separate thousands: such a cell is not guessed at.
        pointed = cells.str.contains(".", literal=True).fill_null(value=False)
        written = (
            cells.str.replace(",", ".", literal=True).set(pointed, "point")
            if pointed.any()
            else (cells.str.replace(",", ".", literal=True))
        )
    numbers = written.cast(pl.Float64, strict=False)
    empty = cells.null_count()
    doubtful = numbers.is_null() & written.is_not_null()
    unreadable = 0
    if doubtful.any():
        rest = written.filter(doubtful).str.strip_chars().str.replace("−", "-", literal=True)
        again = rest.cast(pl.Float64, strict=False)
        numbers = numbers.scatter(doubtful.arg_true(), again)
        marked = rest.str.to_lowercase().is_in(list(MISSING_MARKS))
        empty += int(marked.sum())
        unreadable = int((again.is_null() & ~marked).sum())
    values = numbers.to_numpy(writable=True).astype(np.float64)
    infinite = np.isinf(values)
    unreadable += int(infinite.sum())
    values[infinite] = np.nan
    unseen = int(np.isnan(values).sum())
    return values, unseen - unreadable, unreadable


def _notices(body: Body, layout: Layout, columns: list[Column]) -> list[Notice]:
    notices = []
    if body.ragged:
        verb = "was" if len(body.ragged) == 1 else "were"
        notices.append(
            Notice(
                f"{lines_in_words(body.ragged).capitalize()} {verb} left out: not the {layout.width} fields "
                "that the header names."
            )
        )
    names = [name_and_unit(cell)[0] for cell in layout.header]
    twice = sorted({name for name in names if name and names.count(name) > 1})
    notices += [Notice(f"Several columns are called '{name}'; they were numbered.", name) for name in twice]
    for column in columns:
        if column.unreadable and column.holds_numbers:
            notices.append(
                Notice(
                    f"{column.name}: {column.unreadable:,} cells hold no number and count as missing.",
                    column.name,
                )
            )
    return notices
