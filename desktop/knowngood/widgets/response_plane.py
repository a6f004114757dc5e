"""The response plane: change of the low side across, of the high side up, known-good cars as a cloud."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from knowngood.widgets import theme

if TYPE_CHECKING:
    from PySide6.QtGui import QPaintEvent


@dataclass(frozen=True, slots=True)
class PlaneEllipse:
    """An ellipse about the cloud in display units, turned by ``angle_rad`` from the low side axis."""

    low: float
    high: float
    half_major: float
    half_minor: float
    angle_rad: float

    def outline(self, points: int = 72) -> list[tuple[float, float]]:
        """Points around the ellipse."""
        cos, sin = math.cos(self.angle_rad), math.sin(self.angle_rad)
        turns = (2 * math.pi * index / points for index in range(points))
        along = ((self.half_major * math.cos(turn), self.half_minor * math.sin(turn)) for turn in turns)
        return [(self.low + a * cos - b * sin, self.high + a * sin + b * cos) for a, b in along]


@dataclass(frozen=True, slots=True)
class PlaneView:
    """What the plane shows, all in display units of a pressure change.

    ``level`` is half the width of the cross within which a side counts as staying level. ``this_word`` and
    ``cloud_word`` are written beside this car and the cloud.
    """

    this: tuple[float, float] | None
    level: tuple[float, float]
    cloud: tuple[tuple[float, float], ...]
    inner: PlaneEllipse | None
    outer: PlaneEllipse | None
    unit: str
    this_word: str = "this car"
    cloud_word: str = ""


class ResponsePlane(QWidget):
    """Paints a `PlaneView`; zero lies in the middle, and each axis has a scale that shows everything."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view: PlaneView | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    @property
    def view(self) -> PlaneView | None:
        """What is shown."""
        return self._view

    def set_view(self, view: PlaneView | None) -> None:
        """Show another response; None empties the plane."""
        self._view = view
        self.setAccessibleName("response plane" if view is None else _in_words(view))
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Wide enough for the words at the axes."""
        return QSize(380, 240)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Smaller than this the words run into one another."""
        return QSize(260, 210)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802, ARG002 - Qt's name
        """Paint frame, cross, cloud and arrow."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        frame = QRectF(24, 4, self.width() - 30, self.height() - 34)
        self._paint_frame(painter, frame)
        if self._view is not None:
            painter.save()
            painter.setClipRect(frame)
            self._paint_view(painter, frame, self._view)
            painter.restore()
        self._paint_words(painter, frame)
        painter.end()

    def _paint_frame(self, painter: QPainter, frame: QRectF) -> None:
        painter.setPen(QPen(QColor(theme.EDGE), 1))
        painter.setBrush(QColor("#fcfbf8"))
        painter.drawRect(frame)

    def _paint_view(self, painter: QPainter, frame: QRectF, view: PlaneView) -> None:
        reach_low, reach_high = _reach(view)

        def at(low: float, high: float) -> QPointF:
            centre = frame.center()
            return QPointF(
                centre.x() + low / reach_low * frame.width() / 2,
                centre.y() - high / reach_high * frame.height() / 2,
            )

        _paint_cross(painter, frame, at(*view.level) - frame.center())
        for ellipse, colour, dashed in (
            (view.outer, theme.BAND_OUTER, True),
            (view.inner, theme.BAND_INNER, False),
        ):
            if ellipse is not None:
                pen = QPen(QColor(theme.ACCENT), 1, Qt.PenStyle.DashLine)
                painter.setPen(pen if dashed else Qt.PenStyle.NoPen)
                painter.setBrush(QColor(colour))
                painter.drawPolygon(QPolygonF([at(low, high) for low, high in ellipse.outline()]))
        painter.setPen(QPen(QColor(theme.CARD), 0.8))
        painter.setBrush(QColor(theme.ACCENT))
        for low, high in view.cloud:
            painter.drawEllipse(at(low, high), 3, 3)
        if view.cloud and view.cloud_word:
            edge = view.cloud if view.outer is None else view.outer.outline(36)
            lowest = max((at(low, high) for low, high in edge), key=lambda point: point.y())
            _write(painter, frame, lowest + QPointF(0, 16), view.cloud_word, theme.ACCENT)
        if view.this is not None:
            _paint_arrow(painter, frame, at(*view.this), view.this_word)

    def _paint_words(self, painter: QPainter, frame: QRectF) -> None:
        painter.setPen(QColor(theme.QUIET))
        font = painter.font()
        font.setPointSizeF(8.5)
        painter.setFont(font)
        below = QRectF(frame.left(), frame.bottom() + 4, frame.width(), 18)
        painter.drawText(below, Qt.AlignmentFlag.AlignLeft, "low side falls")
        painter.drawText(below, Qt.AlignmentFlag.AlignRight, "low side rises")
        if self._view is not None:
            low, _ = _reach(self._view)
            painter.drawText(below, Qt.AlignmentFlag.AlignHCenter, f"± {low:.2g} {self._view.unit}")
        for word, place in (("high rises", frame.top() + 70), ("high falls", frame.bottom() - 2)):
            painter.save()
            painter.translate(frame.left() - 8, place)
            painter.rotate(-90)
            painter.drawText(QPointF(0, 0), word)
            painter.restore()


def _reach(view: PlaneView) -> tuple[float, float]:
    points = list(view.cloud)
    if view.this is not None:
        points.append(view.this)
    if view.outer is not None:
        points += view.outer.outline(24)
    low = max([abs(one[0]) for one in points] + [3 * view.level[0]])
    high = max([abs(one[1]) for one in points] + [3 * view.level[1]])
    return 1.15 * low or 1.0, 1.15 * high or 1.0


def _paint_cross(painter: QPainter, frame: QRectF, half: QPointF) -> None:
    centre = frame.center()
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(theme.TRACK))
    across, up = abs(half.x()), abs(half.y())
    painter.drawRect(QRectF(centre.x() - across, frame.top(), 2 * across, frame.height()))
    painter.drawRect(QRectF(frame.left(), centre.y() - up, frame.width(), 2 * up))
    painter.setPen(QPen(QColor("#c9c7bf"), 1.5))
    painter.drawLine(QPointF(centre.x(), frame.top()), QPointF(centre.x(), frame.bottom()))
    painter.drawLine(QPointF(frame.left(), centre.y()), QPointF(frame.right(), centre.y()))


def _paint_arrow(painter: QPainter, frame: QRectF, tip: QPointF, word: str) -> None:
    start = frame.center()
    painter.setPen(QPen(QColor(theme.INK), 2))
    painter.drawLine(start, tip)
    angle = math.atan2(tip.y() - start.y(), tip.x() - start.x())
    head = QPainterPath(tip)
    for side in (2.6, -2.6):
        head.lineTo(tip + QPointF(11 * math.cos(angle + side), 11 * math.sin(angle + side)))
    head.closeSubpath()
    painter.fillPath(head, QColor(theme.RUST))
    _write(painter, frame, tip + QPointF(10, -10), word, theme.RUST)


def _write(painter: QPainter, frame: QRectF, at: QPointF, word: str, colour: str) -> None:
    """Write a word near a point without leaving the frame."""
    painter.save()
    font = painter.font()
    font.setPointSizeF(9)
    font.setBold(True)
    painter.setFont(font)
    painter.setPen(QColor(colour))
    width = painter.fontMetrics().horizontalAdvance(word)
    x = max(min(at.x(), frame.right() - width - 4), frame.left() + 4)
    y = min(max(at.y(), frame.top() + 14), frame.bottom() - 6)
    painter.drawText(QPointF(x, y), word)
    painter.restore()


def _in_words(view: PlaneView) -> str:
    if view.this is None:
        return f"response plane with {len(view.cloud)} known-good cars"
    low, high = view.this
    return (
        f"response plane: low side {low:+.1f} {view.unit}, high side {high:+.1f} {view.unit}, "
        f"against {len(view.cloud)} known-good cars"
    )
