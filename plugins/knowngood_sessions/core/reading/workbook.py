"""A log in a workbook: the sheet that holds one, or the one that is named, read like a text with tabs."""

from __future__ import annotations

import re
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING

from knowngood_refdata.logs import LogTable, LogUnreadable, Notice, SeveralLogs
from knowngood_refdata.workbooks import Bounds, WorkbookFault, WorkbookUnreadable, is_workbook, opened

from .layout import HEAD_LINES, find_layout
from .reader import read_log

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from python_calamine import CalamineSheet, CalamineWorkbook

BOUNDS = Bounds(unpacked=200_000_000, rows=1_048_576, columns=512, cells=3_000_000)
_ADVICE = {
    WorkbookFault.TOO_LARGE: "Nothing was imported; save the sheet with the log as CSV.",
    WorkbookFault.LOCKED: "Nothing was imported; save it without one, or as CSV.",
    WorkbookFault.DAMAGED: "Nothing was imported; open it and save it anew, or as CSV.",
}
_BREAKS = str.maketrans({"\t": " ", "\n": " ", "\r": " ", "\0": " ", '"': "'"})
_DECIMAL_COMMA = re.compile(r"[+-]?\d+,(?!\d{3}$)\d+")
_PROGRESS_ROWS = 20_000
_MOST_SHEETS = 200


def claims_workbook(head: bytes, _name: str) -> bool:
    """Whether the first bytes of a file are those of a workbook."""
    return is_workbook(head)


def read_workbook(data: bytes, name: str, proceed: Callable[[float], None] = lambda _: None) -> LogTable:
    """Read the one sheet of a workbook that holds a log; formulas count as their values.

    Raises
    ------
    SeveralLogs
        When several sheets hold one.
    LogUnreadable
        When none does, or the file is no workbook that can be read.
    """
    return _read(data, name, proceed, "")


def read_sheet(data: bytes, name: str, proceed: Callable[[float], None], part: str) -> LogTable:
    """As `read_workbook`, from the sheet of a name."""
    return _read(data, name, proceed, part)


def _read(data: bytes, name: str, proceed: Callable[[float], None], part: str) -> LogTable:
    with _book(data) as book:
        proceed(0.1)
        sheet, others = _chosen(book, part, proceed)
        title = sheet.name
        text = _as_text(sheet.iter_rows() if sheet.height else (), sheet.total_height, proceed)
    table = read_log(text, name, lambda part_done: proceed(0.6 + 0.4 * part_done))
    above = sheet.start[0] if sheet.start else 0
    told = (Notice(f"Not read: {', '.join(others)}."),) if others else ()
    return replace(
        table,
        lines=table.lines + above,
        dialect=f"workbook, sheet '{title}'",
        part=title,
        notices=(*told, *table.notices),
        # A workbook is no text that could be read on.
        first_data_line=-1,
    )


@contextmanager
def _book(data: bytes) -> Iterator[CalamineWorkbook]:
    try:
        with opened(data, BOUNDS) as book:
            yield book
    except WorkbookUnreadable as error:
        raise LogUnreadable(f"{error} {_ADVICE[error.fault]}") from None


def _chosen(
    book: CalamineWorkbook, part: str, proceed: Callable[[float], None]
) -> tuple[CalamineSheet, list[str]]:
    """The sheet that holds the log, and the others in words."""
    from python_calamine import SheetTypeEnum

    names = [one.name for one in book.sheets_metadata if one.typ == SheetTypeEnum.WorkSheet]
    if part:
        if part not in names:
            raise LogUnreadable(f"The workbook has no sheet '{part}'. Nothing was imported.")
        return _within(book.get_sheet_by_name(part)), []
    if len(names) > _MOST_SHEETS:
        raise LogUnreadable(
            f"The workbook has {len(names):,} sheets; at most {_MOST_SHEETS} are looked through. Nothing was "
            "imported; save the one with the log as CSV."
        )
    logs: list[str] = []
    others: dict[str, LogUnreadable] = {}
    sheet: CalamineSheet | None = None
    for place, name in enumerate(names):
        one = _within(book.get_sheet_by_name(name))
        proceed(0.1 + 0.2 * (place + 1) / len(names))
        refusal = _refusal(one)
        if refusal is None:
            logs.append(name)
            # To lay out a sheet takes most of the time; only one is kept, as each may be large.
            sheet = one if len(logs) == 1 else None
        elif one.height:
            others[name] = refusal
    if len(logs) > 1:
        raise SeveralLogs(logs, f"The workbook holds {len(logs)} logs, on the sheets")
    if sheet is None:
        raise _no_log(tuple(others.values()))
    return sheet, [f"sheet '{name}'" for name in others]


def _no_log(refusals: tuple[LogUnreadable, ...]) -> LogUnreadable:
    found = "No sheet of the workbook holds a log: a header with rows of numbers below it."
    if len(refusals) == 1:
        return LogUnreadable(f"{found} {refusals[0]}")
    return LogUnreadable(f"{found} Nothing was imported.")


def _within(sheet: CalamineSheet) -> CalamineSheet:
    if sheet.height * sheet.width > BOUNDS.cells or sheet.width > BOUNDS.columns:
        raise WorkbookUnreadable(
            WorkbookFault.TOO_LARGE,
            f"The sheet '{sheet.name}' has {sheet.height:,} rows of {sheet.width:,} columns; at most "
            f"{BOUNDS.cells:,} cells can be read.",
        )
    return sheet


def _refusal(sheet: CalamineSheet) -> LogUnreadable | None:
    """Why the first rows of a sheet are no log, None where they are."""
    try:
        find_layout(_as_text(sheet.to_python(nrows=HEAD_LINES) if sheet.height else (), HEAD_LINES))
    except LogUnreadable as refusal:
        return refusal
    return None


def _as_text(
    rows: Iterable[Iterable[object]], count: int, proceed: Callable[[float], None] = lambda _: None
) -> bytes:
    lines: list[str] = []
    for index, row in enumerate(rows):
        if index % _PROGRESS_ROWS == 0:
            proceed(0.3 + 0.3 * index / max(count, 1))
        lines.append("\t".join([cell_text(cell) for cell in row]))
    return ("\n".join(lines) + "\n").encode("utf-8", "replace")


def cell_text(cell: object) -> str:
    """A cell as a log in text would write it; numbers come back to the last bit.

    >>> cell_text(30.1), cell_text(750.0), cell_text(timedelta(minutes=1, seconds=2.5)), cell_text("1,5")
    ('30.1', '750', '0:01:02.5', '1.5')
    """
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, str):
        text = cell.translate(_BREAKS).strip()
        return text.replace(",", ".") if _DECIMAL_COMMA.fullmatch(text) else text
    if isinstance(cell, bool):
        return "1" if cell else "0"
    if isinstance(cell, (datetime, date, time)):
        return cell.isoformat(" ") if isinstance(cell, datetime) else cell.isoformat()
    if isinstance(cell, timedelta):
        minutes, seconds = divmod(cell.total_seconds(), 60.0)
        return f"{minutes // 60:.0f}:{minutes % 60:02.0f}:{seconds:09.6f}".rstrip("0").rstrip(".")
    return "" if cell is None else str(cell)
