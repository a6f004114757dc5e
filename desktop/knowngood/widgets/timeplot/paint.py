"""A sheet painted as a whole: on the screen, into a picture, into a file of lines."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QBuffer, QRectF, QSize, QSizeF
from PySide6.QtGui import QColor, QImage, QPainter

from knowngood.widgets import theme
from knowngood.widgets.timeplot.ground import paint_ground, paint_headings
from knowngood.widgets.timeplot.lane import Lane, laid_in_lane, paint_lane, paint_mark_lines
from knowngood.widgets.timeplot.lines import flags, paint_cursor, paint_drag, paint_flags, paint_measuring
from knowngood.widgets.timeplot.names import paint_names
from knowngood.widgets.timeplot.state import A, B
from knowngood.widgets.timeplot.strokes import CurveStrokes

if TYPE_CHECKING:
    from pathlib import Path

    from knowngood.widgets.timeplot.sheet import Sheet
    from knowngood.widgets.timeplot.state import PlotState


def paint_still(painter: QPainter, sheet: Sheet, screen_scale: float | None) -> Lane:
    """Everything that stays while the cursor moves; which words found room.

    ``screen_scale`` as in `CurveStrokes`.
    """
    lane = laid_in_lane(sheet)
    paint_ground(painter, sheet)
    paint_mark_lines(painter, sheet)
    paint_headings(painter, sheet)
    CurveStrokes(painter, sheet, screen_scale).paint()
    paint_lane(painter, sheet, lane)
    return lane


def paint_front(painter: QPainter, sheet: Sheet, state: PlotState) -> None:
    """Everything that moves without the view: names with values, cursor, measuring lines."""
    measured, cursor = {}, None
    if state.measured is not None:
        measured = dict(zip((A, B), state.measured, strict=True))
        paint_measuring(painter, sheet, *state.measured)
    if state.cursor_s is not None:
        cursor = state.cursor_s, " held" if state.held else ""
        paint_cursor(painter, sheet, state.cursor_s)
    paint_flags(painter, sheet, flags(sheet, cursor, measured, state.active))
    if state.dragged is not None:
        paint_drag(painter, sheet, *state.dragged)
    paint_names(painter, sheet, state.cursor_s)


def still_image(sheet: Sheet, size: QSize, scale: float) -> tuple[QImage, Lane]:
    """The still part in the pixels of a screen that has ``scale`` of them for each unit of ``size``."""
    image = QImage(round(size.width() * scale), round(size.height() * scale), QImage.Format.Format_RGB32)
    image.fill(QColor(theme.CARD))
    image.setDevicePixelRatio(scale)
    with QPainter(image) as painter:
        lane = paint_still(painter, sheet, scale)
    return image, lane


def picture(sheet: Sheet, state: PlotState, size: QSize, scale: float) -> QImage:
    """Everything, as a picture with ``scale`` pixels for each unit of ``size``."""
    image = QImage(size * scale, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(scale)
    image.fill(QColor(theme.CARD))
    with QPainter(image) as painter:
        paint_still(painter, sheet, None)
        paint_front(painter, sheet, state)
    return image


def save_svg(sheet: Sheet, state: PlotState, size: QSize, path: Path) -> bool:
    """Everything, as lines and text that stay sharp at any size; whether the file could be written."""
    from PySide6.QtSvg import QSvgGenerator

    kept = QBuffer()
    kept.open(QBuffer.OpenModeFlag.WriteOnly)
    file = QSvgGenerator()
    file.setOutputDevice(kept)
    file.setSize(size)
    file.setViewBox(QRectF(0.0, 0.0, size.width(), size.height()))
    with QPainter(file) as painter:
        painter.fillRect(QRectF(0.0, 0.0, size.width(), size.height()), QColor(theme.CARD))
        paint_still(painter, sheet, None)
        paint_front(painter, sheet, state)
    try:
        path.write_bytes(kept.data().data())
    except OSError:
        return False
    return True


def as_float(size: QSize) -> QSizeF:
    """A size in whole units as one in fractions."""
    return QSizeF(size)
