"""Named fields in as many columns as there is room for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from knowngood.widgets.form import named

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtGui import QResizeEvent

COLUMN_PX = 208
"""The least room of a name and its field beside one another."""


class NamedFields(QWidget):
    """Lays pairs of name and field out anew when its width changes; tab order stays that of the pairs."""

    def __init__(
        self, pairs: Sequence[tuple[str, QWidget]], column_px: int = COLUMN_PX, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._column_px, self._columns = column_px, 0
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(8)
        self._grid.setVerticalSpacing(6)
        self._pairs: list[tuple[QLabel, QWidget]] = []
        for name, field in pairs:
            field.setParent(self)
            self._pairs.append((named(name, field), field))
        for (_, before), (_, after) in zip(self._pairs, self._pairs[1:], strict=False):
            QWidget.setTabOrder(before, after)
        self._lay_out(1)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """One column is enough."""
        return QSize(self._column_px, super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Use the new room."""
        super().resizeEvent(event)
        self._lay_out(max(1, self.width() // self._column_px))

    def _lay_out(self, columns: int) -> None:
        if columns == self._columns:
            return
        for place in range(2 * self._columns):
            self._grid.setColumnStretch(place, 0)
        self._columns = columns
        for number, (label, field) in enumerate(self._pairs):
            row, column = divmod(number, columns)
            self._grid.addWidget(label, row, 2 * column)
            self._grid.addWidget(field, row, 2 * column + 1)
        for column in range(columns):
            self._grid.setColumnStretch(2 * column + 1, 1)
        self.updateGeometry()
