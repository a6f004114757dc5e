"""The lines below the header as columns of text; a line with too many or few fields is never shifted in."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from .text import LogUnreadable

if TYPE_CHECKING:
    from collections.abc import Callable

    import polars as pl
    from numpy.typing import NDArray

    from .layout import Layout

_CHUNK_BYTES = 32_000_000
_FEW_LINES = 3
_FEW_SHARE = 0.01
_NAMED_LINES = 10


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """Columns of text with n cells each, the file's line of each row counted from 1, and lines left out."""

    columns: tuple[pl.Series, ...]
    lines: NDArray[np.int64]  # (n,)
    ragged: tuple[int, ...]
    last_broken: bool


def split_body(utf8: bytes, layout: Layout, proceed: Callable[[float], None]) -> Body:
    """Split all lines of data.

    Raises
    ------
    LogUnreadable
        When more than a few lines have too many or too few fields, or none is left.
    """
    start = _offset_of_line(utf8, layout.first_data_line)
    body = utf8[start:] if utf8.endswith(b"\n") else utf8[start:] + b"\n"
    split = _split_quoted if b'"' in body else _split_plain
    result = split(body, layout, proceed)
    _refuse_ragged(result, layout, body_complete=utf8.endswith(b"\n"))
    return result


def lines_in_words(lines: tuple[int, ...]) -> str:
    """Line numbers for a sentence, the first few of many.

    >>> lines_in_words((4, 9))
    'lines 4, 9'
    """
    shown = ", ".join(str(line) for line in lines[:_NAMED_LINES])
    more = len(lines) - _NAMED_LINES
    word = "line" if len(lines) == 1 else "lines"
    return f"{word} {shown}" + (f" and {more:,} more" if more > 0 else "")


def _refuse_ragged(body: Body, layout: Layout, *, body_complete: bool) -> None:
    rows, ragged = len(body.lines), len(body.ragged)
    # A logger that lost its power leaves half a line; that alone is no reason to doubt the others.
    counted = ragged - (body.last_broken and not body_complete)
    if counted > max(_FEW_LINES, _FEW_SHARE * (rows + ragged)):
        raise LogUnreadable(
            f"{ragged:,} of {rows + ragged:,} lines do not have the {layout.width} fields that the header "
            f"names ({lines_in_words(body.ragged)}), so their values cannot be told apart. Nothing was "
            "imported; export the log again."
        )
    if rows == 0:
        raise LogUnreadable("The file has a header but no line of data below it. Nothing was imported.")


def _offset_of_line(utf8: bytes, line: int) -> int:
    offset = 0
    for _ in range(line):
        offset = utf8.index(b"\n", offset) + 1
    return offset


def _split_plain(body: bytes, layout: Layout, proceed: Callable[[float], None]) -> Body:
    import polars as pl

    counts, starts = _field_counts(body, layout.delimiter, proceed)
    lengths = np.diff(starts) - 1
    blank = lengths <= counts - 1  # nothing but delimiters, or nothing at all
    for index in np.flatnonzero((counts == 1) & ~blank):
        blank[index] = not body[starts[index] : starts[index + 1]].strip()
    good = (counts == layout.width) & ~blank
    ragged = np.flatnonzero(~good & ~blank)
    clean = body if good.all() else _kept(body, good, starts)
    names = [f"field {index}" for index in range(layout.width)]
    lines = np.flatnonzero(good) + layout.first_data_line + 1
    columns: tuple[pl.Series, ...] = ()
    if lines.size:
        try:
            frame = pl.read_csv(
                io.BytesIO(clean),
                has_header=False,
                separator=layout.delimiter,
                quote_char=None,
                infer_schema=False,
                new_columns=names,
            )
        except (pl.exceptions.PolarsError, pl.exceptions.PanicException) as error:
            raise LogUnreadable(f"The lines cannot be split into fields ({error}).") from None
        if frame.shape != (lines.size, layout.width):
            raise LogUnreadable("The lines cannot be split into fields of one table. Nothing was imported.")
        columns = tuple(frame.get_columns())
    numbers = tuple((ragged + layout.first_data_line + 1).tolist())
    return Body(columns, lines, numbers, bool(ragged.size) and int(ragged[-1]) == counts.size - 1)


def _field_counts(
    body: bytes, delimiter: str, proceed: Callable[[float], None]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """The number of fields of each line (m,), and where each line starts (m + 1,)."""
    counts: list[NDArray[np.int64]] = []
    starts: list[NDArray[np.int64]] = [np.zeros(1, dtype=np.int64)]
    offset = 0
    while offset < len(body):
        proceed(offset / len(body))
        # Cut at a line end, so that every chunk holds whole lines.
        end = body.find(b"\n", min(offset + _CHUNK_BYTES, len(body) - 1)) + 1
        chunk = np.frombuffer(body, dtype=np.uint8, count=end - offset, offset=offset)
        ends = np.flatnonzero(chunk == ord("\n"))
        found = np.searchsorted(np.flatnonzero(chunk == ord(delimiter)), ends)
        counts.append(np.diff(found, prepend=0) + 1)
        starts.append(ends + 1 + offset)
        offset = end
    return np.concatenate(counts), np.concatenate(starts)


def _kept(body: bytes, good: NDArray[np.bool_], starts: NDArray[np.int64]) -> bytes:
    """The body without the lines that are not good."""
    edges = np.flatnonzero(np.diff(good, prepend=False, append=False))
    return b"".join(
        body[starts[first] : starts[last]] for first, last in zip(edges[0::2], edges[1::2], strict=True)
    )


def _split_quoted(body: bytes, layout: Layout, proceed: Callable[[float], None]) -> Body:
    import polars as pl

    reader = csv.reader(io.StringIO(body.decode("utf-8", "replace"), newline=""), delimiter=layout.delimiter)
    rows: list[list[str]] = []
    lines: list[int] = []
    ragged: list[int] = []
    last = 0
    expected = max(body.count(b"\n"), 1)
    try:
        for row in reader:
            first, last = last + 1, reader.line_num
            if len(row) == layout.width and any(row):
                rows.append(row)
                lines.append(first + layout.first_data_line)
                if len(rows) % 50_000 == 0:
                    proceed(min(last / expected, 1.0))
            elif any(cell.strip() for cell in row):
                # A quotation mark that was never closed swallows the lines behind it: all of them count.
                ragged.extend(line + layout.first_data_line for line in range(first, last + 1))
    except csv.Error as error:
        raise LogUnreadable(
            f"Line {reader.line_num + layout.first_data_line} cannot be split into fields ({error}). "
            "Nothing was imported; export the log again."
        ) from None
    columns = tuple(pl.Series(cells, dtype=pl.String) for cells in zip(*rows, strict=True))
    broken = bool(ragged) and (not lines or ragged[-1] > lines[-1])
    return Body(columns, np.asarray(lines, dtype=np.int64), tuple(ragged), broken)
