"""A table of vehicles written as CSV or XLSX so that no spreadsheet executes what stands in it."""

from __future__ import annotations

import csv
import io
from typing import IO, TYPE_CHECKING

from knowngood_refdata.formula_cells import guarded

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood_specs.core.exporting.sheet import Cell, Sheet

_STEP = 500
_MOST_XLSX_ROWS = 1_048_576
_LONGEST_XLSX_CELL = 32_767
_MARK = "\N{BYTE ORDER MARK}"


class NotWritten(ValueError):  # noqa: N818 - reads as what it is
    """A table does not fit the file; the text says why and what to do. The file is not to be kept."""


def write_csv(
    sheet: Sheet,
    into: IO[bytes],
    *,
    delimiter: str = ",",
    mark: bool = True,
    progress: Callable[[int], None] = lambda _: None,
) -> int:
    """Write a table as CSV in UTF-8, texts quoted and numbers bare; the number of lines below the header.

    A text that begins like a formula gets an apostrophe, which the importer takes away again: see
    `knowngood_refdata.formula_cells`.

    Parameters
    ----------
    sheet
        The table; its lines are used up.
    into
        An open binary file; it stays open.
    delimiter
        What stands between the cells.
    mark
        Whether to begin with a byte order mark, by which spreadsheet programs know UTF-8.
    progress
        Called now and then with the number of lines written; what it raises to stop passes through.
    """
    text = io.TextIOWrapper(into, encoding="utf-8", newline="", write_through=True)
    try:
        if mark:
            text.write(_MARK)
        writer = csv.writer(text, delimiter=delimiter, quoting=csv.QUOTE_NONNUMERIC)
        writer.writerow(sheet.header)
        count = 0
        for count, line in enumerate(sheet.lines, 1):
            writer.writerow([guarded(cell) if isinstance(cell, str) else cell for cell in map(_held, line)])
            if count % _STEP == 0:
                progress(count)
    finally:
        text.detach()
    return count


def write_xlsx(sheet: Sheet, into: IO[bytes], progress: Callable[[int], None] = lambda _: None) -> int:
    """Write a table as XLSX, every text as a text cell; the number of lines below the header.

    Raises
    ------
    NotWritten
        When a text or the table is larger than the format allows.
    """
    from xlsxwriter import Workbook

    book = Workbook(into, {"constant_memory": True})
    page = book.add_worksheet("Vehicles")
    count = 0
    try:
        bold = book.add_format({"bold": True})
        for column, name in enumerate(sheet.header):
            page.write_string(0, column, name, bold)
        page.freeze_panes(1, 2)
        for count, line in enumerate(sheet.lines, 1):
            if count >= _MOST_XLSX_ROWS:
                raise NotWritten(
                    f"A workbook sheet holds {_MOST_XLSX_ROWS:,} rows at most; nothing was kept. Write CSV."
                )
            for column, cell in enumerate(line):
                if isinstance(cell, str):
                    if len(cell) > _LONGEST_XLSX_CELL:
                        raise NotWritten(
                            f"A text in line {count:,}, column '{sheet.header[column]}', has {len(cell):,} "
                            f"characters; a workbook cell holds {_LONGEST_XLSX_CELL:,}. Write CSV."
                        )
                    if cell:
                        page.write_string(count, column, cell)
                elif cell is not None:
                    page.write_number(count, column, cell)
            if count % _STEP == 0:
                progress(count)
    finally:
        book.close()
    return count


def _held(cell: Cell) -> Cell:
    return "" if cell is None else cell
