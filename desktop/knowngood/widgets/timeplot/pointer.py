"""The mouse on a plot: the cursor follows it; a drag pans, zooms, moves a line or a window's edge."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Signal

from knowngood.widgets.timeplot.drags import Drag, MoveLine, Pan, Stretch, Zoom
from knowngood.widgets.timeplot.state import CURSOR, A, B

if TYPE_CHECKING:
    from PySide6.QtCore import QPointF
    from PySide6.QtGui import QMouseEvent, QWheelEvent

    from knowngood.widgets.timeplot.lane import LaneWord
    from knowngood.widgets.timeplot.sheet import Sheet
    from knowngood.widgets.timeplot.state import PlotState

REACH_PX = 5.0
_CLICK_PX = 3.0
_NOTCH = 120.0
_ZOOM_A_NOTCH, _PAN_A_NOTCH = 0.8, 0.12


class Pointer(QObject):
    """Turns what the mouse does into changes of a state.

    Attributes
    ----------
    word_clicked
        Signal with the `LaneWord` that was clicked.
    window_moved, window_drawn
        Signals as `TimePlot` has them.
    """

    word_clicked = Signal(object)
    window_moved = Signal(int, float, float)
    window_drawn = Signal(float, float)

    def __init__(self, state: PlotState, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._state = state
        self._drag: Drag | None = None
        self._pressed: QPointF | None = None
        self._moved = False

    def press(self, event: QMouseEvent, sheet: Sheet) -> None:
        """Begin a drag, or what may become a click."""
        at = event.position()
        self._pressed, self._moved = at, False
        if sheet.layout.body.holds(at.x(), at.y()):
            self._drag = self._begun(event, sheet)

    def move(self, event: QMouseEvent, sheet: Sheet) -> None:
        """Go on with a drag, or let the cursor follow."""
        at = event.position()
        if self._pressed is not None and (at - self._pressed).manhattanLength() > _CLICK_PX:
            self._moved = True
        if self._drag is not None:
            if self._moved:
                self._drag.move(at.x(), sheet)
        elif self._pressed is None and not self._state.held and sheet.layout.body.holds(at.x(), at.y()):
            self._state.place_cursor(self._state.snapped(sheet.across.moment(at.x())))

    def release(self, event: QMouseEvent, sheet: Sheet, word: LaneWord | None) -> None:
        """End a drag, or click: on a word of the lane, or to fasten and free the cursor."""
        drag, self._drag, pressed, self._pressed = self._drag, None, self._pressed, None
        at = event.position()
        if drag is not None and self._moved:
            drag.drop(at.x(), sheet)
        elif pressed is not None and word is not None:
            self.word_clicked.emit(word)
        elif pressed is not None and sheet.layout.body.holds(at.x(), at.y()):
            self._click(sheet.across.moment(at.x()))

    def wheel(self, event: QWheelEvent, sheet: Sheet) -> None:
        """Zoom around the mouse; sideways, or with the shift key, pan."""
        turned = event.angleDelta()
        notches = (turned.y() or turned.x()) / _NOTCH
        view = sheet.view
        sideways = not turned.y() or event.modifiers() & Qt.KeyboardModifier.ShiftModifier
        if sideways:
            self._state.look(view.moved(-notches * _PAN_A_NOTCH * view.span_s))
        else:
            around = sheet.across.moment(event.position().x())
            self._state.look(view.zoomed(_ZOOM_A_NOTCH**notches, around))

    def shape(self, x: float, sheet: Sheet) -> Qt.CursorShape:
        """What the mouse looks like over a place: over what can be moved sideways it says so."""
        if self._line_at(x, sheet) is not None or self._edge_at(x, sheet) is not None:
            return Qt.CursorShape.SizeHorCursor
        return Qt.CursorShape.CrossCursor if self._state.windows_editable else Qt.CursorShape.ArrowCursor

    def _begun(self, event: QMouseEvent, sheet: Sheet) -> Drag:
        state, x = self._state, event.position().x()
        at_s = sheet.across.moment(x)
        zooms = event.button() == Qt.MouseButton.RightButton
        if zooms or event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            return Zoom(state, at_s)
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            return Pan(state, sheet.view, sheet.across, at_s)
        if (line := self._line_at(x, sheet)) is not None:
            return MoveLine(state, line)
        if (edge := self._edge_at(x, sheet)) is not None:
            index, stays = edge
            return Stretch(state, stays, partial(self.window_moved.emit, index))
        if state.windows_editable:
            return Stretch(state, state.snapped(at_s), self.window_drawn.emit)
        return Pan(state, sheet.view, sheet.across, at_s)

    def _click(self, at_s: float) -> None:
        state = self._state
        if state.held:
            state.place_cursor(state.snapped(at_s), held=False)
        else:
            state.place_cursor(state.snapped(at_s), held=True)
        state.choose(CURSOR)

    def _line_at(self, x: float, sheet: Sheet) -> str | None:
        if self._state.measured is None:
            return None
        lines = zip(self._state.measured, (A, B), strict=True)
        away, nearest = min((abs(sheet.across.x(at) - x), name) for at, name in lines)
        return nearest if away <= REACH_PX else None

    def _edge_at(self, x: float, sheet: Sheet) -> tuple[int, float] | None:
        """Number of the window and the edge that stays, when the other edge is under the mouse."""
        if not self._state.windows_editable:
            return None
        edges = [
            (abs(sheet.across.x(moved) - x), index, stays)
            for index, (start, end, _) in enumerate(self._state.marks.windows)
            for moved, stays in ((start, end), (end, start))
        ]
        away, index, stays = min(edges, default=(REACH_PX + 1.0, 0, 0.0))
        return (index, stays) if away <= REACH_PX else None
