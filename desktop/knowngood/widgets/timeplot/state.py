"""What the plot shows and where its view, cursor and measuring lines stand; says what changed."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal

from knowngood.plotting.marks import Marks
from knowngood.plotting.readings import between, curves_at
from knowngood.plotting.records import CursorReading, Measurement
from knowngood.plotting.traces import Traces

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from numpy.typing import NDArray

    from knowngood.plotting.view import View

CURSOR, A, B = "cursor", "A", "B"


class PlotState(QObject):
    """The state of one plot.

    Attributes
    ----------
    still_changed, front_changed
        Signals: everything has to be painted anew, or only what lies in front of the curves.
    cursor_moved, measuring_moved, range_changed, following_changed
        Signals as `TimePlot` has them.
    active
        What the arrow keys move: `CURSOR`, `A` or `B`.
    held
        Whether the cursor stays where it is when the mouse moves.
    dragged
        A stretch being dragged out [s].
    """

    still_changed = Signal()
    front_changed = Signal()
    cursor_moved = Signal(object)
    measuring_moved = Signal(object)
    range_changed = Signal(float, float)
    following_changed = Signal(bool)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.traces = Traces()
        self.marks = Marks()
        self.view: View | None = None
        self.cursor_s: float | None = None
        self.held = False
        self.measured: tuple[float, float] | None = None
        self.active = CURSOR
        self.dragged: tuple[float, float] | None = None
        self.windows_editable = False
        self._followed = False

    def take(self, traces: Traces) -> None:
        """Show other curves. The view stays where it can; who saw all sees all of the new ones."""
        before, view = self.traces.whole, self.view
        self.traces = traces
        whole = traces.whole
        saw_all = view is None or before is None or view == before
        kept = whole is not None and view is not None and view.overlaps(whole)
        self.view = view if kept and not saw_all else whole
        self.still_changed.emit()
        self._tell_range()
        self._tell_lines()

    def append(self, time_s: NDArray[np.float64], values_by_curve: Mapping[str, NDArray[np.float64]]) -> None:
        """Add samples at the end; the view follows when it held the end."""
        before, followed = self.traces.whole, self.following
        self.traces.append(time_s, values_by_curve)
        whole = self.traces.whole
        if whole is None:
            return
        self.still_changed.emit()
        if self.view is None or before is None:
            self.look(whole)
        elif followed:
            self.look(self.view.followed(before, whole))

    @property
    def following(self) -> bool:
        """Whether the view holds the end of the plot's own axis."""
        ends = self.traces.axis.ends
        return self.view is not None and ends is not None and self.view.reaches(ends[1], self.spacing_s)

    @property
    def spacing_s(self) -> float:
        """The usual step between samples [s]."""
        return self.traces.axis.spacing_s

    def look(self, view: View, *, exact: bool = False) -> None:
        """Show another stretch of time, kept within reason unless it has to be ``exact``."""
        whole = self.traces.whole
        if whole is None:
            return
        view = view if exact else view.limited(whole, self.spacing_s)
        if view != self.view:
            self.view = view
            self.still_changed.emit()
            self._tell_range()

    def look_at_all(self) -> None:
        """Show everything from the first to the last sample."""
        if (whole := self.traces.whole) is not None:
            self.look(whole)

    def mark(self, **changed: Any) -> None:
        """Change some of the marks, by the names that `Marks` has for them."""
        self.marks = replace(self.marks, **changed)
        self.still_changed.emit()

    def place_cursor(self, at_s: float | None, *, held: bool | None = None) -> None:
        """Move the cursor, or take it away; ``held`` fastens or frees it."""
        if held is not None:
            self.held = held and at_s is not None
        self.cursor_s = at_s
        self.front_changed.emit()
        self.cursor_moved.emit(self.reading())

    def measure(self, a_s: float, b_s: float) -> None:
        """Place both measuring lines."""
        self.measured = (a_s, b_s)
        if self.active == CURSOR:
            self.active = B
        self.front_changed.emit()
        self.measuring_moved.emit(self.measurement())

    def end_measuring(self) -> None:
        """Take the measuring lines away."""
        self.measured, self.active = None, CURSOR
        self.front_changed.emit()
        self.measuring_moved.emit(None)

    def begin_measuring(self) -> None:
        """Show the measuring lines, at a third and two thirds of the view when they were not shown."""
        if self.measured is None and self.view is not None:
            third = self.view.span_s / 3
            self.measure(*(self.snapped(self.view.start_s + part * third) for part in (1, 2)))

    def choose(self, line: str) -> None:
        """Let the arrow keys move another line; choosing a measuring line shows both."""
        if line != CURSOR:
            self.begin_measuring()
        self.active = line
        self.front_changed.emit()

    def move_line(self, line: str, at_s: float) -> None:
        """Move the cursor or a measuring line."""
        if line == CURSOR or self.measured is None:
            self.place_cursor(at_s)
        else:
            a_s, b_s = self.measured
            self.active = line
            self.measure(*((at_s, b_s) if line == A else (a_s, at_s)))

    def line_s(self) -> float | None:
        """Where the line that the arrow keys move stands [s]."""
        if self.active == CURSOR or self.measured is None:
            return self.cursor_s
        return self.measured[0 if self.active == A else 1]

    def show_drag(self, stretch: tuple[float, float] | None) -> None:
        """Show a stretch that is being dragged out, or none any more."""
        self.dragged = stretch
        self.front_changed.emit()

    def snapped(self, at_s: float) -> float:
        """The moment of the nearest sample, or the moment itself where nothing was recorded."""
        place = self.traces.axis.nearest(at_s)
        return at_s if place is None else self.traces.axis.moments.at(place)

    def reading(self) -> CursorReading | None:
        """What all curves have at the cursor."""
        return None if self.cursor_s is None else self.reading_at(self.cursor_s)

    def reading_at(self, at_s: float) -> CursorReading:
        """What all curves have at a moment."""
        words = self.marks.words_at(at_s, self.spacing_s)
        return CursorReading(at_s, curves_at(self.traces, at_s), words)

    def measurement(self) -> Measurement | None:
        """All curves between the measuring lines."""
        return None if self.measured is None else between(self.traces, *self.measured)

    def _tell_range(self) -> None:
        if self.view is not None:
            self.range_changed.emit(self.view.start_s, self.view.end_s)
        if self.following != self._followed:
            self._followed = self.following
            self.following_changed.emit(self._followed)

    def _tell_lines(self) -> None:
        """Lines that stand on other samples now say what they read there."""
        if self.cursor_s is not None:
            self.cursor_moved.emit(self.reading())
        if self.measured is not None:
            self.measuring_moved.emit(self.measurement())
