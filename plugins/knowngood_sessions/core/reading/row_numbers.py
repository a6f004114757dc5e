"""A first field without a name that counts the lines, told from a time column whose neighbour has no name."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from knowngood_refdata.logs import is_moment

from .cells import is_number

if TYPE_CHECKING:
    from collections.abc import Sequence

_FEWEST = 3
_EVEN = 3.0


def first_field_counts(rows: Sequence[Sequence[str]]) -> bool:
    """Whether the first field counts the rows and the second one holds the time.

    Both are asked for: elapsed whole seconds count the rows as well, and then the field without a name
    may be any of the others.

    >>> first_field_counts([["1", "0.5", "30"], ["2", "1.0", "31"], ["3", "1.5", "30"]])
    True
    >>> first_field_counts([["0", "30", "1"], ["1", "30", "2"], ["2", "31", "1"]])
    False
    """
    if len(rows) < _FEWEST or not all(row[0].isascii() and row[0].isdecimal() for row in rows):
        return False
    counts = [int(row[0]) for row in rows]
    if counts[0] not in (0, 1) or any(after - before != 1 for before, after in pairwise(counts)):
        return False
    return _runs_on([row[1] for row in rows])


def _runs_on(cells: Sequence[str]) -> bool:
    """Whether cells are clock times, or numbers that rise by nearly equal steps."""
    if all(is_moment(cell) for cell in cells):
        return True
    if not all(is_number(cell) for cell in cells):
        return False
    numbers = [float(cell.replace(",", ".").replace("\N{MINUS SIGN}", "-")) for cell in cells]
    steps = [after - before for before, after in pairwise(numbers)]
    usual = sorted(steps)[len(steps) // 2]
    return min(steps) > 0.0 and max(steps) <= _EVEN * usual
