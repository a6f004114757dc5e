"""A recorded text as a table: numbers by column, with everything that could not be read counted and told."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from knowngood_refdata.logs import Column, LogTable, LogUnreadable, Notice

from .again import refuse_another_header
from .columns import column_of, decimal_of
from .frames import refuse_frames
from .joined import joined
from .layout import DELIMITERS, HEAD_LINES, Layout, find_layout
from .long_form import in_time_order, widened
from .split import lines_in_words, split_body
from .text import decode, without_zeros
from .units import is_unit, name_and_unit

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    import numpy as np
    import polars as pl
    from numpy.typing import NDArray

    from .split import Body

__all__ = ["Column", "LogTable", "LogUnreadable", "Notice", "labels_of", "read_log", "tabulated"]

_FRAME_BYTES = 40_000


def read_log(data: bytes, name: str, proceed: Callable[[float], None] = lambda _: None) -> LogTable:
    """Read the bytes of a text log.

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
    data, zeros = without_zeros(data)
    text = decode(data)
    refuse_frames(text.utf8[:_FRAME_BYTES].decode("utf-8", "replace").split("\n")[:HEAD_LINES])
    layout = find_layout(text.utf8)
    body = split_body(text.utf8, layout, lambda fraction: proceed(0.4 * fraction))
    decimal = decimal_of(body.columns, layout.delimiter)
    labels = labels_of(layout.header, layout.unit_row)
    table = tabulated(labels, body.columns, body.lines, decimal, lambda part: proceed(0.4 + 0.6 * part))
    if not table.long_form:
        refuse_another_header(table, body.columns)
    told = [Notice(words) for words in (zeros, layout.told) if words]
    return replace(
        table,
        source_name=name,
        header=table.header or layout.header,
        unit_row=table.unit_row if table.header else layout.unit_row,
        notices=(*told, *_notices(body, layout), *table.notices),
        dialect=_dialect(text.encoding, layout.delimiter, decimal),
        preamble=layout.preamble,
        delimiter=layout.delimiter,
        encoding=text.encoding,
        first_data_line=layout.first_data_line,
    )


def labels_of(header: Sequence[str], unit_row: Sequence[str]) -> list[tuple[str, str]]:
    """Name and unit of each column; a name that occurs again is numbered."""
    seen: dict[str, int] = {}
    labels = []
    for index, cell in enumerate(header):
        name, unit = name_and_unit(cell)
        below = unit_row[index].strip(" []()") if unit_row else ""
        if below and is_unit(below):
            # With a unit row, brackets in the header hold something else.
            name, unit = (name if unit == "" or name != cell else cell), below
        seen[name] = seen.get(name, 0) + 1
        labels.append((name if seen[name] == 1 or not name else f"{name} ({seen[name]})", unit))
    return labels


def tabulated(
    labels: Sequence[tuple[str, str]],
    cells: Sequence[pl.Series],
    lines: NDArray[np.int64],
    decimal: str,
    proceed: Callable[[float], None] = lambda _: None,
) -> LogTable:
    """The table that cells of text (n,) make: long form made wide, date and clock time in one column."""
    wide = widened(labels, cells)
    wide = None if wide is None else in_time_order(wide, decimal)
    header: tuple[str, ...] = ()
    notices = []
    if wide is not None:
        labels, cells, lines = wide.labels, wide.columns, lines[wide.rows]
        header = tuple(name for name, _ in labels)
        notices.append(Notice(wide.told))
    units = tuple(unit for _, unit in labels)
    labels, cells = joined(labels, cells)
    columns = []
    for index, ((label, unit), column) in enumerate(zip(labels, cells, strict=True)):
        proceed(index / len(cells))
        if label or column.null_count() < len(column):
            columns.append(column_of(_free_name(label, index, labels), unit, column, decimal))
    notices += [notice for column in columns for notice in _about(column, decimal)]
    return LogTable(
        "",
        tuple(columns),
        lines,
        header,
        units if header else (),
        tuple(notices),
        decimal=decimal,
        long_form=wide is not None,
    )


def _free_name(label: str, index: int, labels: Sequence[tuple[str, str]]) -> str:
    if label:
        return label
    taken = {name for name, _ in labels}
    name = f"column {index + 1}"
    while name in taken:
        name += " (no name)"
    return name


def _dialect(encoding: str, delimiter: str, decimal: str) -> str:
    """How the file was read, in words: ``utf-8, semicolon, decimal comma``."""
    point = "decimal comma" if decimal == "," else "decimal point"
    return f"{encoding}, {DELIMITERS[delimiter]}, {point}"


def _about(column: Column, decimal: str) -> list[Notice]:
    found = []
    if column.unreadable and column.holds_numbers:
        what = "1 cell holds" if column.unreadable == 1 else f"{column.unreadable:,} cells hold"
        count = "counts" if column.unreadable == 1 else "count"
        found.append(Notice(f"{column.name}: {what} no number and {count} as missing.", column.name))
    if column.cells is None and any("," in cell for cell in column.examples) and decimal == ".":
        found.append(Notice(f"{column.name}: commas were taken to separate thousands.", column.name))
    if column.codes:
        codes = " and ".join(f"{code:g}" for code in column.codes)
        found.append(
            Notice(f"{column.name}: {codes} stands for no value and counts as missing.", column.name)
        )
    return found


def _notices(body: Body, layout: Layout) -> list[Notice]:
    notices = []
    if body.ragged:
        verb = "was" if len(body.ragged) == 1 else "were"
        notices.append(
            Notice(
                f"{lines_in_words(body.ragged).capitalize()} {verb} left out: not the {layout.width} fields "
                "that the header names."
            )
        )
    if body.again:
        notices.append(
            Notice(f"The header stands once more on {lines_in_words(body.again)}; the log goes on below it.")
        )
    names = [name_and_unit(cell)[0] for cell in layout.header]
    twice = sorted({name for name in names if name and names.count(name) > 1})
    return notices + [
        Notice(f"Several columns are called '{name}'; they were numbered.", name) for name in twice
    ]
