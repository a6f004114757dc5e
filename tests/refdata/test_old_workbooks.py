"""Old workbooks (XLS) are bounded before they are opened; python-calamine reads what is let pass."""

from __future__ import annotations

import struct
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.workbook_old import LARGEST_BYTES, refuse_old_beyond
from knowngood_refdata.workbooks import Bounds, WorkbookFault, WorkbookUnreadable, opened

if TYPE_CHECKING:
    from collections.abc import Sequence

BOUNDS = Bounds(unpacked=5_000_000, rows=60_000, columns=100, cells=1_000_000)
SECTOR, MOST_IN_RECORD = 512, 8_224
END, FREE, TABLE, LIST = 0xFFFFFFFE, 0xFFFFFFFF, 0xFFFFFFFD, 0xFFFFFFFC
LISTED_FIRST = 109


def record(kind: int, contents: bytes = b"") -> bytes:
    return struct.pack("<HH", kind, len(contents)) + contents


def texts_table(texts: Sequence[str], wide: bool) -> bytes:
    """The table of texts in as many records as it needs; a text that goes on tells its width anew."""
    pieces = [bytearray(struct.pack("<II", len(texts), len(texts)))]
    for text in texts:
        if len(pieces[-1]) + 16 > MOST_IN_RECORD:
            pieces.append(bytearray())
        pieces[-1] += struct.pack("<HB", len(text), wide)
        left = text.encode("utf-16-le" if wide else "latin-1")
        while True:
            room = (MOST_IN_RECORD - len(pieces[-1])) // 2 * 2
            pieces[-1] += left[:room]
            left = left[room:]
            if not left:
                break
            pieces.append(bytearray([wide]))
    first, *others = (bytes(one) for one in pieces)
    return record(0xFC, first) + b"".join(record(0x3C, one) for one in others)


def old_workbook(
    cells: Sequence[tuple[int, int, int]], texts: Sequence[str], *, wide: bool = False, padding: int = 8_192
) -> bytes:
    """An XLS file of one sheet: each cell as row, column and the number of its text."""
    begin = record(0x809, struct.pack("<HHHHII", 0x600, 5, 0, 1997, 0, 6))
    name = b"Log"
    table = texts_table(texts, wide)
    bound_length = 4 + 8 + len(name)
    sheet_at = len(begin) + bound_length + len(table) + 4
    bound = record(0x85, struct.pack("<IHBB", sheet_at, 0, len(name), 0) + name)
    sheet = record(0x809, struct.pack("<HHHHII", 0x600, 0x10, 0, 1997, 0, 6))
    sheet += b"".join(record(0xFD, struct.pack("<HHHI", row, column, 0, text)) for row, column, text in cells)
    stream = begin + bound + table + record(0x0A) + sheet + record(0x0A)
    return in_file(stream + bytes(max(0, padding - len(stream))))


def in_file(stream: bytes) -> bytes:
    """A stream named Workbook in a compound file of version 3; below 4,096 bytes within the small one."""
    small = len(stream) < 4_096
    kept = stream + bytes(-len(stream) % SECTOR)
    sectors = len(kept) // SECTOR
    tables = -(-(sectors + 3) // 120)
    lists = -(-max(0, tables - LISTED_FIRST) // 127)
    following = [*range(1, sectors), END]
    entries_at, small_at, tables_at = sectors, sectors + 1, sectors + 2
    lists_at = tables_at + tables
    following += [END, END, *[TABLE] * tables, *[LIST] * lists]
    following += [FREE] * (tables * 128 - len(following))
    chain = [*range(1, -(-len(stream) // 64)), END] if small else []
    chain += [FREE] * (128 - len(chain))
    root = _entry("Root Entry", 5, 0 if small else END, len(kept) if small else 0, 1)
    book = _entry("Workbook", 2, 0, len(stream), FREE)
    head = bytes.fromhex("d0cf11e0a1b11ae1") + bytes(16) + struct.pack("<HHHHH", 0x3E, 3, 0xFFFE, 9, 6)
    head += bytes(6) + struct.pack("<IIIII", 0, tables, entries_at, 0, 4_096)
    head += struct.pack("<IIII", small_at if small else END, int(small), lists_at if lists else END, lists)
    places = [tables_at + one for one in range(tables)]
    head += struct.pack("<109I", *(places + [FREE] * LISTED_FIRST)[:LISTED_FIRST])
    listed = b""
    for number in range(lists):
        part = places[LISTED_FIRST + 127 * number :][:127]
        after = lists_at + number + 1 if number + 1 < lists else END
        listed += struct.pack("<128I", *part, *[FREE] * (127 - len(part)), after)
    return b"".join(
        [
            head,
            kept,
            (root + book).ljust(SECTOR, bytes(1)),
            struct.pack("<128I", *chain),
            struct.pack(f"<{len(following)}I", *following),
            listed,
        ]
    )


def _entry(name: str, kind: int, first: int, size: int, child: int) -> bytes:
    coded = name.encode("utf-16-le") + bytes(2)
    head = coded.ljust(64, bytes(1)) + struct.pack("<HBBIII", len(coded), kind, 1, FREE, FREE, child)
    return head + bytes(36) + struct.pack("<IQ", first, size)


def read(data: bytes, bounds: Bounds = BOUNDS) -> list[list[object]]:
    with opened(data, bounds) as book:
        return [list(row) for row in book.get_sheet_by_index(0).to_python()]


@pytest.mark.parametrize("wide", [False, True])
@pytest.mark.parametrize("padding", [0, 8_192])
def test_an_old_workbook_within_the_bounds_is_read(wide: bool, padding: int) -> None:
    data = old_workbook([(0, 0, 0), (0, 1, 1), (1, 0, 1)], ["Time", "P low"], wide=wide, padding=padding)
    assert read(data) == [["Time", "P low"], ["P low", ""]]


@pytest.mark.parametrize("wide", [False, True])
def test_a_long_text_that_is_named_many_times_is_refused_in_words(wide: bool) -> None:
    long = ["state", "x" * 30_000]
    often = old_workbook([(row, 0, 1) for row in range(1_000)], long, wide=wide)
    assert len(often) < 200_000
    with pytest.raises(WorkbookUnreadable, match="unpacks to more than 5 MB") as refused:
        read(often)
    assert refused.value.fault is WorkbookFault.TOO_LARGE
    seldom = old_workbook([(row, 0, row == 7) for row in range(1_000)], long, wide=wide)
    assert read(seldom)[7] == ["x" * 30_000]


def test_a_large_file_is_looked_through_to_its_last_sector() -> None:
    texts = ["state", "x" * 3_000]
    cells = [(row, column, int(row > 59_000)) for row in range(59_900) for column in range(9)]
    data = old_workbook(cells, texts)
    assert len(data) > 7_500_000
    with pytest.raises(WorkbookUnreadable, match="unpacks to more than 5 MB"):
        read(data)
    assert read(data, Bounds(200_000_000, 65_536, 256, 3_000_000))[59_899] == ["x" * 3_000] * 9


def test_many_short_texts_beside_a_long_one_are_no_reason_to_refuse() -> None:
    texts = [f"state {number}" for number in range(3_000)] + ["y" * 32_000]
    data = old_workbook([(row, 0, row) for row in range(3_001)], texts)
    rows = read(data)
    assert (rows[2_999], rows[3_000]) == (["state 2999"], ["y" * 32_000])


@pytest.mark.parametrize(("row", "column"), [(60_000, 0), (0, 100), (40_000, 90)])
def test_a_cell_far_out_is_refused_before_everything_before_it_is_laid_out(row: int, column: int) -> None:
    with pytest.raises(WorkbookUnreadable, match="more than 60,000 rows, 100 columns or 1,000,000 cells"):
        read(old_workbook([(0, 0, 0), (row, column, 0)], ["Time"]))


def test_an_old_workbook_too_large_to_look_through_is_refused_with_its_size() -> None:
    data = b"\xd0\xcf\x11\xe0".ljust(LARGEST_BYTES + 1, bytes(1))
    with pytest.raises(WorkbookUnreadable, match=r"old kind \(XLS\) and has 25 MB"):
        read(data)


@given(st.binary(max_size=60), st.integers(0, 12_000), st.booleans())
def test_a_damaged_old_workbook_is_looked_through_without_a_fault(rubbish: bytes, at: int, cut: bool) -> None:
    whole = old_workbook([(0, 0, 0), (0, 1, 1)], ["Time", "z" * 9_000])
    damaged = whole[:at] + rubbish + (b"" if cut else whole[at + len(rubbish) :])
    refuse_old_beyond(damaged, BOUNDS)
