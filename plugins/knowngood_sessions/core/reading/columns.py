"""From the cells of one column to its numbers: decimal point or comma, missing marks, units in the cells."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import numpy as np

from knowngood_refdata.logs import Column, LogUnreadable

from .cells import MISSING_MARKS, number_and_unit
from .no_value import without_codes
from .units import is_unit

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    import polars as pl
    from numpy.typing import NDArray

_EXAMPLES = 5
_COMMA = r"^\s*[+\-−]?\d*,\d+(?:[eE][+\-]?\d+)?\s*$"
_POINT = r"^\s*[+\-−]?\d*\.\d+(?:[eE][+\-]?\d+)?\s*$"
_THOUSANDS = r"^\s*[+\-−]?[1-9]\d{0,2},\d{3}\s*$"
_ROUND = r",\d*0\s*$"
_WHOLE = r"^\s*[+\-−]?\d{1,3}\s*$"
_SEPARATED = r"^\s*[+\-−]?\d{1,3}(?:,\d{3})*(?:\.\d+)?\s*$"


def decimal_of(columns: Iterable[pl.Series], delimiter: str) -> str:
    """``,`` or ``.``: by what the cells look like, all of them.

    Raises
    ------
    LogUnreadable
        When ``1,234`` may mean one thousand or one.
    """
    columns = tuple(columns)
    # Most files have no comma in any cell, which is quickly seen.
    suspects = [cells for cells in columns if cells.str.contains(",", literal=True).any()]
    commas = sum(int(cells.str.contains(_COMMA).sum()) for cells in suspects)
    if commas == 0:
        return "."
    points = sum(int(cells.str.contains(_POINT).sum()) for cells in columns)
    if points >= commas:
        return "."
    thousands = sum(int(cells.str.contains(_THOUSANDS).sum()) for cells in suspects)
    if thousands == commas and (delimiter == "," or any(map(_separates_thousands, suspects))):
        raise LogUnreadable(
            "Numbers such as '1,234' in this file may mean one thousand or a little more than one. Nothing "
            "was imported; export without thousands separators, or with semicolons between the fields."
        )
    return ","


def _separates_thousands(cells: pl.Series) -> bool:
    """Whether numbers below a thousand stand without a comma beside others that end with a nought.

    Who writes 1.25 as 1,25 and not as 1,250 has no reason for the nought but a thousand.
    """
    return bool(cells.str.contains(_ROUND).any()) and bool(cells.str.contains(_WHOLE).any())


def column_of(name: str, unit: str, cells: pl.Series, decimal: str) -> Column:
    """The column that cells of text (n,) make under a name and a unit."""
    numbers, missing, unreadable = numbers_of(cells, decimal)
    examples = tuple(cells.drop_nulls().head(_EXAMPLES).to_list())
    if decimal == "." and unreadable and _all_separated(cells, missing):
        numbers, missing, unreadable = numbers_of(cells.str.replace_all(",", "", literal=True), decimal)
    if unreadable > 0.5 * (len(cells) - missing):
        suffix = _unit_in_cells(examples)
        if suffix and not unit:
            bare = cells.str.strip_suffix(suffix).str.strip_chars()
            numbers, missing, unreadable = numbers_of(bare, decimal)
            unit = suffix
    numbers, codes = without_codes(numbers)
    missing = len(numbers) - int(np.isfinite(numbers).sum()) - unreadable
    kept = cast("Sequence[str | None]", cells) if unreadable else None
    return Column(name, unit, numbers, missing, unreadable, examples, kept, codes)


def numbers_of(cells: pl.Series, decimal: str) -> tuple[NDArray[np.float64], int, int]:
    """The numbers (n,) with NaN for the rest, and how many cells are missing and unreadable."""
    import polars as pl

    written = cells
    if decimal == ",":
        # A point in a file with decimal commas may separate thousands: such a cell is not guessed at.
        pointed = cells.str.contains(".", literal=True).fill_null(value=False)
        written = cells.str.replace(",", ".", literal=True)
        written = written.set(pointed, "point") if pointed.any() else written
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
    values = numbers.to_numpy(writable=True).astype(np.float64, copy=False)
    infinite = np.isinf(values)
    unreadable += int(infinite.sum())
    values[infinite] = np.nan
    unseen = int(np.isnan(values).sum())
    return values, unseen - unreadable, unreadable


def _all_separated(cells: pl.Series, missing: int) -> bool:
    """Whether every cell is a number whose thousands are set apart by commas, where any are.

    Other columns have told that the file writes decimal points.
    """
    return int(cells.str.contains(_SEPARATED).sum()) == len(cells) - missing


def _unit_in_cells(examples: tuple[str, ...]) -> str:
    """The unit that stands behind every value, or nothing."""
    found = {parts[1] if (parts := number_and_unit(cell)) else "" for cell in examples}
    suffix = found.pop() if len(found) == 1 else ""
    return suffix if suffix and is_unit(suffix) else ""
