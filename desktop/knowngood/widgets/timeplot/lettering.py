"""Text on a plot: its font, its width, shortened where there is no room."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter

SIZE_PT = 8.5


class Lettering:
    """Draws text of one font; widths are kept, since they are asked for anew at every repaint."""

    def __init__(self, font: QFont, size_pt: float = SIZE_PT) -> None:
        self.font = QFont(font)
        self.font.setPointSizeF(size_pt)
        self._metrics = QFontMetricsF(self.font)
        self._widths: dict[str, float] = {}
        self.ascent = self._metrics.ascent()
        self.height = self._metrics.height()

    def width(self, text: str) -> float:
        """How wide a text is [px]."""
        if text not in self._widths:
            self._widths[text] = self._metrics.horizontalAdvance(text)
        return self._widths[text]

    def shortened(self, text: str, width: float) -> str:
        """A text that is no wider than there is room, with an ellipsis when it had to be cut."""
        if self.width(text) <= width:
            return text
        return self._metrics.elidedText(text, Qt.TextElideMode.ElideRight, width)

    def draw(self, painter: QPainter, x: float, middle: float, text: str, colour: str | QColor) -> None:
        """Write from ``x`` to the right, the line's middle at ``middle``."""
        painter.setFont(self.font)
        painter.setPen(QColor(colour))
        painter.drawText(QPointF(x, self._baseline(middle)), text)

    def draw_to(self, painter: QPainter, right: float, middle: float, text: str, colour: str) -> None:
        """Write so that the text ends at ``right``."""
        self.draw(painter, right - self.width(text), middle, text, colour)

    def draw_on(
        self, painter: QPainter, x: float, middle: float, text: str, colour: str | QColor, ground: QColor
    ) -> QRectF:
        """Write on a ground of its own, so that lines behind do not strike the text through; its place."""
        box = QRectF(x - 3.0, middle - self.height / 2, self.width(text) + 6.0, self.height)
        painter.fillRect(box, ground)
        self.draw(painter, x, middle, text, colour)
        return box

    def _baseline(self, middle: float) -> float:
        return round(middle - self.height / 2 + self.ascent)
