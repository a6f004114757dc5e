"""The left rail: pages in their groups, by mouse and by keyboard."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QFrame, QLabel, QPushButton, QVBoxLayout, QWidget

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtGui import QKeyEvent

    from knowngood.api import Page

_SHORTCUTS = 9


class Rail(QFrame):
    """Lists pages by group.

    Attributes
    ----------
    chosen
        Signal with the key of the page that the user chose.
    """

    chosen = Signal(str)

    def __init__(self, pages: Sequence[Page], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("rail")
        self.setFixedWidth(200)
        self._buttons: dict[str, QPushButton] = {}
        layout = QVBoxLayout(self)
        layout.setContentsMargins(10, 8, 10, 8)
        layout.setSpacing(1)
        brand = QLabel("Knowngood")
        brand.setObjectName("brand")
        layout.addWidget(brand)
        for group, members in groupby(pages, key=lambda page: page.group):
            head = QLabel(group.upper())
            head.setObjectName("railHead")
            layout.addWidget(head)
            for page in members:
                layout.addWidget(self._entry(page))
        layout.addStretch(1)

    def choose(self, key: str) -> None:
        """Mark a page as the one in front."""
        for name, button in self._buttons.items():
            button.setChecked(name == key)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Move between entries with the arrow keys."""
        step = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}.get(Qt.Key(event.key()))
        buttons = list(self._buttons.values())
        focused = next((index for index, one in enumerate(buttons) if one.hasFocus()), None)
        if step is None or focused is None:
            super().keyPressEvent(event)
            return
        buttons[(focused + step) % len(buttons)].setFocus(Qt.FocusReason.TabFocusReason)

    def _entry(self, page: Page) -> QPushButton:
        button = QPushButton(page.title.replace("&", "&&"))
        button.setObjectName("railEntry")
        button.setCheckable(True)
        button.setAccessibleName(f"{page.title}, {page.group}")
        # A second click on the page in front must not uncheck it.
        button.clicked.connect(lambda: self._click(page.key))
        number = len(self._buttons) + 1
        if number <= _SHORTCUTS:
            shortcut = QShortcut(QKeySequence(f"Ctrl+{number}"), self)
            shortcut.setContext(Qt.ShortcutContext.WindowShortcut)
            shortcut.activated.connect(lambda: self._click(page.key))
            button.setToolTip(f"Ctrl+{number}")
        self._buttons[page.key] = button
        return button

    def _click(self, key: str) -> None:
        self.choose(key)
        self.chosen.emit(key)
