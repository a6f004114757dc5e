"""The lines below the header as columns of text; a line with too many or few fields is never shifted in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from .again import headers_again
from .quoting import MOST_LINES, Quotes, quotes_of
from .text import LogUnreadable

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    import polars as pl
    from numpy.typing import NDArray

    from .layout import Layout

MOST_CELLS = 12_000_000
"""Rows times columns; each takes some 30 bytes of memory while a log is read."""

_PIECE_BYTES = 4_000_000
_FEW_LINES = 3
_FEW_SHARE = 0.01
_NAMED_LINES = 10


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """Columns of text with n cells each, the file's line of each row counted from 1, and lines left out.

    ``again`` are the lines on which the header stands once more.
    """

    columns: tuple[pl.Series, ...]
    lines: NDArray[np.int64]  # (n,)
    ragged: tuple[int, ...]
    last_broken: bool
    again: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class _Piece:
    """Some whole lines: those that have the fields of the header, and the numbers of the others from 0."""

    frame: pl.DataFrame | None
    good: NDArray[np.intp]
    ragged: NDArray[np.intp]
    again: list[int]
    count: int


def split_body(utf8: bytes, layout: Layout, proceed: Callable[[float], None]) -> Body:
    """Split all lines of data.

    Raises
    ------
    LogUnreadable
        When more than a few lines have too many or too few fields, none is left, or there are too many.
    """
    start = _offset_of_line(utf8, layout.first_data_line)
    _refuse_too_many(utf8.count(b"\n", start), layout.width)
    result = _split(utf8, start, layout, proceed)
    _refuse_ragged(result, layout, body_complete=utf8.endswith(b"\n"))
    return result


def split_lines(utf8: bytes, layout: Layout) -> Body:
    """Split further lines of a log whose layout is known; what does not fit is left out, never refused."""
    return _split(utf8, 0, layout, lambda _: None)


def lines_in_words(lines: tuple[int, ...]) -> str:
    """Line numbers for a sentence, the first few of many.

    >>> lines_in_words((4, 9))
    'lines 4, 9'
    """
    shown = ", ".join(str(line) for line in lines[:_NAMED_LINES])
    more = len(lines) - _NAMED_LINES
    word = "line" if len(lines) == 1 else "lines"
    return f"{word} {shown}" + (f" and {more:,} more" if more > 0 else "")


def _refuse_too_many(lines: int, width: int) -> None:
    if lines * width > MOST_CELLS:
        raise LogUnreadable(
            f"The file has {lines:,} lines of {width} fields; at most {MOST_CELLS // width:,} lines of so "
            "many fields can be read. Nothing was imported; export a shorter stretch, fewer channels, or a "
            "lower sampling rate."
        )


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


def _split(utf8: bytes, start: int, layout: Layout, proceed: Callable[[float], None]) -> Body:
    import polars as pl

    frames: list[pl.DataFrame] = []
    lines: list[NDArray[np.intp]] = []
    ragged: list[int] = []
    again: list[int] = []
    first = layout.first_data_line + 1
    for offset, piece in _pieces(utf8, start):
        proceed(offset / len(utf8))
        found = _read(piece, layout)
        if found.frame is not None:
            frames.append(found.frame)
        lines.append(found.good + first)
        ragged += (found.ragged + first).tolist()
        again += [line + first for line in found.again]
        first += found.count
    rows = np.concatenate(lines) if lines else np.zeros(0, dtype=np.intp)
    columns = tuple(pl.concat(frames, rechunk=True).get_columns()) if frames else ()
    last_broken = bool(ragged) and ragged[-1] == first - 1
    return Body(columns, rows.astype(np.int64), tuple(ragged), last_broken, tuple(again))


def _pieces(utf8: bytes, start: int) -> Iterator[tuple[int, bytes]]:
    """Whole lines, each with its end, and where they begin in the file."""
    while start < len(utf8):
        end = _end_of_line(utf8, start + _PIECE_BYTES)
        if utf8.count(b'"', start, end) % 2:
            end = _end_of_field(utf8, end)
        piece = utf8[start:end]
        yield start, piece if piece.endswith(b"\n") else piece + b"\n"
        start = end


def _end_of_line(utf8: bytes, at: int) -> int:
    return utf8.find(b"\n", min(at, len(utf8) - 1)) + 1 or len(utf8)


def _end_of_field(utf8: bytes, at: int) -> int:
    """The end of the line in which a field that is open is closed, the same place where none is."""
    end = at
    for _ in range(MOST_LINES):
        before, end = end, _end_of_line(utf8, end)
        if utf8.count(b'"', before, end) % 2:
            return end
    return at


def _read(piece: bytes, layout: Layout) -> _Piece:
    quotes = quotes_of(piece, layout.delimiter, layout.width) if b'"' in piece else None
    if quotes is not None:
        piece = quotes.text
    counts, starts = _field_counts(piece, layout.delimiter, quotes)
    lengths = np.diff(starts) - 1
    if quotes is not None:
        lengths = lengths - quotes.in_lines
    blank = lengths <= counts - 1  # nothing but delimiters, or nothing at all
    for index in np.flatnonzero((counts == 1) & ~blank):
        blank[index] = not piece[starts[index] : starts[index + 1]].strip()
    again = headers_again(piece, starts, layout)
    good = (counts == layout.width) & ~blank
    if quotes is not None:
        good &= ~quotes.broken
    good[again] = False
    ragged = ~good & ~blank
    ragged[again] = False
    where = np.flatnonzero(good)
    clean = piece if good.all() else _kept(piece, good, starts)
    frame = _frame(clean, layout, where.size, quoted=quotes is not None) if where.size else None
    return _Piece(frame, where, np.flatnonzero(ragged), again, counts.size)


def _frame(lines: bytes, layout: Layout, rows: int, *, quoted: bool) -> pl.DataFrame:
    import polars as pl

    try:
        frame = pl.read_csv(
            lines,
            has_header=False,
            separator=layout.delimiter,
            quote_char='"' if quoted else None,
            infer_schema=False,
            new_columns=[f"field {index}" for index in range(layout.width)],
        )
    except (pl.exceptions.PolarsError, pl.exceptions.PanicException) as error:
        raise LogUnreadable(
            f"The lines cannot be split into fields ({error}). Nothing was imported; export the log again."
        ) from None
    if frame.shape != (rows, layout.width):
        raise LogUnreadable("The lines cannot be split into fields of one table. Nothing was imported.")
    return frame.with_columns(pl.all().replace("", None)) if quoted else frame


def _field_counts(
    piece: bytes, delimiter: str, quotes: Quotes | None
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """The number of fields of each line (m,), and where each line starts (m + 1,)."""
    text = np.frombuffer(piece, dtype=np.uint8)
    starts = np.concatenate([[0], np.flatnonzero(text == ord("\n")) + 1])
    between = text == ord(delimiter)
    if quotes is not None:
        places = np.flatnonzero(between)
        between[places[quotes.around(places)]] = False
    counts = np.add.reduceat(between.view(np.uint8), starts[:-1], dtype=np.intp) + 1
    return counts, starts


def _kept(piece: bytes, good: NDArray[np.bool_], starts: NDArray[np.intp]) -> bytes:
    """The lines that are good."""
    edges = np.flatnonzero(np.diff(good, prepend=False, append=False))
    return b"".join(
        piece[starts[first] : starts[last]] for first, last in zip(edges[0::2], edges[1::2], strict=True)
    )
