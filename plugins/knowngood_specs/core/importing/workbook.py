"""The sheet of a workbook that holds the vehicles, as a table."""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from contextlib import contextmanager
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING

from knowngood_specs.core.importing.delimited import row_notices, rows_of
from knowngood_specs.core.importing.header import HEAD_ROWS, find_header, named
from knowngood_specs.core.importing.recognise import Words, recognised_count
from knowngood_specs.core.importing.records import Record
from knowngood_specs.core.importing.table import (
    LARGEST_BYTES,
    MOST_COLUMNS,
    MOST_ROWS,
    Table,
    TableUnreadable,
    refuse_by_shape,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from python_calamine import CalamineSheet, CalamineWorkbook

    Merges = list[tuple[tuple[int, int], tuple[int, int]]]

_LARGEST_UNPACKED = 1_000_000_000
_FAR_CELL = re.compile(rb'<c r="([A-Z]{3}\d+|[A-Z]{1,2}\d{6,7})"[^>]*[^/]>')


def table_of_workbook(
    data: bytes, name: str, progress: Callable[[float], None] = lambda _: None, sheet_name: str = ""
) -> Table:
    """The table in a sheet, without a name the one that names most columns; formulas count as their values.

    Raises
    ------
    TableUnreadable
        When the file is no workbook, is locked by a password, holds no table or one beyond the limits.
    """
    _refuse_by_size(data)
    words = Words()
    with _opened(data) as book:
        sheet, others = _chosen_sheet(book, sheet_name, words)
        refuse_by_shape(max(sheet.total_height - HEAD_ROWS, 0), 0)
        merges: Merges = sheet.merged_cell_ranges or []
        grid = _texts(sheet, progress)
    filled_down = _fill_down(grid, merges)
    width = _width(grid)
    if width < 2:
        raise _no_table()
    found = find_header([row[:width] for row in grid[:HEAD_ROWS]], words)
    header, last = _header(grid, found, width, merges, words)
    refuse_by_shape(len(grid) - last, width)
    body = (Record(index + 1, index + 1, tuple(grid[index][:width])) for index in range(last, len(grid)))
    rows, blank = rows_of(body, width, [cell for cell in header if cell] and header)
    if not rows:
        raise _no_table()
    return Table(
        name=name,
        header=named(header),
        rows=rows,
        header_row=0 if found is None else found + 1,
        dialect=f"workbook, sheet '{sheet.name}'",
        preamble=tuple(" ".join(filter(None, row)) for row in grid[: found or 0] if any(row)),
        blank_rows=blank,
        sheet=sheet.name,
        other_sheets=others,
        notices=(*_notices(filled_down, others), *row_notices(rows, width)),
    )


def cell_text(cell: object) -> str:
    """A cell's value as text: whole numbers without a point, dates as ISO 8601 writes them.

    >>> cell_text(2021.0), cell_text(0.47), cell_text(date(2021, 3, 1)), cell_text(True)
    ('2021', '0.47', '2021-03-01', 'yes')
    """
    if isinstance(cell, str):
        # A database takes no zero character; nobody typed one.
        return cell.replace("\0", "").strip()
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, (int, float)):
        return f"{cell:.15g}"
    if isinstance(cell, datetime):
        return cell.date().isoformat() if cell.time() == time() else cell.isoformat(" ")
    if isinstance(cell, (date, time)):
        return cell.isoformat()
    if isinstance(cell, timedelta):
        return str(cell)
    return "" if cell is None else str(cell).strip()


@contextmanager
def _opened(data: bytes) -> Iterator[CalamineWorkbook]:
    from python_calamine import CalamineError, CalamineWorkbook, PasswordError

    try:
        with CalamineWorkbook.from_filelike(io.BytesIO(data)) as book:
            yield book
    except PasswordError:
        raise TableUnreadable(
            "The workbook is locked by a password. Nothing was imported; save it without one, or as CSV."
        ) from None
    except CalamineError as error:
        raise TableUnreadable(
            f"The file cannot be read as a workbook ({error}). Nothing was imported; open it in a "
            "spreadsheet program and save it as XLSX or CSV."
        ) from None
    except BaseException as error:
        # The reader is compiled code: what it trips over arrives as an exception of no importable class.
        if type(error).__name__ != "PanicException":
            raise
        raise TableUnreadable(
            "The workbook is damaged. Nothing was imported; open it in a spreadsheet program and save it "
            "as XLSX or CSV."
        ) from None


def _refuse_by_size(data: bytes) -> None:
    if len(data) > LARGEST_BYTES:
        raise TableUnreadable(
            f"The file has {len(data) / 1e6:,.0f} MB; at most {LARGEST_BYTES / 1e6:,.0f} MB can be read. "
            "Nothing was imported; split it and import the parts."
        )
    if not data.startswith(b"PK"):
        return
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            if sum(one.file_size for one in packed.infolist()) > _LARGEST_UNPACKED:
                raise TableUnreadable(
                    f"The workbook unpacks to more than {_LARGEST_UNPACKED / 1e6:,.0f} MB. Nothing was "
                    "imported; save the one sheet with the vehicles as CSV."
                )
            for one in packed.infolist():
                if one.filename.startswith("xl/worksheets/sheet"):
                    _refuse_far_cells(packed.read(one))
    except (zipfile.BadZipFile, NotImplementedError, EOFError, OSError, RuntimeError, zlib.error):
        # What is wrong with it is said when it is opened.
        return


def _refuse_far_cells(sheet: bytes) -> None:
    """A single cell far out would make the reader lay out everything before it."""
    for match in _FAR_CELL.finditer(sheet):
        letters = match[1].rstrip(b"0123456789")
        row = int(match[1][len(letters) :])
        column = 0
        for letter in letters:
            column = column * 26 + letter - 64
        refuse_by_shape(row if row > MOST_ROWS + HEAD_ROWS else 0, column if column > MOST_COLUMNS else 0)


def _chosen_sheet(book: CalamineWorkbook, wanted: str, words: Words) -> tuple[CalamineSheet, tuple[str, ...]]:
    """The sheet of a name, or the one that names most columns; and the names of the others."""
    from python_calamine import SheetTypeEnum, SheetVisibleEnum

    kept = [one for one in book.sheets_metadata if one.typ == SheetTypeEnum.WorkSheet]
    seen = [one.name for one in kept if one.visible == SheetVisibleEnum.Visible]
    names = seen or [one.name for one in kept]
    if not names:
        raise _no_table()
    chosen = (
        book.get_sheet_by_name(wanted)
        if wanted in {one.name for one in kept}
        else _best_sheet(book, names, words)
    )
    return chosen, tuple(one.name for one in kept if one.name != chosen.name)


def _best_sheet(book: CalamineWorkbook, names: Sequence[str], words: Words) -> CalamineSheet:
    best: tuple[int, int] = (-1, -1)
    chosen: CalamineSheet | None = None
    for name in names:
        sheet = book.get_sheet_by_name(name)
        score = _recognised(sheet, words), min(sheet.height * sheet.width, 1)
        if score > best:
            best, chosen = score, sheet
    assert chosen is not None
    return chosen


def _recognised(sheet: CalamineSheet, words: Words) -> int:
    if sheet.start is None:
        return 0
    head = [[cell_text(cell) for cell in row] for row in sheet.to_python(nrows=HEAD_ROWS)]
    found = find_header(head, words)
    return recognised_count(head[found], words) if found is not None else 0


def _texts(sheet: CalamineSheet, progress: Callable[[float], None]) -> list[list[str]]:
    if sheet.start is None:
        raise _no_table()
    grid: list[list[str]] = []
    for index, row in enumerate(sheet.to_python(skip_empty_area=False)):
        if index % 1_000 == 0:
            progress(index / max(sheet.total_height, 1))
        grid.append([cell_text(cell) for cell in row])
    return grid


def _fill_down(grid: list[list[str]], merges: Merges) -> int:
    """Write what merged cells show into each of their rows; how many merged cells there were."""
    done = 0
    for (top, left), (bottom, _) in merges:
        if top < len(grid) and left < len(grid[top]) and bottom > top and grid[top][left]:
            done += 1
            for row in grid[top + 1 : bottom + 1]:
                row[left] = grid[top][left]
    return done


def _header(
    grid: list[list[str]], found: int | None, width: int, merges: Merges, words: Words
) -> tuple[tuple[str, ...], int]:
    """The names of the columns and the index of the first row below; two rows of names become one."""
    if found is None:
        return ("",) * width, 0
    for upper in (found - 1, found):
        across = [(left, right) for (top, left), (_, right) in merges if top == upper and right > left]
        if across and upper >= 0 and _names_columns(grid, upper + 1, words):
            return _two_rows(grid[upper], grid[upper + 1], width, across), upper + 2
    return tuple(grid[found][:width]), found + 1


def _names_columns(grid: list[list[str]], index: int, words: Words) -> bool:
    if index >= len(grid):
        return False
    return recognised_count(grid[index], words) > 0 and not any(cell.isdigit() for cell in grid[index])


def _two_rows(
    upper: Sequence[str], lower: Sequence[str], width: int, across: Sequence[tuple[int, int]]
) -> tuple[str, ...]:
    """Names from two rows: what is merged over several columns stands before each of their names."""
    header = [one or other for one, other in zip(upper[:width], lower[:width], strict=True)]
    for left, right in across:
        for column in range(left, min(right + 1, width)):
            below = lower[column]
            header[column] = f"{upper[left]}: {below}" if below else upper[left]
    return tuple(header)


def _width(grid: Sequence[Sequence[str]]) -> int:
    """The number of columns up to the last that holds anything."""
    return max((index + 1 for row in grid for index, cell in enumerate(row) if cell), default=0)


def _notices(filled_down: int, others: tuple[str, ...]) -> list[str]:
    notices = []
    if filled_down:
        cells = "1 merged cell counts" if filled_down == 1 else f"{filled_down:,} merged cells count"
        notices.append(f"{cells} for every row that they span.")
    if others:
        sheets = ", ".join(f"'{one}'" for one in others)
        notices.append(f"Not read: {'sheet' if len(others) == 1 else 'sheets'} {sheets}.")
    return notices


def _no_table() -> TableUnreadable:
    return TableUnreadable(
        "The workbook holds no table: no sheet has two columns with rows below a header. Nothing was "
        "imported."
    )
