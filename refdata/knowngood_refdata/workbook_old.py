"""What an old workbook (XLS) would grow to, found before it is opened.

It keeps each text once in a table, and every cell of a text names its place there: a long text that is named
a hundred thousand times grows to gigabytes. Structure: [MS-CFB] and [MS-XLS], open specifications of
Microsoft.
"""

from __future__ import annotations

import struct
from typing import TYPE_CHECKING

from knowngood_refdata.workbook_bounds import BeyondBounds

if TYPE_CHECKING:
    from collections.abc import Iterator

    from knowngood_refdata.workbook_bounds import Bounds

LARGEST_BYTES = 25_000_000
_NAMES = {"Workbook", "Book"}
_ENTRY, _SMALL, _FIRST_FATS = 128, 64, 109
_SECTORS = {9: 512, 12: 4_096}
_LAST_SECTOR = 0xFFFFFFFA
_BEGIN, _TEXTS, _CONTINUED, _NAMED, _LOCKED = 0x0809, 0x00FC, 0x003C, 0x00FD, 0x002F
_SEVERAL = frozenset({0x00BD, 0x00BE})
_CELLS = frozenset({_NAMED, *_SEVERAL, 0x0203, 0x027E, 0x0204, 0x0006, 0x0205, 0x0201})
_WIDE, _PHONETIC, _RICH = 1, 4, 8


def refuse_old_beyond(data: bytes, bounds: Bounds) -> None:
    """Refuse an old workbook that would grow beyond the bounds; one that is damaged is let pass.

    Raises
    ------
    BeyondBounds
        With a sentence about what is too much.
    """
    if len(data) > LARGEST_BYTES:
        raise BeyondBounds(
            f"The workbook is of the old kind (XLS) and has {len(data) / 1e6:,.0f} MB; "
            f"of this kind at most {LARGEST_BYTES / 1e6:,.0f} MB are read."
        )
    try:
        stream = _stream(data)
        named, corners, texts = _looked_through(stream)
    except (struct.error, IndexError, ValueError):
        # What is wrong with it is said when it is opened.
        return
    for rows, columns in corners:
        if rows > bounds.rows or columns > bounds.columns or rows * columns > bounds.cells:
            raise bounds.too_far
    if len(named) * max(texts, default=0) > bounds.unpacked:
        size = sum(texts[place] for place in named if place < len(texts))
        if size > bounds.unpacked:
            raise bounds.too_much


def _looked_through(stream: bytes) -> tuple[list[int], list[tuple[int, int]], list[int]]:
    """The text that each cell names, how far each sheet has cells in rows and columns, the sizes of texts."""
    named: list[int] = []
    corners: list[tuple[int, int]] = []
    pieces: list[bytes] = []
    rows = columns = last = 0
    for kind, start, length in _records(stream):
        if kind == _BEGIN:
            corners.append((rows, columns))
            rows = columns = 0
        elif kind in _CELLS:
            row, column = struct.unpack_from("<HH", stream, start)
            if kind in _SEVERAL:
                (column,) = struct.unpack_from("<H", stream, start + length - 2)
            rows, columns = max(rows, row + 1), max(columns, column + 1)
            if kind == _NAMED:
                named += struct.unpack_from("<I", stream, start + 6)
        elif kind == _LOCKED:
            raise ValueError("its contents are locked by a password")
        elif kind == _TEXTS or (kind == _CONTINUED and last in (_TEXTS, _CONTINUED) and pieces):
            pieces.append(stream[start : start + length])
        last = kind
    return named, [*corners, (rows, columns)], list(_sizes(pieces)) if pieces else []


def _records(stream: bytes) -> Iterator[tuple[int, int, int]]:
    """Kind, start of the contents, and their length, of one record after another."""
    place = 0
    while place + 4 <= len(stream):
        kind, length = struct.unpack_from("<HH", stream, place)
        yield kind, place + 4, length
        place += 4 + length


def _sizes(pieces: list[bytes]) -> Iterator[int]:
    """The size of each text in the table of texts [bytes]; a text may go on in the next piece."""
    reading = _Pieces(pieces)
    count = struct.unpack_from("<I", pieces[0], 4)[0]
    reading.skip(8)
    for _ in range(count):
        length, flags = struct.unpack("<HB", reading.taken(3))
        runs = struct.unpack("<H", reading.taken(2))[0] if flags & _RICH else 0
        beside = struct.unpack("<I", reading.taken(4))[0] if flags & _PHONETIC else 0
        yield reading.pass_text(length, wide=bool(flags & _WIDE))
        reading.skip(4 * runs + beside)


class _Pieces:
    """Reads on from one piece of the table of texts to the next."""

    def __init__(self, pieces: list[bytes]) -> None:
        self._pieces, self._piece, self._place = pieces, 0, 0

    def taken(self, count: int) -> bytes:
        """The next bytes, which lie in one piece."""
        if self._left == 0:
            self._turn()
        found = self._pieces[self._piece][self._place : self._place + count]
        self._place += count
        return found

    def skip(self, count: int) -> None:
        """Pass over bytes that may go on in the next piece."""
        while count > self._left:
            count -= self._left
            self._turn()
        self._place += count

    def pass_text(self, length: int, *, wide: bool) -> int:
        """Pass over a text of so many characters; its size. In each further piece its width is told anew."""
        size = 0
        while length:
            width = 2 if wide else 1
            here = min(length, self._left // width)
            size += here * width
            length -= here
            self._place += here * width
            if length:
                self._turn()
                wide = bool(self.taken(1)[0] & _WIDE)
        return size

    @property
    def _left(self) -> int:
        return len(self._pieces[self._piece]) - self._place

    def _turn(self) -> None:
        self._piece, self._place = self._piece + 1, 0
        if self._piece >= len(self._pieces):
            raise ValueError("the table of texts ends within a text")


def _stream(data: bytes) -> bytes:
    """The stream of the workbook within the file, put together from its sectors."""
    sector = _SECTORS.get(struct.unpack_from("<H", data, 30)[0], 0)
    if not sector:
        raise ValueError("its sectors have no known size")
    following = _following(data, sector)
    first_entry, small_below, first_small = struct.unpack_from("<I4xII", data, 48)
    entries = _chained(data, sector, following, first_entry)
    root, *others = [entries[place : place + _ENTRY] for place in range(0, len(entries), _ENTRY)]
    for entry in others:
        name = entry[: max(0, struct.unpack_from("<H", entry, 64)[0] - 2)].decode("utf-16-le", "replace")
        if name in _NAMES:
            first, size = struct.unpack_from("<II", entry, 116)
            if size >= small_below:
                return _chained(data, sector, following, first)[:size]
            small = _chained(data, sector, following, struct.unpack_from("<I", root, 116)[0])
            table = _chained(data, sector, following, first_small)
            chain = struct.unpack(f"<{len(table) // 4}I", table)
            return _chained(bytes(_SMALL) + small, _SMALL, chain, first)[:size]
    raise ValueError("it holds no workbook")


def _following(data: bytes, sector: int) -> tuple[int, ...]:
    """Which sector follows each sector."""
    listed = list(struct.unpack_from(f"<{_FIRST_FATS}I", data, 76))
    place = struct.unpack_from("<I", data, 68)[0]
    for _ in range(len(data) // sector):
        if place >= _LAST_SECTOR:
            break
        *more, place = struct.unpack_from(f"<{sector // 4}I", data, (place + 1) * sector)
        listed += more
    table = b"".join(data[(one + 1) * sector : (one + 2) * sector] for one in listed if one < _LAST_SECTOR)
    return struct.unpack(f"<{len(table) // 4}I", table[: len(table) // 4 * 4])


def _chained(data: bytes, sector: int, following: tuple[int, ...], first: int) -> bytes:
    """The bytes of a chain of sectors; the head of the file takes the room of one before the first.

    A chain that runs in a circle ends when it is as long as the file.
    """
    pieces: list[bytes] = []
    place = first
    while place < _LAST_SECTOR and len(pieces) <= len(following):
        pieces.append(data[(place + 1) * sector : (place + 2) * sector])
        place = following[place]
    return b"".join(pieces)
