"""A drawing as a picture file: what a diagram and a plot of curves have in common."""

from __future__ import annotations

from pathlib import Path
from typing import Protocol

from PySide6.QtCore import QPoint
from PySide6.QtGui import QColor, QImage, QPainter, QRegion
from PySide6.QtWidgets import QFileDialog, QWidget

from knowngood.widgets import theme

EXPORT_SCALE = 3
"""An exported picture has this many times the pixels of the screen, so that it can be printed."""


class Drawing(Protocol):
    """Something that can be had as a picture."""

    def picture(self) -> QImage:
        """The drawing as it stands."""


def drawn(canvas: QWidget) -> QImage:
    """A widget as it stands, with `EXPORT_SCALE` times the pixels of the screen."""
    image = QImage(canvas.size() * EXPORT_SCALE, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(EXPORT_SCALE)
    image.fill(QColor(theme.CARD))
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    # Without the window's own ground: a picture stands on the white of a card.
    canvas.render(painter, QPoint(), QRegion(), QWidget.RenderFlag.DrawChildren)
    painter.end()
    return image


def ask_and_save(parent: QWidget, drawing: Drawing, suggested: str) -> str:
    """Ask for a place and save a drawing there; what to tell about it, empty when the asking was given up."""
    name, _ = QFileDialog.getSaveFileName(parent, "Save picture", suggested, "Pictures (*.png)")
    if not name:
        return ""
    path = Path(name) if Path(name).suffix else Path(f"{name}.png")
    if drawing.picture().save(str(path)):
        return f"Saved {path}."
    return f"The picture cannot be written to {path}; choose another place."
