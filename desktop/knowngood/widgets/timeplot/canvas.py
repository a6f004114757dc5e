"""The painted surface of the plot: paints a state, and turns keys and mouse into changes of it."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QSize, Qt
from PySide6.QtGui import QHelpEvent, QPainter
from PySide6.QtWidgets import QAbstractScrollArea, QSizePolicy, QToolTip, QWidget

from knowngood.plotting.view import View
from knowngood.widgets.timeplot import keys, paint
from knowngood.widgets.timeplot.lane import Lane
from knowngood.widgets.timeplot.lettering import Lettering
from knowngood.widgets.timeplot.lines import paint_focus
from knowngood.widgets.timeplot.pointer import REACH_PX, Pointer
from knowngood.widgets.timeplot.sheet import Sheet
from knowngood.widgets.timeplot.spoken import gap_lines, hidden_words, overview, spoken, spoken_measurement
from knowngood.widgets.timeplot.state import CURSOR, PlotState

if TYPE_CHECKING:
    from PySide6.QtGui import QFocusEvent, QImage, QKeyEvent, QMouseEvent, QPaintEvent, QWheelEvent


_NAME = "Recorded channels over time"


class PlotCanvas(QWidget):
    """Paints a `PlotState`. What does not move with the cursor is painted once into a picture."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state = PlotState(self)
        self._pointer = Pointer(self._state, self)
        self._letters = Lettering(self.font())
        self._sheet: Sheet | None = None
        self._still: QImage | None = None
        self._lane = Lane((), ())
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(_NAME)
        self._state.still_changed.connect(self._repaint_all)
        self._state.front_changed.connect(self.update)
        for changed in (self._state.cursor_moved, self._state.measuring_moved, self._state.still_changed):
            changed.connect(self._speak)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """A modest wish: the plot takes whatever room a page has left."""
        return QSize(480, 170)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Smaller than this nothing can be read off."""
        return QSize(200, 90)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802, ARG002 - Qt's name
        """Paint what stays from a picture of it, and in front of that what moves."""
        sheet, scale = self._current(), self.devicePixelRatioF()
        if self._still is None or self._still.devicePixelRatio() != scale:
            self._still, self._lane = paint.still_image(sheet, self.size(), scale)
        with QPainter(self) as painter:
            painter.drawImage(0, 0, self._still)
            paint.paint_front(painter, sheet, self._state)
            if self.hasFocus() and sheet.traces.panels:
                paint_focus(painter, sheet)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Move lines and the view."""
        if not keys.act(self._state, event):
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Begin a drag or a click."""
        self._pointer.press(event, self._current())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Let cursor or drag follow."""
        sheet = self._current()
        self._pointer.move(event, sheet)
        self.setCursor(self._pointer.shape(event.position().x(), sheet))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """End a drag or a click."""
        at = event.position()
        self._pointer.release(event, self._current(), self._lane.at(at.x(), at.y()))

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Zoom or pan; in a page that scrolls only after a click, lest scrolling stops over the plot."""
        if self._state.view is None or (self._page_scrolls() and not self.hasFocus()):
            event.ignore()
            return
        self._pointer.wheel(event, self._current())
        event.accept()

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Show the focus."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Show that the focus is gone."""
        super().focusOutEvent(event)
        self.update()

    def event(self, event: QEvent) -> bool:
        """Tell the words of marks under the mouse; take up a changed font and size."""
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            self._tell_marks(event)
            return True
        if event.type() in {QEvent.Type.Resize, QEvent.Type.FontChange, QEvent.Type.StyleChange}:
            self._letters = Lettering(self.font())
            self._repaint_all()
        return super().event(event)

    def _repaint_all(self) -> None:
        self._still = self._sheet = None
        self.update()

    def _current(self) -> Sheet:
        if self._sheet is None:
            self._sheet = self._laid_out(self.size())
        return self._sheet

    def _laid_out(self, size: QSize) -> Sheet:
        state = self._state
        view = state.view or View(0.0, 1.0)
        return Sheet.of(state.traces, view, state.marks, paint.as_float(size), self._letters)

    def _speak(self, *_: object) -> None:
        """Tell a screen reader of the lines, or of what there is to see while there are none."""
        state = self._state
        measured, reading = state.measurement(), state.reading()
        if measured is not None and (state.active != CURSOR or reading is None):
            words = spoken_measurement(measured, state.traces)
        elif reading is not None:
            words = spoken(reading, state.traces)
        else:
            words = overview(state.traces, state.marks, state.view)
        self.setAccessibleDescription(words)

    def _tell_marks(self, event: QHelpEvent) -> None:
        sheet, x, y = self._current(), float(event.pos().x()), float(event.pos().y())
        if x < sheet.layout.lane.left:
            lines = hidden_words(self._lane, self._state.marks, y)
        else:
            reach_s = REACH_PX * sheet.view.span_s / sheet.layout.lane.width
            at_s = sheet.across.moment(x)
            lines = [*self._state.marks.lines_at(at_s, reach_s), *gap_lines(sheet.traces, at_s, reach_s)]
        QToolTip.showText(event.globalPos(), "<br>".join(escape(line) for line in lines), self)

    def _page_scrolls(self) -> bool:
        parent = self.parentWidget()
        while parent is not None:
            if isinstance(parent, QAbstractScrollArea) and parent.verticalScrollBar().isVisible():
                return True
            parent = parent.parentWidget()
        return False
