"""What lies behind the curves: windows, expected ranges, a finding's stretch, grid, axes and headings."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from PySide6.QtCore import QLineF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from knowngood.plotting.scales import clock_ticks, moment, value_ticks
from knowngood.widgets import theme

if TYPE_CHECKING:
    from knowngood.plotting.layout import Box
    from knowngood.plotting.records import Band
    from knowngood.plotting.scales import Upright
    from knowngood.widgets.timeplot.sheet import Sheet

ACCENT = QColor(theme.ACCENT)
GRID = QColor("#eceae4")
WINDOW = QColor("#edf5f2")
FOUND = QColor(154, 116, 22, 34)
_CLOCK_GAP_PX, _VALUE_TICK_PX = 26.0, 22.0
_FRACTIONS_S = 10.0
_CLOSEST = 0.7
NOTHING = "No channel is shown."
_OUTER_ALPHA, _INNER_ALPHA, _EDGE_ALPHA = 30, 44, 150


def paint_ground(painter: QPainter, sheet: Sheet) -> None:
    """Paint everything behind the curves."""
    if not sheet.traces.panels:
        _paint_nothing(painter, sheet)
        return
    _paint_windows(painter, sheet)
    panels = zip(sheet.traces.panels, sheet.layout.panels, sheet.uprights, strict=True)
    for panel, box, upright in panels:
        _paint_grid(painter, box, upright)
        for band in panel.bands:
            _paint_band(painter, sheet, box, upright, band)
    for middle, text in value_labels(sheet):
        sheet.letters.draw_to(painter, sheet.layout.lane.left - 6.0, middle, text, theme.QUIET)
    _paint_highlight(painter, sheet)
    _paint_axis(painter, sheet)


def _paint_nothing(painter: QPainter, sheet: Sheet) -> None:
    body = sheet.layout.body
    text = sheet.letters.shortened(NOTHING, body.width)
    x = body.left + (body.width - sheet.letters.width(text)) / 2
    sheet.letters.draw(painter, x, (body.top + body.bottom) / 2, text, theme.QUIET)


def paint_headings(painter: QPainter, sheet: Sheet) -> None:
    """Write what each panel shows; no line of a mark may strike it through."""
    for panel, heading in zip(sheet.traces.panels, sheet.layout.headings, strict=True):
        title = sheet.letters.shortened(panel.title, heading.width)
        middle = heading.top + heading.height / 2
        sheet.letters.draw_on(painter, heading.left + 3.0, middle, title, theme.QUIET, QColor(theme.CARD))


def stretch(sheet: Sheet, start_s: float, end_s: float) -> QRectF | None:
    """A stretch of time over all panels; None when it is out of view."""
    body = sheet.layout.body
    left, right = max(sheet.across.x(start_s), body.left), min(sheet.across.x(end_s), body.right)
    if right < left:
        return None
    top = sheet.layout.lane.bottom
    return QRectF(left, top, max(right - left, 1.0), body.bottom - top)


def _paint_windows(painter: QPainter, sheet: Sheet) -> None:
    for start, end, _ in sheet.marks.windows:
        if (box := stretch(sheet, start, end)) is not None:
            painter.fillRect(box, WINDOW)
            painter.fillRect(QRectF(box.left() + 1.0, box.top() - 2.0, box.width() - 2.0, 2.0), ACCENT)


def _paint_highlight(painter: QPainter, sheet: Sheet) -> None:
    found = sheet.marks.highlight
    if (
        found is None
        or not sheet.traces.panels
        or (box := stretch(sheet, found.start_s, found.end_s)) is None
    ):
        return
    painter.fillRect(box, FOUND)
    painter.setPen(QPen(QColor(theme.EVENT), 1.6))
    for edge in (found.start_s, found.end_s):
        if sheet.view.start_s <= edge <= sheet.view.end_s:
            x = sheet.across.x(edge)
            painter.drawLine(QLineF(x, box.top(), x, box.bottom()))
    if found.words:
        text = sheet.letters.shortened(found.words, sheet.layout.body.right - box.left() - 8.0)
        middle = box.top() + sheet.layout.headings[0].height / 2 + 2.0
        sheet.letters.draw_on(painter, box.left() + 6.0, middle, text, theme.EVENT, QColor(theme.CARD))
    # A bar along the top closes the bracket: the stretch is told by its shape, too.
    painter.fillRect(QRectF(box.left(), box.top(), box.width(), 3.0), QColor(theme.EVENT))


def value_labels(sheet: Sheet) -> list[tuple[float, str]]:
    """The values at the axes of all panels: the middle of each text, none on another, and the text."""
    found: list[tuple[float, str]] = []
    apart = _CLOSEST * sheet.letters.height
    for box, upright in zip(sheet.layout.panels, sheet.uprights, strict=True):
        texts = [(_within(upright.y(value), box, sheet), text) for value, text in _ticks(box, upright)]
        for middle, text in reversed(_thinned(texts, apart)):
            if not found or middle - found[-1][0] >= apart:
                found.append((middle, text))
    return found


def _thinned(texts: list[tuple[float, str]], apart: float) -> list[tuple[float, str]]:
    """Every second, third ... of texts that rise, the last of them rather than none beside the first."""
    for every in range(1, len(texts)):
        kept = texts[::every]
        if all(lower[0] - upper[0] >= apart for lower, upper in pairwise(kept)):
            return kept
    return texts[:1]


def _ticks(box: Box, upright: Upright) -> list[tuple[float, str]]:
    return value_ticks(upright.low, upright.high, max(int(box.height / _VALUE_TICK_PX), 1))


def _paint_grid(painter: QPainter, box: Box, upright: Upright) -> None:
    painter.setPen(QPen(GRID, 1.0))
    for value, _ in _ticks(box, upright):
        y = round(upright.y(value)) - 0.5
        painter.drawLine(QLineF(box.left, y, box.right, y))
    painter.setPen(QPen(QColor(theme.EDGE), 1.0))
    painter.drawLine(QLineF(box.left, box.bottom - 0.5, box.right, box.bottom - 0.5))


def _within(y: float, box: Box, sheet: Sheet) -> float:
    """A tick's text may not reach into the next panel."""
    return min(y, box.bottom - sheet.letters.height / 2 + 4.0)


def _paint_band(painter: QPainter, sheet: Sheet, box: Box, upright: Upright, band: Band) -> None:
    start, end = max(band.start_s, sheet.view.start_s), min(band.end_s, sheet.view.end_s)
    if end <= start:
        return
    left, right = sheet.across.x(start), sheet.across.x(end)
    for low, high, alpha in (
        (band.low, band.high, _OUTER_ALPHA),
        (band.inner_low, band.inner_high, _INNER_ALPHA),
    ):
        if low is not None and high is not None:
            top, bottom = upright.cut(high), upright.cut(low)
            painter.fillRect(QRectF(left, top, right - left, bottom - top), _tint(band, alpha))
    painter.setPen(QPen(_tint(band, _EDGE_ALPHA), 1.0, Qt.PenStyle.DotLine))
    for value in (band.low, band.high):
        if upright.low < value < upright.high:
            y = round(upright.y(value)) - 0.5
            painter.drawLine(QLineF(left, y, right, y))
    # A piece of a name says nothing, and many of them hide the curves.
    if band.label and sheet.letters.width(band.label) <= right - left - 8.0:
        middle = _beside_band(sheet, box, upright.cut(band.high), upright.cut(band.low))
        sheet.letters.draw(painter, left + 4.0, middle, band.label, _tint(band, 255))


def _beside_band(sheet: Sheet, box: Box, top: float, bottom: float) -> float:
    """Where the words of a band leave its curve alone: above it, else below it, else within its top."""
    half = sheet.letters.height / 2
    if top - 2 * half >= box.top - 4.0:
        return top - half
    return bottom + half if bottom + 2 * half <= box.bottom else top + half


def _tint(band: Band, alpha: int) -> QColor:
    colour = QColor(band.colour or theme.ACCENT)
    colour.setAlpha(alpha)
    return colour


def clock_labels(sheet: Sheet) -> list[tuple[float, QRectF, str]]:
    """The moments on the axis: where each lies, the place of its text, the text."""
    axis, found = sheet.layout.axis, []
    widest = moment(sheet.view.end_s, 0.01 if sheet.view.span_s < _FRACTIONS_S else 1.0)
    most = max(int(axis.width / (sheet.letters.width(widest) + _CLOCK_GAP_PX)), 1)
    for at, text in clock_ticks(sheet.view.start_s, sheet.view.end_s, most):
        x, width = sheet.across.x(at), sheet.letters.width(text)
        left = min(max(x - width / 2, axis.left - width / 4), axis.right + width / 4 - width)
        found.append((x, QRectF(left, axis.top + 4.0, width, axis.height - 4.0), text))
    return found


def _paint_axis(painter: QPainter, sheet: Sheet) -> None:
    top = sheet.layout.axis.top
    for x, box, text in clock_labels(sheet):
        painter.setPen(QPen(QColor(theme.EDGE), 1.0))
        painter.drawLine(QLineF(round(x) + 0.5, top, round(x) + 0.5, top + 4.0))
        sheet.letters.draw(painter, box.left(), box.center().y(), text, theme.QUIET)
