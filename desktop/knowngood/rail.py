"""The left rail: pages in their groups, by mouse and by keyboard."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QFrame, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.api import Page

_SHORTCUTS = 9
_STEPS: dict[int, int] = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}


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
        self._shortcuts: list[QShortcut] = []
        brand = QLabel("Knowngood")
        brand.setObjectName("brand")
        # Shops add pages, and screens are low: the entries scroll before the window outgrows the screen.
        self._frame = QScrollArea()
        self._frame.setObjectName("rail")
        self._frame.setWidgetResizable(True)
        self._frame.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._frame.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 8, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(brand)
        whole.addWidget(self._frame, 1)
        self.set_pages(pages)

    def set_pages(self, pages: Sequence[Page]) -> None:
        """List these pages in the place of those before."""
        for shortcut in self._shortcuts:
            shortcut.deleteLater()
        self._shortcuts.clear()
        self._buttons.clear()
        sheet = QWidget()
        sheet.setObjectName("rail")
        layout = QVBoxLayout(sheet)
        layout.setContentsMargins(10, 0, 10, 8)
        layout.setSpacing(1)
        for group, members in groupby(pages, key=lambda page: page.group):
            head = QLabel(group.upper())
            head.setObjectName("railHead")
            layout.addWidget(head)
            for page in members:
                layout.addWidget(self._entry(page))
        layout.addStretch(1)
        former = self._frame.takeWidget()
        if former is not None:
            former.deleteLater()
        self._frame.setWidget(sheet)

    def choose(self, key: str) -> None:
        """Mark a page as the one in front."""
        for name, button in self._buttons.items():
            button.setChecked(name == key)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Move between entries with the arrow keys; a button alone would hand the focus to the page."""
        buttons = list(self._buttons.values())
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress and watched in buttons:
            step = _STEPS.get(event.key())
            if step is not None:
                target = buttons[(buttons.index(watched) + step) % len(buttons)]
                target.setFocus(Qt.FocusReason.TabFocusReason)
                self._frame.ensureWidgetVisible(target)
                return True
        return super().eventFilter(watched, event)

    def _entry(self, page: Page) -> QPushButton:
        button = QPushButton(page.title.replace("&", "&&"))
        button.setObjectName("railEntry")
        # Outside a dialog a button answers Enter only when it could be a default one.
        button.setAutoDefault(True)
        button.setCheckable(True)
        button.setAccessibleName(f"{page.title}, {page.group}")
        # A second click on the page in front must not uncheck it.
        button.clicked.connect(lambda: self._click(page.key))
        number = len(self._buttons) + 1
        if number <= _SHORTCUTS:
            shortcut = QShortcut(QKeySequence(f"Ctrl+{number}"), self)
            shortcut.setContext(Qt.ShortcutContext.WindowShortcut)
            shortcut.activated.connect(lambda: self._click(page.key))
            self._shortcuts.append(shortcut)
            button.setToolTip(f"Ctrl+{number}")
        button.installEventFilter(self)
        self._buttons[page.key] = button
        return button

    def _click(self, key: str) -> None:
        self.choose(key)
        self.chosen.emit(key)
