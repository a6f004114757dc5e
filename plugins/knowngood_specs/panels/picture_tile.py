"""One picture of a record, small, with what it shows and what can be done with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, Qt, Signal
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from knowngood_specs.panels.labels import link, plain
from knowngood_specs.panels.picture_fitting import THUMBNAIL_PX
from knowngood_specs.picture_data import SHOWS

if TYPE_CHECKING:
    from knowngood_refdata.queries.pictures import Picture

TILE_PX = 220


class PictureTile(QWidget):
    """Shows a thumbnail; a removed picture offers only to be brought back.

    Attributes
    ----------
    view, describe, remove, restore
        Signals without arguments, but ``describe`` with what the picture is said to show.
    """

    view = Signal()
    describe = Signal(str)
    remove = Signal()
    restore = Signal()

    def __init__(self, picture: Picture, *, removed: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFixedWidth(TILE_PX)
        self._picture = picture
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(4)
        layout.addWidget(self._thumbnail())
        layout.addWidget(plain(picture.shows, bold=True) if removed else self._choice())
        size = f"{picture.width} x {picture.height}"
        day = f"{picture.added_at.astimezone():%Y-%m-%d}"
        layout.addWidget(plain(f"{picture.name}, {size}, added by {picture.added_by} on {day}", "quiet"))
        row = QHBoxLayout()
        row.setSpacing(0)
        for button in self._buttons(removed=removed):
            row.addWidget(button)
        row.addStretch(1)
        layout.addLayout(row)
        layout.addStretch(1)

    def _thumbnail(self) -> QLabel:
        label, pixmap = QLabel(), QPixmap()
        pixmap.loadFromData(QByteArray(self._picture.thumbnail))
        side = min(TILE_PX, THUMBNAIL_PX)
        label.setPixmap(
            pixmap.scaled(
                side, side, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation
            )
        )
        label.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        label.setAccessibleName(f"picture of {self._picture.shows}")
        return label

    def _choice(self) -> QComboBox:
        box = QComboBox()
        box.addItems(list(dict.fromkeys((*SHOWS, self._picture.shows))))
        box.setCurrentText(self._picture.shows)
        box.setAccessibleName("what the picture shows")
        box.textActivated.connect(self._describe)
        return box

    def _describe(self, shows: str) -> None:
        if shows != self._picture.shows:
            self.describe.emit(shows)

    def _buttons(self, *, removed: bool) -> list[QPushButton]:
        of = self._picture.name or self._picture.shows
        buttons = [link("View", self.view.emit, f"view {of}")]
        if removed:
            return [*buttons, link("Bring back", self.restore.emit, f"bring back {of}")]
        return [*buttons, link("Remove...", self.remove.emit, f"remove {of}")]
