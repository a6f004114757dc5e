"""Where the parts of a plot over time lie: a lane for words on top, panels below, one axis at the bottom."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.plotting.marks import Marks

GUTTER_PX = 50.0
HEADING_PX = 15.0
AXIS_PX = 20.0
LANE_ROW_PX = 15.0
PANEL_GAP_PX = 5.0
_MOST_NAMES_SHARE = 0.3
_MOST_LANE_SHARE = 0.3
_MANY_WINDOWS = 6
_READABLE_PX = 24.0
_MOST_EVENT_ROWS, _MOST_NOTE_ROWS = 3, 2


@dataclass(frozen=True)
class Box:
    """A rectangle [px]."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """The right edge."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """The lower edge."""
        return self.top + self.height

    def holds(self, x: float, y: float) -> bool:
        """Whether a place lies within or on the edge."""
        return self.left <= x <= self.right and self.top <= y <= self.bottom


@dataclass(frozen=True)
class LaneRows:
    """How many rows of words the lane has for windows, events and annotations."""

    windows: int = 0
    events: int = 0
    notes: int = 0

    @property
    def total(self) -> int:
        """All rows."""
        return self.windows + self.events + self.notes


@dataclass(frozen=True)
class Layout:
    """The parts of a plot; ``panels`` hold curves, ``headings`` lie right above them."""

    lane: Box
    rows: LaneRows
    panels: tuple[Box, ...]
    headings: tuple[Box, ...]
    axis: Box
    names: Box

    @property
    def body(self) -> Box:
        """Lane and panels: where a moment is a place across."""
        return Box(self.lane.left, self.lane.top, self.lane.width, self.axis.top - self.lane.top)


def lane_rows(marks: Marks, height: float, panels: int) -> LaneRows:
    """Rows of words for marks in a plot of so many pixels; the number stays the same while it is zoomed."""
    left = height - AXIS_PX - panels * (HEADING_PX + PANEL_GAP_PX + _READABLE_PX)
    room = int(min(_MOST_LANE_SHARE * height, max(left, 0.0)) / LANE_ROW_PX)
    windows = (len(marks.windows) > 0) + (len(marks.windows) > _MANY_WINDOWS)
    events = min(sum(bool(words) for _, words in marks.events), _MOST_EVENT_ROWS)
    notes = min(len(marks.annotations), _MOST_NOTE_ROWS)
    while windows + events + notes > max(room, (windows > 0) + (events > 0) + (notes > 0)):
        if events > 1:
            events -= 1
        elif notes > 1:
            notes -= 1
        else:
            windows -= 1
    return LaneRows(windows, events, notes)


def laid_out(
    width: float, height: float, shares: Sequence[int], rows: LaneRows, names_width: float
) -> Layout:
    """Share out a canvas [px] among lane, panels (by their shares), axis and the names at the right."""
    # Whole pixels: lines of a grid, edges and columns of samples stay sharp.
    names_width = math.ceil(min(names_width, _MOST_NAMES_SHARE * width))
    across = max(math.floor(width) - GUTTER_PX - names_width, 1.0)
    lane = Box(GUTTER_PX, 0.0, across, rows.total * LANE_ROW_PX)
    axis_top = max(height - AXIS_PX, lane.bottom + 1.0)
    count = max(len(shares), 1)
    room = max(axis_top - lane.bottom - (count - 1) * PANEL_GAP_PX, 2.0 * count)
    # On the smallest canvas a heading lies over the panel's upper part rather than take all of its room.
    heading = min(HEADING_PX, 0.4 * room / count)
    each = (room - count * heading) / max(sum(shares), 1)
    panels, headings = [], []
    top = lane.bottom
    for share in shares:
        bottom = top + heading + share * each
        headings.append(Box(GUTTER_PX, round(top), across, heading))
        begin = round(top) + heading
        panels.append(Box(GUTTER_PX, begin, across, max(round(bottom) - begin, 1.0)))
        top = bottom + PANEL_GAP_PX
    axis = Box(GUTTER_PX, axis_top, across, AXIS_PX)
    names = Box(lane.right, lane.bottom, names_width, axis_top - lane.bottom)
    return Layout(lane, rows, tuple(panels), tuple(headings), axis, names)
