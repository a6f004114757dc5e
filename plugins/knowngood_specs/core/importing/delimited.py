"""Text with delimiters between the cells as a table, whatever stands above it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.formula_cells import restored
from knowngood_refdata.text_files import MIXED
from knowngood_specs.core.importing.header import HEAD_ROWS, find_header, named, usual_width
from knowngood_specs.core.importing.recognise import Words, recognised_count
from knowngood_specs.core.importing.records import Record, records, split_line
from knowngood_specs.core.importing.table import Row, Table, TableUnreadable, refuse_by_shape

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from knowngood_refdata.text_files import FileText

DELIMITERS = {";": "semicolon", "\t": "tab", ",": "comma", "|": "vertical bar"}
_LOOKED_AT = 400


@dataclass(frozen=True, slots=True)
class _Layout:
    delimiter: str
    width: int
    header: Record | None
    score: tuple[int, int, int]


def table_of_text(text: FileText, name: str, progress: Callable[[float], None] = lambda _: None) -> Table:
    """The table in a text.

    Raises
    ------
    TableUnreadable
        When there is a single column or the table is beyond the limits.
    """
    lines = text.utf8.decode("utf-8", "replace").split("\n")
    head = lines[:_LOOKED_AT]
    layout = max((_layout(head, delimiter, Words()) for delimiter in DELIMITERS), key=lambda one: one.score)
    if layout.width < 2:
        raise TableUnreadable(
            "The file holds no table: no commas, semicolons or tabs divide its lines into columns. Nothing "
            "was imported; save the table as CSV or XLSX and import that."
        )
    start = layout.header.last if layout.header else 0
    refuse_by_shape(sum(1 for line in lines[start:] if line.strip()), layout.width)
    body = _shifted(records(lines[start:], layout.delimiter, layout.width, progress), start)
    rows, blank = rows_of(body, layout.width, _cells(layout.header))
    header = _padded(_cells(layout.header), layout.width)
    dialect = f"{text.encoding}, {DELIMITERS[layout.delimiter]}"
    return Table(
        name=name,
        header=named(header),
        rows=rows,
        header_row=layout.header.first if layout.header else 0,
        dialect=dialect,
        preamble=tuple(
            line for line in lines[: layout.header.first - 1 if layout.header else 0] if line.strip()
        ),
        blank_rows=blank,
        notices=(*_encoding_notices(text), *row_notices(rows, layout.width)),
    )


def rows_of(body: Iterable[Record], width: int, header: Sequence[str]) -> tuple[tuple[Row, ...], int]:
    """The rows of a table and how many blank ones were left out; one that repeats the header is at fault."""
    rows: list[Row] = []
    blank = short = 0
    for record in body:
        if not any(map(str.strip, record.fields)):
            blank += 1
            continue
        row = _row(record, width, header)
        short += bool(row.doubt)
        rows.append(row)
    # A program that leaves out empty cells at the ends of lines does so throughout: nothing is odd then.
    if short * 2 > len(rows):
        rows = [Row(row.number, row.cells, row.last_number, row.fault) for row in rows]
    return tuple(rows), blank


def row_notices(rows: Sequence[Row], width: int) -> list[str]:
    """What the user should know of lines that do not have as many cells as the header."""
    faults = sum(1 for row in rows if row.fault)
    short = sum(1 for row in rows if row.doubt)
    notices = []
    if faults:
        notices.append(f"{_counted(faults)} cannot be divided into the {width} columns of the table.")
    if short:
        notices.append(f"{_counted(short)} shorter than the header; the missing cells count as empty.")
    return notices


def _counted(number: int) -> str:
    return "1 row" if number == 1 else f"{number:,} rows"


def _row(record: Record, width: int, header: Sequence[str]) -> Row:
    cells = tuple(restored(cell.strip()) if cell else "" for cell in record.fields)
    if record.broken:
        return Row(record.first, (), record.last, "A quotation mark in it is never closed.")
    if len(cells) > width and any(cells[width:]):
        return Row(
            record.first,
            (),
            record.last,
            f"It has {len(cells)} cells where the table has {width} columns, so they cannot be told apart.",
        )
    if header and cells[: len(header)] == tuple(header):
        return Row(record.first, (), record.last, "It repeats the header.")
    doubt = "" if len(cells) >= width else f"It ends after {len(cells)} of {width} cells."
    return Row(record.first, _padded(cells[:width], width), record.last, doubt=doubt)


def _layout(lines: Sequence[str], delimiter: str, words: Words) -> _Layout:
    split = [split_line(line, delimiter) for line in lines]
    width = usual_width(split)
    if width < 2:
        return _Layout(delimiter, 1, None, (0, 0, 0))
    head = list(records(lines, delimiter, width))
    found = find_header([one.fields for one in head[:HEAD_ROWS]], words)
    header = head[found] if found is not None else None
    named_cells = len(_cells(header))
    consistent = sum(len(one.fields) == width for one in head)
    known = recognised_count(header.fields, words) if header else 0
    return _Layout(delimiter, max(width, named_cells), header, (known, consistent, width))


def _cells(header: Record | None) -> tuple[str, ...]:
    """The cells of the header without empty ones at the end."""
    cells = [restored(cell.strip()) for cell in header.fields] if header else []
    while cells and not cells[-1]:
        cells.pop()
    return tuple(cells)


def _padded(cells: tuple[str, ...], width: int) -> tuple[str, ...]:
    return cells + ("",) * (width - len(cells))


def _shifted(body: Iterable[Record], by: int) -> Iterable[Record]:
    if by == 0:
        return body
    return (Record(one.first + by, one.last + by, one.fields, one.broken) for one in body)


def _encoding_notices(text: FileText) -> list[str]:
    if text.encoding == MIXED:
        return ["The lines do not share one encoding: each was read as UTF-8 or else as Windows-1252."]
    if text.encoding == "cp1252" and not text.utf8.isascii():
        return ["The file was read as Windows-1252: look at the accented letters."]
    return []
