"""The range strip: one row a quantity, the expected range, the readings behind it, and this reading."""

from __future__ import annotations

import math
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QGridLayout, QLabel, QSizePolicy, QWidget

from knowngood.widgets import theme

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtGui import QPaintEvent

BELOW, INSIDE, ABOVE = "below", "inside", "above"
FINDINGS = (BELOW, ABOVE)


@dataclass(frozen=True, slots=True)
class StripRow:
    """What one strip shows, all numbers in the display unit.

    Attributes
    ----------
    name, value_text
        The quantity, and this reading with its unit.
    value, half_width_95
        This reading, and half the width of its 95 % uncertainty; a value of NaN leaves the strip without a
        marker, a width of NaN the marker without a whisker.
    inner, outer
        The 50 % and the 90 % range; None when there is none.
    ticks
        The known-good readings.
    word, reason
        ``inside``, ``below``, ``above``, or a word that says that none of them can be said, and why.
    detail
        The whole story for a tooltip and for a screen reader.
    """

    name: str
    value_text: str
    value: float
    half_width_95: float
    inner: tuple[float, float] | None
    outer: tuple[float, float] | None
    ticks: tuple[float, ...]
    word: str
    reason: str = ""
    detail: str = ""

    def scale(self) -> tuple[float, float]:
        """The stretch of values that the strip has to show, with a margin."""
        shown = [self.value - self.half_width_95, self.value + self.half_width_95, *self.ticks]
        if self.outer is not None:
            # The range takes the middle: a glance tells how far out a reading lies.
            width = self.outer[1] - self.outer[0]
            shown += [self.outer[0] - 0.5 * width, self.outer[1] + 0.5 * width]
        shown = [one for one in shown if math.isfinite(one)] or [0.0]
        low, high = min(shown), max(shown)
        margin = 0.06 * (high - low) or 1.0
        return low - margin, high + margin


class RangeStrip(QWidget):
    """One painted strip; shape and place tell the outcome, colour only repeats it."""

    def __init__(self, row: StripRow, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._row = row
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setToolTip(_tip(row.detail))
        self.setAccessibleName(f"{row.name}: {row.value_text}, {row.word}")
        self.setAccessibleDescription(row.detail)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Room for band, ticks and marker."""
        return QSize(280, 24)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Narrower than this the ticks run together."""
        return QSize(140, 24)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802, ARG002 - Qt's name
        """Paint band, ticks, whisker and marker."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint_band(painter)
        self._paint_ticks(painter)
        self._paint_reading(painter)
        painter.end()

    def place(self, value: float) -> float:
        """Where a value lies across the strip, in pixels."""
        low, high = self._row.scale()
        return 3.0 + (value - low) / (high - low) * (self.width() - 6.0)

    def _paint_band(self, painter: QPainter) -> None:
        middle = self.height() / 2
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(theme.TRACK))
        painter.drawRoundedRect(QRectF(0, middle - 8, self.width(), 16), 3, 3)
        for band, colour in ((self._row.outer, theme.BAND_OUTER), (self._row.inner, theme.BAND_INNER)):
            if band is not None:
                painter.setBrush(QColor(colour))
                left, right = self.place(band[0]), self.place(band[1])
                painter.drawRoundedRect(QRectF(left, middle - 8, max(right - left, 1.5), 16), 2, 2)

    def _paint_ticks(self, painter: QPainter) -> None:
        middle = self.height() / 2
        painter.setPen(QPen(QColor(theme.ACCENT), 1.0))
        for tick in self._row.ticks:
            painter.drawLine(QPointF(self.place(tick), middle + 2), QPointF(self.place(tick), middle + 8))

    def _paint_reading(self, painter: QPainter) -> None:
        middle = self.height() / 2
        row = self._row
        if not math.isfinite(row.value):
            return
        found = row.word in FINDINGS
        colour = QColor(theme.RUST if found else theme.INK if row.word == INSIDE else theme.QUIET)
        painter.setPen(QPen(colour, 2.0))
        if math.isfinite(row.half_width_95):
            painter.drawLine(
                QPointF(self.place(row.value - row.half_width_95), middle),
                QPointF(self.place(row.value + row.half_width_95), middle),
            )
        at = self.place(row.value)
        painter.setPen(QPen(colour, 1.6))
        painter.setBrush(colour)
        if row.word == BELOW:
            painter.drawPolygon(_triangle(at, middle, 1))
        elif row.word == ABOVE:
            painter.drawPolygon(_triangle(at, middle, -1))
        else:
            if row.word != INSIDE:
                painter.setBrush(QColor(theme.CARD))
            painter.drawEllipse(QPointF(at, middle), 4.2, 4.2)


class RangeStripList(QWidget):
    """Strips below one another: name, value, strip, word; a reason under a word that needs one."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 4, 0, 4)
        self._grid.setHorizontalSpacing(14)
        self._grid.setVerticalSpacing(2)
        self._grid.setColumnStretch(2, 1)
        self._rows: tuple[StripRow, ...] = ()

    @property
    def rows(self) -> tuple[StripRow, ...]:
        """The rows shown."""
        return self._rows

    def set_rows(self, rows: Sequence[StripRow]) -> None:
        """Show other rows."""
        while (item := self._grid.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        self._rows = tuple(rows)
        for index, row in enumerate(self._rows):
            self._add(index, row)

    def _add(self, index: int, row: StripRow) -> None:
        value = _plain(row.value_text)
        value.setStyleSheet("font-weight: 600;")
        value.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        word = _plain(row.word)
        if row.word in FINDINGS:
            word.setStyleSheet(f"color: {theme.RUST}; font-weight: 700;")
        elif row.word != INSIDE:
            word.setStyleSheet(f"color: {theme.QUIET};")
        word.setToolTip(_tip(row.detail))
        name = _plain(row.name[:1].upper() + row.name[1:])
        line = 2 * index
        for column, widget in enumerate((name, value, RangeStrip(row), word)):
            self._grid.addWidget(widget, line, column)
        self._grid.setRowMinimumHeight(line, 29)
        if row.reason:
            reason = _plain(row.reason)
            reason.setObjectName("quiet")
            reason.setWordWrap(True)
            self._grid.addWidget(reason, line + 1, 2, 1, 2)


def _plain(text: str) -> QLabel:
    # A name or a reason may hold what somebody typed or imported: markup in it stays text.
    label = QLabel(text)
    label.setTextFormat(Qt.TextFormat.PlainText)
    return label


def _tip(text: str) -> str:
    return escape(text, quote=False) if "<" in text else text


def _triangle(x: float, y: float, down: int) -> QPolygonF:
    return QPolygonF([QPointF(x - 5, y - 4 * down), QPointF(x + 5, y - 4 * down), QPointF(x, y + 5 * down)])
