"""Quotation marks in lines of a log: fields that hold delimiters or line ends, and marks that are broken.

A mark that is closed neither in its line nor soon after makes its own line broken, so that it cannot swallow
the lines behind it.
"""

from __future__ import annotations

import csv
from bisect import bisect_left
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

_MARK = ord('"')
_END = ord("\n")
MOST_LINES = 20
"""Over so many lines a field may reach."""


@dataclass(frozen=True, slots=True, eq=False)
class Quotes:
    """Lines whose marks all stand at the edges of fields, and what is known of their marks.

    ``broken`` tells for each of the m lines whether its marks make no sense; ``in_lines`` counts them.
    """

    text: bytes
    marks: NDArray[np.intp]
    first: NDArray[np.intp]  # (m + 1,) the place in ``marks`` of each line's first one
    ends: NDArray[np.intp]  # (m,)
    broken: NDArray[np.bool_]  # (m,)

    @property
    def in_lines(self) -> NDArray[np.intp]:
        """The number of marks in each line (m,)."""
        return np.diff(self.first)

    def around(self, places: NDArray[np.intp]) -> NDArray[np.bool_]:
        """Whether each of some places in the text lies between an opening mark and the closing one."""
        line = np.searchsorted(self.ends, places)
        return np.asarray((np.searchsorted(self.marks, places) - self.first[line]) % 2 == 1)


def quotes_of(text: bytes, delimiter: str, width: int) -> Quotes:
    r"""The marks of lines, each with its end; fields written in other ways are written anew.

    >>> quotes_of(b'1,"2,5"\n3,"4\n', ",", 2).broken
    array([False,  True])
    """
    found = _found(text, delimiter)
    if not found.broken.any():
        return found
    lines = text.split(b"\n")[:-1]
    odd = np.flatnonzero(found.in_lines % 2 == 1).tolist()
    for index in np.flatnonzero(found.broken).tolist():
        last_of_field = _last_of_field(lines, index, odd)
        if any(line.count(delimiter.encode()) >= width - 1 for line in lines[index + 1 : last_of_field + 1]):
            # A line with all fields is a row, and no part of a field.
            last_of_field = index
        for last in sorted({index, last_of_field}):
            anew = _anew(lines[index : last + 1], delimiter, width)
            if anew is not None:
                # Lines that the field went on in are left empty, so that the others keep their numbers.
                lines[index : last + 1] = [anew, *[b""] * (last - index)]
                break
    return _found(b"\n".join(lines) + b"\n", delimiter)


def _last_of_field(lines: list[bytes], index: int, odd: list[int]) -> int:
    """The line in which a field that begins in one is closed: this one, or the next with an odd mark."""
    place = bisect_left(odd, index)
    if place + 1 >= len(odd) or odd[place] != index or odd[place + 1] - index >= MOST_LINES:
        return index
    return odd[place + 1] if lines[index].count(b'"') % 2 else index


def _found(text: bytes, delimiter: str) -> Quotes:
    """The marks as they stand; a line is broken where one stands neither at the edge of a field nor twice."""
    each = np.frombuffer(text, dtype=np.uint8)
    ends = np.flatnonzero(each == _END)
    marks = np.flatnonzero(each == _MARK)
    first = np.concatenate([[0], np.searchsorted(marks, ends)])
    line = np.searchsorted(ends, marks)
    opening = (np.arange(marks.size) - first[line]) % 2 == 0
    beside = each[np.where(opening, marks - 1, marks + 1)]
    # Two marks side by side inside a field stand for one.
    at_edge = np.isin(beside, [_END, _MARK, ord(delimiter)]) | (opening & (marks == 0))
    broken = np.diff(first) % 2 == 1
    broken[line[~at_edge]] = True
    return Quotes(text, marks, first, ends, broken)


def _anew(lines: list[bytes], delimiter: str, width: int) -> bytes | None:
    """A row with every field in marks on one line, None where it cannot be understood."""
    text = b"\n".join(lines).decode("utf-8", "replace") + "\n"
    try:
        rows = list(
            csv.reader(
                text.splitlines(keepends=True), delimiter=delimiter, skipinitialspace=True, strict=True
            )
        )
    except csv.Error:
        return None
    if len(rows) != 1 or len(rows[0]) != width:
        return None
    cells = (" ".join(cell.replace('"', "'").split("\n")) for cell in rows[0])
    return ('"' + f'"{delimiter}"'.join(cells) + '"').encode()
