"""A picture in a window of its own, fitted to it or pixel for pixel."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QVBoxLayout,
)

if TYPE_CHECKING:
    from PySide6.QtGui import QImage, QResizeEvent
    from PySide6.QtWidgets import QWidget


class PictureView(QDialog):
    """Shows one picture."""

    def __init__(self, title: str, image: QImage, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._whole = QPixmap.fromImage(image)
        self._label, self._area = QLabel(), QScrollArea()
        self._label.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._label.setAccessibleName(title)
        self._area.setWidget(self._label)
        self._area.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.pixel_box = QCheckBox("&Pixel for pixel")
        self.pixel_box.toggled.connect(self._fit)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        below = QHBoxLayout()
        below.addWidget(self.pixel_box)
        below.addWidget(buttons, stretch=1)
        layout = QVBoxLayout(self)
        layout.addWidget(self._area, stretch=1)
        layout.addLayout(below)
        self.resize(960, 680)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Fit the picture to the new size."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        shown, room = self._whole, self._area.maximumViewportSize()
        if not self.pixel_box.isChecked() and (
            shown.width() > room.width() or shown.height() > room.height()
        ):
            shown = shown.scaled(
                room, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation
            )
        self._label.setPixmap(shown)
        self._label.resize(shown.size())
