"""Places for words beside one another, in a few rows, so that none covers another."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

GAP_PX = 8.0
NUDGE_PX = 12.0
"""So far right of its place a word still seems to belong to it."""


@dataclass(frozen=True)
class Placed:
    """Word number ``index`` begins at ``x`` [px] in a row, counted from the top, and is ``width`` wide."""

    index: int
    row: int
    x: float
    width: float


@dataclass(frozen=True)
class Placement:
    """The words that found room, and the numbers of those that did not."""

    placed: tuple[Placed, ...]
    left_out: tuple[int, ...]


def place(
    words: Sequence[tuple[float, float]], left: float, right: float, rows: int, gap: float = GAP_PX
) -> Placement:
    """Put each word in the first row that has room where it is wanted, or a little to the right of that.

    Parameters
    ----------
    words
        Wanted place and width [px]. A word too near to the right end is moved to the left.
    left, right
        Where words may stand; one whose place lies outside is neither placed nor left out.

    >>> place([(0.0, 50.0), (20.0, 50.0), (30.0, 50.0)], 0.0, 200.0, 2).left_out
    (2,)
    """
    free = [left] * rows
    placed: list[Placed] = []
    left_out: list[int] = []
    inside = [number for number, (at, _) in enumerate(words) if left <= at <= right]
    for number in sorted(inside, key=lambda one: words[one][0]):
        at, width = words[number]
        x = max(min(at, right - width), left)
        row = min(range(rows), key=lambda one: (max(free[one] - x, 0.0), one), default=None)
        if row is None or free[row] > x + NUDGE_PX or max(x, free[row]) + width > right:
            left_out.append(number)
            continue
        x = max(x, free[row])
        free[row] = x + width + gap
        placed.append(Placed(number, row, x, width))
    return Placement(tuple(placed), tuple(left_out))


def apart(wanted: Sequence[float], height: float, low: float, high: float) -> list[float | None]:
    """Heights of words one above another near where each is wanted, ``height`` apart, in their order.

    Parameters
    ----------
    wanted
        The middle of each word [px], in any order.
    low, high
        Where the middles may lie.

    Returns
    -------
    list
        The middle of each word, None for those that found no room.

    >>> apart([10.0, 12.0, 50.0], 10.0, 0.0, 100.0)
    [6.0, 16.0, 50.0]
    """
    room = int((high - low) // height) + 1 if high >= low else 0
    order = sorted(range(len(wanted)), key=lambda one: wanted[one])[:room]
    found: list[float | None] = [None] * len(wanted)
    groups: list[list[int]] = []
    for one in order:
        groups.append([one])
        while len(groups) > 1 and _begin(groups[-2], wanted, height, low, high) + height * len(
            groups[-2]
        ) > _begin(groups[-1], wanted, height, low, high):
            groups[-2:] = [groups[-2] + groups[-1]]
    for group in groups:
        begin = _begin(group, wanted, height, low, high)
        for step, one in enumerate(group):
            found[one] = begin + step * height
    return found


def _begin(group: list[int], wanted: Sequence[float], height: float, low: float, high: float) -> float:
    """Where the first of words that touch one another lies, so that all are as near as can be."""
    middle = sum(wanted[one] for one in group) / len(group)
    begin = middle - height * (len(group) - 1) / 2
    return max(min(begin, high - height * (len(group) - 1)), low)
