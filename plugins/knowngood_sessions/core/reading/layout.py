"""How a log is laid out: delimiter, lines above the header, header, unit row, first line of data."""

from __future__ import annotations

import csv
from collections import Counter
from dataclasses import dataclass
from itertools import pairwise, takewhile
from typing import TYPE_CHECKING

from .cells import is_missing, is_number, is_value
from .row_numbers import first_field_counts
from .text import LogUnreadable
from .units import is_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

DELIMITERS = {"\t": "tab", ";": "semicolon", ",": "comma"}
HEAD_LINES = 400
MOST_COLUMNS = 512
_FEWEST_ABOVE = 3
_HEAD_BYTES = 400_000
_LONGEST_LINE = 100_000


@dataclass(frozen=True, slots=True)
class Layout:
    """Where things are in a log; line numbers count from 0, ``width`` is the number of fields.

    ``told`` says in words what was understood that the header does not say.
    """

    delimiter: str
    width: int
    preamble: tuple[str, ...]
    header: tuple[str, ...]
    unit_row: tuple[str, ...]
    first_data_line: int
    told: str = ""


@dataclass(frozen=True, slots=True)
class _Split:
    delimiter: str
    rows: list[list[str]]
    width: int
    score: float


def find_layout(utf8: bytes) -> Layout:
    """Find the layout from the first lines of a log.

    Raises
    ------
    LogUnreadable
        When there is a single column, no header, or no line of data.
    """
    lines = utf8[:_HEAD_BYTES].decode("utf-8", "replace").split("\n")[:HEAD_LINES]
    if max(len(line) for line in lines) > _LONGEST_LINE:
        raise LogUnreadable("The file has no line ends where a log has them. Nothing was imported.")
    best = max((_split(lines, delimiter) for delimiter in DELIMITERS), key=lambda split: split.score)
    if best.score <= 0.0:
        raise _no_table(lines)
    if best.width > MOST_COLUMNS:
        raise LogUnreadable(
            f"The file has {best.width:,} columns; at most {MOST_COLUMNS} can be read. Nothing was imported; "
            "export the channels that matter."
        )
    data, header = _first_data(best)
    unit_row, names = _header_rows(best, header)
    fitted, units, told = _labels(best, names, unit_row)
    return Layout(
        delimiter=best.delimiter,
        width=best.width,
        preamble=tuple(line for line in lines[:names] if line.strip()),
        header=fitted,
        unit_row=units,
        first_data_line=data,
        told=" ".join(filter(None, (told, _above(best, names)))),
    )


def fields(line: str, delimiter: str) -> list[str]:
    """The fields of one line.

    Raises
    ------
    LogUnreadable
        When the line cannot be split.
    """
    try:
        return next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
    except csv.Error as error:
        raise LogUnreadable(f"A line of the file cannot be split into fields ({error}).") from None


def _split(lines: Sequence[str], delimiter: str) -> _Split:
    rows = [[cell.strip() for cell in fields(line, delimiter)] for line in lines]
    rows = [[] if _is_ruler(row) else row for row in rows]
    widths = Counter(len(row) for row in rows if len(row) > 1 and any(is_value(cell) for cell in row))
    if not widths:
        return _Split(delimiter, rows, 1, 0.0)
    width = max(widths, key=lambda one: (widths[one], one))
    cells = [cell for row in rows if len(row) == width for cell in row if not is_missing(cell)]
    share = sum(is_value(cell) for cell in cells) / max(len(cells), 1)
    return _Split(delimiter, rows, width, widths[width] * share)


def _is_ruler(row: Sequence[str]) -> bool:
    """Whether a line was drawn with dashes or the like."""
    return any(row) and not "".join(row).strip("-=_~+*") and max(map(len, row)) > 1


def _no_table(lines: Sequence[str]) -> LogUnreadable:
    if sum(is_number(line) for line in lines) >= 2:
        return LogUnreadable(
            "The file has a single column. A session needs a time column and at least one channel. "
            "Nothing was imported; export time and pressures together."
        )
    return LogUnreadable(
        "The file holds no table of numbers separated by commas, semicolons or tabs. "
        "Nothing was imported; export the log as CSV and import that."
    )


def _first_data(split: _Split) -> tuple[int, int]:
    """The line on which data starts and the nearest line of words above it: the longest such block counts.

    Where the same words stand above an earlier block, the log was started anew on the way: it begins there.
    """
    values = [_is_data(row) for row in split.rows]
    filled = [index for index, row in enumerate(split.rows) if any(row)]
    best: tuple[int, int, int] | None = None
    first: dict[tuple[str, ...], tuple[int, int]] = {}
    for above, index in pairwise(filled):
        if values[index] and _is_words(split.rows[above]):
            block = takewhile(lambda row: _is_data(row) or not any(row), split.rows[index:])
            run = sum(len(row) == split.width for row in block)
            if run:
                first.setdefault(tuple(split.rows[above]), (index, above))
            if run and (best is None or run > best[0]):
                best = run, index, above
    if best is None:
        raise LogUnreadable(
            "The file has no header: no line above the numbers names the columns, so what each column "
            "holds can only be guessed. Nothing was imported; add a first line with the names and units."
        )
    return first[tuple(split.rows[best[2]])]


def _is_data(row: Sequence[str]) -> bool:
    filled = [cell for cell in row if not is_missing(cell)]
    return bool(filled) and sum(is_value(cell) for cell in filled) >= 0.5 * len(filled)


def _is_words(row: Sequence[str]) -> bool:
    named = [cell for cell in row if cell]
    enough = len(named) >= 2 or (named and all(is_unit(cell) for cell in named))
    return bool(enough) and len(row) >= 2 and not any(is_value(cell) for cell in named)


def _header_rows(split: _Split, header: int) -> tuple[int | None, int]:
    """The unit row, if there is one, and the row of names."""
    row = split.rows[header]
    named = [cell for cell in row if cell]
    units = sum(is_unit(cell) for cell in named)
    above = next((index for index in range(header - 1, -1, -1) if any(split.rows[index])), None)
    if above is not None and units >= 0.6 * len(named) and _is_words(split.rows[above]):
        return header, above
    return None, header


def _labels(split: _Split, names: int, unit_row: int | None) -> tuple[tuple[str, ...], tuple[str, ...], str]:
    """Names and units over their values, and what had to be understood for it in words."""
    header, told = _fitted(split.rows[names], split)
    units = () if unit_row is None else _fitted(split.rows[unit_row], split)[0]
    return header, units, told


def _above(split: _Split, names: int) -> str:
    """Rows of numbers above the header in words: a table of settings, or another recording."""
    rows = [index for index, row in enumerate(split.rows[:names]) if len(row) > 1 and _is_data(row)]
    if len(rows) < _FEWEST_ABOVE:
        return ""
    return (
        f"{len(rows):,} lines of numbers stand above the header (lines {rows[0] + 1} to {rows[-1] + 1}) and "
        "were not read. If they are a recording, save it as a file of its own."
    )


def _fitted(row: Sequence[str], split: _Split) -> tuple[tuple[str, ...], str]:
    """The row with as many cells as the data: no name may come to stand over the values of another.

    Only an empty cell at the end may be one too many or few, and a first field that counts the lines may
    have no name.
    """
    data = [one for one in split.rows if len(one) == split.width and _is_data(one)]
    last_is_empty = all(not one[-1] for one in data)
    if not row[-1] and (len(row) == split.width + 1 or (len(row) == split.width and not last_is_empty)):
        # A delimiter at the end of the header is no name: what counts is how many names there are.
        row = row[:-1]
    surplus = len(row) - split.width
    if surplus == 0:
        return tuple(row), ""
    if surplus == -1 and last_is_empty:
        return (*row, ""), ""
    if surplus == -1 and first_field_counts(data):
        return ("", *row), (
            "Every line has one field more than the header names. The first field counts the lines, so the "
            "names were taken to stand over the fields behind it."
        )
    raise LogUnreadable(
        f"The header names {len(row)} columns but the rows have {split.width} fields, so the names do not "
        "stand over their values. Nothing was imported; give every column a name in the header, and if the "
        "numbers use decimal commas, export with semicolons between the fields."
    )
