"""Recorded channels over time: stacked panels with one time axis, windows shaded, events dashed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Signal

from knowngood.plotting.marks import Highlight
from knowngood.plotting.records import (
    Annotation,
    Band,
    CursorReading,
    Curve,
    CurveDifference,
    CurveReading,
    Line,
    Measurement,
    PlotPanel,
)
from knowngood.plotting.traces import PanelTraces, Traces
from knowngood.plotting.view import View
from knowngood.widgets.picture import EXPORT_SCALE
from knowngood.widgets.timeplot import paint
from knowngood.widgets.timeplot.canvas import PlotCanvas
from knowngood.widgets.timeplot.lane import EVENT, NOTE, WINDOW, LaneWord

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    import numpy as np
    from numpy.typing import NDArray
    from PySide6.QtGui import QImage
    from PySide6.QtWidgets import QWidget

__all__ = [
    "Annotation",
    "Band",
    "CursorReading",
    "Curve",
    "CurveDifference",
    "CurveReading",
    "Line",
    "Measurement",
    "PlotPanel",
    "TimePlot",
    "Traces",
]


class TimePlot(PlotCanvas):
    """Linked panels of one session. Millions of samples stay smooth: only what a pixel shows is drawn.

    Arrow keys move the cursor by a sample, with Shift by ten, with Ctrl to the next mark, with Alt they pan a
    little; PageUp and PageDown pan, plus and minus zoom, Home and End go to the ends, 0 shows everything; A,
    B and C choose which line the arrows move, Escape takes lines away. The mouse: a drag pans, with Ctrl or
    the right button it zooms to a stretch; the wheel zooms, with Shift it pans; a click holds the cursor and
    lets it go again. Ticks at the foot of a panel: samples are missing where no picture could show the gap.

    Attributes
    ----------
    cursor_moved
        Signal with a `CursorReading`, or None when the cursor was taken away.
    measured
        Signal with a `Measurement` when a measuring line moved, None when measuring ended.
    range_changed
        Signal with start and end of the stretch in view [s].
    following_changed
        Signal: whether the view follows the end of a recording that still grows.
    window_clicked, event_clicked, annotation_clicked
        Signals with the index of the mark whose words were clicked.
    window_moved
        Signal with index, start and end [s] of a window whose edge was dragged (`set_windows_editable`).
    window_drawn
        Signal with start and end [s] of a new window that was dragged out.
    """

    cursor_moved = Signal(object)
    measured = Signal(object)
    range_changed = Signal(float, float)
    following_changed = Signal(bool)
    window_clicked = Signal(int)
    event_clicked = Signal(int)
    annotation_clicked = Signal(int)
    window_moved = Signal(int, float, float)
    window_drawn = Signal(float, float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._connect()

    @property
    def plots(self) -> tuple[PanelTraces, ...]:
        """The panels with their curves, from top to bottom."""
        return self._state.traces.panels

    def set_panels(self, time_s: NDArray[np.float64], panels: Sequence[PlotPanel]) -> None:
        """Show other channels, ``time_s`` shape (n,) never falling; windows, events and lines stay.

        The stretch in view stays where the new channels have it; who saw everything sees everything.

        Raises
        ------
        ValueError
            Moments fall or are no numbers, or a curve has another number of values.
        """
        self.set_prepared(self.prepared(time_s, panels))

    @staticmethod
    def prepared(time_s: NDArray[np.float64], panels: Sequence[PlotPanel]) -> Traces:
        """What `set_prepared` shows, made ready on any thread: with millions of samples that takes a while.

        Raises
        ------
        ValueError
            As `set_panels`.
        """
        return Traces(time_s, panels)

    def set_prepared(self, traces: Traces) -> None:
        """As `set_panels`, with what was made ready before; it belongs to this plot from now on."""
        self._state.take(traces)

    def append(self, time_s: NDArray[np.float64], values_by_curve: Mapping[str, NDArray[np.float64]]) -> None:
        """Add samples at the end, values by the curves' keys (their names); a curve left out has a gap.

        The view follows when it held the end. Curves with a time axis of their own stay as they are.

        Raises
        ------
        ValueError
            A moment lies before the last one, or values and moments differ in number. Nothing is added.
        """
        self._state.append(time_s, values_by_curve)

    @property
    def following(self) -> bool:
        """Whether the view moves on when samples are added: the end is in view."""
        return self._state.following

    def follow(self) -> None:
        """Show the end again, in a view as long as the present one, and go on following it."""
        view, ends = self._state.view, self._state.traces.axis.ends
        if view is not None and ends is not None:
            self._state.look(view.moved(ends[1] - view.end_s))

    def set_windows(self, windows: Sequence[tuple[float, float, str]]) -> None:
        """Shade steady windows: start, end [s] and label."""
        self._state.mark(windows=tuple(windows))

    def set_events(self, events: Sequence[tuple[float, str]]) -> None:
        """Mark events: moment [s] and words."""
        self._state.mark(events=tuple(events))

    def set_annotations(self, annotations: Sequence[Annotation]) -> None:
        """Set words at moments."""
        self._state.mark(annotations=tuple(annotations))

    def set_bands(self, panel: int, bands: Sequence[Band]) -> None:
        """Show other expected ranges behind the curves of a panel (index from the top)."""
        self._state.traces.set_bands(panel, bands)
        self._repaint_all()

    def highlight(self, start_s: float, end_s: float, words: str = "") -> None:
        """Mark a stretch of time, or a moment when both are the same, until `clear_highlight`."""
        self._state.mark(highlight=Highlight(start_s, end_s, words))

    def clear_highlight(self) -> None:
        """Take the mark of `highlight` away."""
        self._state.mark(highlight=None)

    def time_range(self) -> tuple[float, float] | None:
        """The stretch of time shown [s], None while there is no panel."""
        view = self._state.view
        return None if view is None else (view.start_s, view.end_s)

    def visible_range(self) -> tuple[float, float] | None:
        """The stretch shown, cut to the samples there are: what an export of the view covers."""
        view, whole = self._state.view, self._state.traces.whole
        if view is None or whole is None:
            return None
        return max(view.start_s, whole.start_s), min(view.end_s, whole.end_s)

    def show_range(self, start_s: float, end_s: float) -> None:
        """Show exactly this stretch of time, ``end_s`` later than ``start_s``."""
        if end_s > start_s:
            self._state.look(View(float(start_s), float(end_s)), exact=True)

    def zoom_to(self, start_s: float, end_s: float) -> None:
        """Show a stretch of time with some room around it."""
        room = max(0.15 * (end_s - start_s), 10.0)
        self._state.look(View(float(start_s - room), float(end_s + room)))

    def zoom_out(self) -> None:
        """Show the whole session."""
        self._state.look_at_all()

    def set_cursor(self, at_s: float | None) -> None:
        """Place the cursor, or take it away."""
        self._state.place_cursor(None if at_s is None else float(at_s))

    @property
    def cursor_s(self) -> float | None:
        """Where the cursor stands [s]."""
        return self._state.cursor_s

    def reading(self) -> CursorReading | None:
        """The nearest samples of all curves at the cursor."""
        return self._state.reading()

    def reading_at(self, at_s: float) -> CursorReading:
        """The nearest samples of all curves at any moment."""
        return self._state.reading_at(at_s)

    def set_measuring(self, on: bool) -> None:
        """Show two measuring lines, A and B, or take them away."""
        if on:
            self._state.begin_measuring()
        else:
            self._state.end_measuring()

    def set_measuring_lines(self, a_s: float, b_s: float) -> None:
        """Place both measuring lines; shows them."""
        self._state.measure(float(a_s), float(b_s))

    def measurement(self) -> Measurement | None:
        """All curves between the measuring lines, None while there are none."""
        return self._state.measurement()

    def set_windows_editable(self, on: bool) -> None:
        """Let the edges of windows be dragged and new windows be dragged out; Shift and drag still pans."""
        self._state.windows_editable = on

    def picture(self, size: QSize | None = None, scale: float = EXPORT_SCALE) -> QImage:
        """The view as a picture, ``scale`` pixels for each unit of ``size`` (the size on the screen).

        `knowngood.widgets.picture.ask_and_save` takes the plot as a drawing.
        """
        size = size or self.size()
        return paint.picture(self._laid_out(size), self._state, size, scale)

    def save_picture(self, path: Path, size: QSize | None = None) -> bool:
        """Write the view to a PNG or, by the name's ending, an SVG file; whether that could be done."""
        size = size or self.size()
        if path.suffix.lower() == ".svg":
            return paint.save_svg(self._laid_out(size), self._state, size, path)
        return self.picture(size).save(str(path))

    def _connect(self) -> None:
        state, pointer = self._state, self._pointer
        state.cursor_moved.connect(self.cursor_moved)
        state.measuring_moved.connect(self.measured)
        state.range_changed.connect(self.range_changed)
        state.following_changed.connect(self.following_changed)
        pointer.window_moved.connect(self.window_moved)
        pointer.window_drawn.connect(self.window_drawn)
        pointer.word_clicked.connect(self._word_clicked)

    def _word_clicked(self, word: LaneWord) -> None:
        clicked = {WINDOW: self.window_clicked, EVENT: self.event_clicked, NOTE: self.annotation_clicked}
        clicked[word.kind].emit(word.index)
