"""The row of words that leads from section to section."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QTabBar, QWidget

if TYPE_CHECKING:
    from collections.abc import Sequence


class SectionBar(QWidget):
    """One word a section, one of them chosen; arrow keys and Ctrl with a number move, too.

    Where there is not room for all, two small arrows move the row.

    Attributes
    ----------
    chosen
        Signal with the number of the section that was asked for.
    """

    chosen = Signal(int)

    def __init__(self, titles: Sequence[str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.tabs = QTabBar()
        self.tabs.setObjectName("sections")
        self.tabs.setDrawBase(False)
        self.tabs.setExpanding(False)
        self.tabs.setUsesScrollButtons(True)
        self.tabs.setElideMode(Qt.TextElideMode.ElideNone)
        self.tabs.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(20, 0, 20, 0)
        self._row.setSpacing(2)
        self._row.addWidget(self.tabs, stretch=1)
        for number, title in enumerate(titles):
            self._add(number, title)
        self._asked = -1
        self.tabs.currentChanged.connect(self._tell)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def choose(self, number: int) -> None:
        """Choose a section; it is told once."""
        self.tabs.setCurrentIndex(number)
        self._tell(number)

    def add_action(self, button: QPushButton) -> None:
        """Place a button at the right end of the row."""
        self._row.addWidget(button)

    def _add(self, number: int, title: str) -> None:
        self.tabs.addTab(title)
        self.tabs.setTabToolTip(number, f"{title} (Ctrl+{number + 1})")
        shortcut = QShortcut(QKeySequence(f"Ctrl+{number + 1}"), self)
        shortcut.setContext(Qt.ShortcutContext.WindowShortcut)
        shortcut.activated.connect(lambda: self.tabs.setCurrentIndex(number))

    def _tell(self, number: int) -> None:
        # A tab bar has a current tab from its first tab on, which nobody asked for.
        if number != self._asked:
            self._asked = number
            self.chosen.emit(number)
