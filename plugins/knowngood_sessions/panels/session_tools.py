"""The quiet row of actions above the plots."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal, SignalInstance
from PySide6.QtGui import QAction, QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QMenu, QPushButton, QWidget

from knowngood_refdata.queries.session_marks import KINDS

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood_refdata.records import EventKind

# The plots know the letters A and B themselves: they choose a measuring line.
_KEYS = {"note": "Shift+N", "doors": "Shift+D", "blower": "Shift+B", "air source": "Shift+A"}
_MEASURE_KEY, _WHOLE_KEY = "M", "W"


class SessionTools(QWidget):
    """Actions on what the plots show; each has a key that works while the plots have the focus.

    Attributes
    ----------
    whole_wanted, measuring, editing, ranges
        Signals of the whole session, and of the three switches.
    note_wanted
        Signal with the `EventKind` to be noted at the cursor.
    window_wanted, cut_wanted, split_wanted, picture_wanted, table_wanted
        Signals of the menus.
    """

    whole_wanted = Signal()
    measuring = Signal(bool)
    editing = Signal(bool)
    ranges = Signal(bool)
    note_wanted = Signal(object)
    window_wanted = Signal()
    cut_wanted = Signal()
    split_wanted = Signal()
    picture_wanted = Signal()
    table_wanted = Signal()

    def __init__(self, plot: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(2)
        self._row.addStretch()
        self.whole = self._button("Whole session", f"Show all of the session ({_WHOLE_KEY})")
        self.whole.clicked.connect(self.whole_wanted)
        self.measure = self._switch(
            "Measure", f"Read between two lines that can be moved ({_MEASURE_KEY})", self.measuring
        )
        self.bands = self._switch("Ranges", "Known-good ranges behind the curves", self.ranges)
        self.bands.setChecked(True)
        self._note_menu()
        self._windows_menu()
        self._keep_menu()
        for key, act in ((_MEASURE_KEY, self.measure.toggle), (_WHOLE_KEY, self.whole.click)):
            self._key(plot, key, act)
        for kind in KINDS:
            self._key(plot, _KEYS[kind.value], self._noting(kind))

    def _note_menu(self) -> None:
        menu = self._menu("Note", "Note something at the cursor")
        for kind in KINDS:
            words = "Note" if kind.value == "note" else f"{kind.value[:1].upper()}{kind.value[1:]}"
            self._entry(menu, f"{words} at the cursor... ({_KEYS[kind.value]})", self._noting(kind))

    def _windows_menu(self) -> None:
        menu = self._menu("Windows", "Set steady windows by hand")
        self.edit = QAction("Set in the plots", self)
        self.edit.setCheckable(True)
        self.edit.setToolTip("Drag edges of windows, or drag out a new one")
        self.edit.toggled.connect(self.editing)
        menu.addAction(self.edit)
        self._entry(menu, "Set by its times...", self.window_wanted.emit)

    def _keep_menu(self) -> None:
        menu = self._menu("Keep", "Keep a part, a picture or the samples")
        self._entry(menu, "What is shown, as a session of its own...", self.cut_wanted.emit)
        self._entry(menu, "Split at the cursor...", self.split_wanted.emit)
        menu.addSeparator()
        self._entry(menu, "Picture of the plots...", self.picture_wanted.emit)
        self._entry(menu, "Samples shown as a table (CSV)...", self.table_wanted.emit)

    def _noting(self, kind: EventKind) -> Callable[[], None]:
        return lambda: self.note_wanted.emit(kind)

    def _button(self, text: str, tip: str) -> QPushButton:
        button = QPushButton(text)
        button.setObjectName("link")
        button.setToolTip(tip)
        self._row.addWidget(button)
        return button

    def _switch(self, text: str, tip: str, signal: SignalInstance) -> QPushButton:
        button = self._button(text, tip)
        button.setCheckable(True)
        button.toggled.connect(signal)
        return button

    def _menu(self, text: str, tip: str) -> QMenu:
        button = self._button(text, tip)
        menu = QMenu(button)
        button.setMenu(menu)
        return menu

    def _entry(self, menu: QMenu, text: str, act: Callable[[], None]) -> None:
        action = QAction(text, self)
        action.triggered.connect(lambda _=False: act())
        menu.addAction(action)

    def _key(self, plot: QWidget, key: str, act: Callable[[], None]) -> None:
        shortcut = QShortcut(QKeySequence(key), plot)
        shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        shortcut.activated.connect(act)
