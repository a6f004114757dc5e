"""What lies in front of the curves and moves: the cursor, the measuring lines, a stretch being dragged."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from knowngood.plotting.scales import moment
from knowngood.plotting.words import apart
from knowngood.widgets import theme
from knowngood.widgets.timeplot.ground import clock_labels

if TYPE_CHECKING:
    from knowngood.widgets.timeplot.sheet import Sheet

_DRAG, _BETWEEN = QColor(42, 106, 85, 40), QColor(29, 35, 39, 14)
_DOT_PX = 3.0


@dataclass(frozen=True)
class Flag:
    """The moment of a line, written on the axis below it."""

    x: float
    text: str
    colour: str


def paint_cursor(painter: QPainter, sheet: Sheet, at_s: float) -> None:
    """The cursor with a ring around the nearest sample of every curve."""
    if not sheet.view.start_s <= at_s <= sheet.view.end_s:
        return
    x, body = round(sheet.across.x(at_s)) + 0.5, sheet.layout.body
    painter.setPen(QPen(QColor(theme.INK), 1.0))
    painter.drawLine(QLineF(x, sheet.layout.lane.bottom, x, body.bottom))
    _paint_rings(painter, sheet, at_s)


def paint_measuring(painter: QPainter, sheet: Sheet, a_s: float, b_s: float) -> None:
    """The measuring lines A and B, what lies between them shaded."""
    body, top = sheet.layout.body, sheet.layout.lane.bottom
    left, right = (
        min(max(sheet.across.x(at), body.left), body.right) for at in (min(a_s, b_s), max(a_s, b_s))
    )
    painter.fillRect(QRectF(left, top, right - left, body.bottom - top), _BETWEEN)
    for at in (a_s, b_s):
        if sheet.view.start_s <= at <= sheet.view.end_s:
            x = round(sheet.across.x(at)) + 0.5
            painter.setPen(QPen(QColor(theme.INK), 1.0, Qt.PenStyle.DashDotLine))
            painter.drawLine(QLineF(x, top, x, body.bottom))
            _paint_rings(painter, sheet, at)


def flags(
    sheet: Sheet, cursor: tuple[float, str] | None, measured: dict[str, float], active: str
) -> list[Flag]:
    """The flags of all lines in view: of the cursor (moment and what is said behind it), of A and B."""
    step_s = _step(sheet)
    found = [
        (at, f"{name} {moment(at, step_s)}", theme.INK if name == active else theme.QUIET)
        for name, at in measured.items()
    ]
    if cursor is not None:
        found.append((cursor[0], f"{moment(cursor[0], step_s)}{cursor[1]}", theme.INK))
    view = sheet.view
    return [Flag(sheet.across.x(at), *rest) for at, *rest in found if view.start_s <= at <= view.end_s]


def paint_flags(painter: QPainter, sheet: Sheet, shown: list[Flag]) -> None:
    """Write flags below their lines, beside one another where lines stand close together."""
    width = max((_flag_width(sheet, one.text) for one in shown), default=0.0)
    middles = apart([one.x for one in shown], width + 2.0, width / 2, sheet.layout.names.right - width / 2)
    boxes = [
        (_flag_box(sheet, middle, one.text), one)
        for one, middle in zip(shown, middles, strict=True)
        if middle is not None
    ]
    for _, label, _ in clock_labels(sheet):
        # Half a moment beside a flag would read as another one.
        if any(label.adjusted(-3.0, 0.0, 3.0, 0.0).intersects(box) for box, _ in boxes):
            painter.fillRect(label, QColor(theme.CARD))
    for box, one in boxes:
        painter.fillRect(box, QColor(one.colour))
        sheet.letters.draw(painter, box.left() + 5.0, box.center().y(), one.text, theme.CARD)


def paint_drag(painter: QPainter, sheet: Sheet, start_s: float, end_s: float) -> None:
    """A stretch while it is dragged out or its edge is moved."""
    body, top = sheet.layout.body, sheet.layout.lane.bottom
    left, right = sorted((sheet.across.x(start_s), sheet.across.x(end_s)))
    left, right = max(left, body.left), min(right, body.right)
    painter.fillRect(QRectF(left, top, right - left, body.bottom - top), _DRAG)
    painter.setPen(QPen(QColor(theme.ACCENT), 1.4))
    for x in (left, right):
        painter.drawLine(QLineF(x, top, x, body.bottom))
    words = f"{moment(min(start_s, end_s), _step(sheet))} to {moment(max(start_s, end_s), _step(sheet))}"
    paint_flags(painter, sheet, [Flag((left + right) / 2, words, theme.ACCENT)])


def paint_focus(painter: QPainter, sheet: Sheet) -> None:
    """A frame around the panels while the keys go to the plot."""
    body, top = sheet.layout.body, sheet.layout.lane.bottom
    painter.setPen(QPen(QColor(theme.ACCENT), 1.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(QRectF(round(body.left) - 0.5, top + 0.5, body.width, body.bottom - top))


def _paint_rings(painter: QPainter, sheet: Sheet, at_s: float) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(QColor(theme.CARD))
    for panel, upright in zip(sheet.traces.panels, sheet.uprights, strict=True):
        for trace in panel.traces:
            found = trace.at(at_s)
            if found is not None and upright.low <= found[1] <= upright.high:
                painter.setPen(QPen(QColor(trace.curve.colour), 1.4))
                painter.drawEllipse(QPointF(sheet.across.x(found[0]), upright.y(found[1])), _DOT_PX, _DOT_PX)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)


def _flag_width(sheet: Sheet, text: str) -> float:
    return sheet.letters.width(text) + 10.0


def _flag_box(sheet: Sheet, middle: float, text: str) -> QRectF:
    axis, width = sheet.layout.axis, _flag_width(sheet, text)
    return QRectF(round(middle - width / 2), axis.top + 3.0, round(width), axis.height - 4.0)


def _step(sheet: Sheet) -> float:
    """Moments are written as finely as a pixel is wide."""
    pixel = sheet.view.span_s / max(sheet.layout.lane.width, 1.0)
    return next((step for step in (1.0, 0.1, 0.01) if step <= pixel * 10), 0.001)
