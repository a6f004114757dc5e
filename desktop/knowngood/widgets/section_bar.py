"""The row of words that leads from section to section."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QPushButton, QSizePolicy, QWidget

if TYPE_CHECKING:
    from collections.abc import Sequence


class SectionBar(QWidget):
    """One button a section, one of them pressed; arrow keys and Ctrl with a number move, too.

    Attributes
    ----------
    chosen
        Signal with the number of the section that was asked for.
    """

    chosen = Signal(int)

    def __init__(self, titles: Sequence[str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._group = QButtonGroup(self)
        row = QHBoxLayout(self)
        row.setContentsMargins(20, 0, 20, 0)
        row.setSpacing(2)
        for number, title in enumerate(titles):
            row.addWidget(self._button(number, title))
        row.addStretch(1)
        self.end = row
        self._group.idToggled.connect(self._toggled)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def choose(self, number: int) -> None:
        """Press the button of a section."""
        self._group.button(number).setChecked(True)

    def add_action(self, button: QPushButton) -> None:
        """Place a button at the right end of the row."""
        self.end.addWidget(button)

    def _button(self, number: int, title: str) -> QPushButton:
        button = QPushButton(title)
        button.setObjectName("tab")
        button.setCheckable(True)
        button.setMinimumSize(QSize(0, 32))
        button.setToolTip(f"{title} (Ctrl+{number + 1})")
        self._group.addButton(button, number)
        shortcut = QShortcut(QKeySequence(f"Ctrl+{number + 1}"), self)
        shortcut.setContext(Qt.ShortcutContext.WindowShortcut)
        shortcut.activated.connect(button.click)
        return button

    def _toggled(self, number: int, pressed: bool) -> None:
        if pressed:
            self.chosen.emit(number)
