"""What a packed workbook would grow to, found before it is opened.

A packed workbook can unpack to far more than it weighs. A single cell far out makes a reader lay out
everything before it; a row, a cell or a text that is named once can be repeated a million times.
"""

from __future__ import annotations

import io
import lzma
import re
import struct
import zipfile
import zlib
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

ZIP_FAULTS = (
    *(zipfile.BadZipFile, zlib.error, lzma.LZMAError, struct.error, EOFError, OSError),
    *(KeyError, IndexError, ValueError, OverflowError, NotImplementedError, RuntimeError),
)
"""What unpacking a damaged or locked file raises; a wrong place in its table is a ValueError, for example."""

_READ_BYTES = 1_000_000
_OVERLAP = 200
_BEGINNING = 4_000
_ROW = re.compile(rb'<row\b[^<>]*?\br="(\d+)"[^<>]*>\s*<c\b')
_ROW_WITHOUT_NUMBER = re.compile(rb"<row(?![^<>]*\br=)[^<>]*>")
_CELL = re.compile(rb'<c\b[^<>]*?\br="([A-Z]{1,3})(\d+)"')
_WIDE_CELL = re.compile(rb'<c\b[^<>]*?\br="([A-Z]{2,3})\d')
_LETTERS = bytes(range(ord("A"), ord("Z") + 1))
_OF_TABLE = b't="s"'
_TEXT_OF_TABLE = re.compile(rb'<c\b[^<>]*\bt="s"[^<>]*>\s*<v>(\d{1,9})</v>')
_TEXT = re.compile(rb"<si\b")
_TABLE_ROW = re.compile(rb"<table:table-row\b")
_TABLE_CELL = re.compile(rb"<table:table-cell\b")
_ROWS = re.compile(rb'number-rows-repeated="(\d{1,9})"')
_COLUMNS = re.compile(rb'number-columns-repeated="(\d{1,9})"')
_VALUE = b"office:value-type="


class BeyondBounds(ValueError):  # noqa: N818 - reads as what it is
    """A workbook is larger than what is read; the message is a sentence about how."""


@dataclass(frozen=True, slots=True)
class Bounds:
    """The most that is read of a workbook: bytes unpacked, rows and columns of a sheet, cells in all.

    ``unpacked`` also holds for the texts of all cells together, each counted as often as it is repeated.
    """

    unpacked: int
    rows: int
    columns: int
    cells: int

    @property
    def too_far(self) -> BeyondBounds:
        """The refusal of a sheet with too many cells."""
        return BeyondBounds(
            f"A sheet of the workbook has more than {self.rows:,} rows, {self.columns:,} columns or "
            f"{self.cells:,} cells."
        )

    @property
    def too_much(self) -> BeyondBounds:
        """The refusal of a workbook with too many bytes."""
        return BeyondBounds(f"The workbook unpacks to more than {self.unpacked / 1e6:,.0f} MB.")


@dataclass(slots=True)
class _Seen:
    """What was seen so far: bytes, cells that name a text of the table of texts, and the longest of these."""

    size: int = 0
    named: int = 0
    longest: int = 0
    sheets: list[str] = field(default_factory=list)
    texts: str = ""


def refuse_beyond(data: bytes, bounds: Bounds) -> None:
    """Refuse a packed workbook that would grow beyond the bounds; one that is damaged is let pass.

    Raises
    ------
    BeyondBounds
        With a sentence about what is too much.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            seen = _Seen()
            for one in packed.infolist():
                _look_through(packed, one.filename, seen, bounds)
            # An upper limit first: to look up the text of each cell would take seconds.
            if seen.named * seen.longest > bounds.unpacked and _repeated(packed, seen) > bounds.unpacked:
                raise bounds.too_much
    except BeyondBounds:
        raise
    except ZIP_FAULTS:
        # What is wrong with it is said when it is opened.
        return


def _look_through(packed: zipfile.ZipFile, name: str, seen: _Seen, bounds: Bounds) -> None:
    """A member, unpacked a piece at a time; what it is tells its beginning, as its name may be any."""
    corner, kind, pieces = (0, 0), "", []
    for kept, piece in _pieces(packed, name):
        kind = kind or _kind(name, piece[:_BEGINNING])
        seen.size += len(piece)
        if seen.size > bounds.unpacked:
            raise bounds.too_much
        if kind == "sheet":
            seen.named += piece.count(_OF_TABLE)
            found = _corner(kept + piece)
            corner = max(corner[0], found[0]), max(corner[1], found[1])
            if corner[0] > bounds.rows or corner[1] > bounds.columns or corner[0] * corner[1] > bounds.cells:
                raise bounds.too_far
        elif kind in ("texts", "content"):
            pieces.append(piece)
    if kind == "sheet":
        seen.sheets.append(name)
    elif kind == "content":
        _refuse_repeats(b"".join(pieces), bounds)
    elif kind == "texts":
        seen.texts, seen.longest = name, max(_lengths(b"".join(pieces)), default=0)


def _kind(name: str, beginning: bytes) -> str:
    if name == "content.xml":
        return "content"
    if b"<sst" in beginning:
        return "texts"
    return "sheet" if b"<worksheet" in beginning or b"<sheetData" in beginning else "other"


def _pieces(packed: zipfile.ZipFile, name: str) -> Iterator[tuple[bytes, bytes]]:
    """Each piece of a member, with the end of the one before."""
    kept = b""
    with packed.open(name) as member:
        while piece := member.read(_READ_BYTES):
            yield kept, piece
            kept = piece[-_OVERLAP:]


def _corner(xml: bytes) -> tuple[int, int]:
    """The last row and column that a piece of a sheet has a cell in; the reader lays out all before it."""
    if _ROW_WITHOUT_NUMBER.search(xml):
        found = [(int(row), _column(letters)) for letters, row in _CELL.findall(xml)]
        return max((row for row, _ in found), default=0), max((column for _, column in found), default=0)
    # Numbers of rows and the few cells beyond column Z alone are looked at: all cells would take seconds.
    rows = max(map(int, _ROW.findall(xml)), default=0)
    wide = max(map(_column, _WIDE_CELL.findall(xml)), default=0)
    narrow = next((place for place in range(26, 0, -1) if b'r="%c' % _LETTERS[place - 1] in xml), 0)
    return rows, max(wide, narrow)


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number


def _lengths(texts: bytes) -> list[int]:
    """The size of each text in the table of texts."""
    starts = [one.start() for one in _TEXT.finditer(texts)]
    return [after - before for before, after in pairwise([*starts, len(texts)])]


def _repeated(packed: zipfile.ZipFile, seen: _Seen) -> int:
    """The size of all texts, each as often as a cell names it."""
    lengths = _lengths(packed.read(seen.texts))
    return sum(
        lengths[int(place)]
        for name in seen.sheets
        for place in _TEXT_OF_TABLE.findall(packed.read(name))
        if int(place) < len(lengths)
    )


def _refuse_repeats(xml: bytes, bounds: Bounds) -> None:
    """Refuse values that are repeated beyond the bounds; empty rows and cells may be, to the sheet's end."""
    cells = size = 0
    starts = [one.start() for one in _TABLE_ROW.finditer(xml)]
    for start, end in pairwise([*starts, len(xml)]):
        if _VALUE not in xml[start:end]:
            continue
        head, *rest = _TABLE_CELL.split(xml[start:end])
        rows = _count(_ROWS, head)
        columns = [_count(_COLUMNS, one) if _VALUE in one.partition(b">")[0] else 0 for one in rest]
        cells += rows * sum(columns)
        size += rows * sum(count * len(one) for count, one in zip(columns, rest, strict=True))
        if rows > bounds.rows or sum(columns) > bounds.columns or cells > bounds.cells:
            raise bounds.too_far
        if size > 2 * bounds.unpacked:
            raise bounds.too_much


def _count(pattern: re.Pattern[bytes], tag: bytes) -> int:
    found = pattern.search(tag.partition(b">")[0])
    return int(found[1]) if found else 1
