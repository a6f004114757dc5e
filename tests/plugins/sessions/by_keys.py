"""Keys as a person presses them: to whatever has the keyboard, an open list before all else."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

if TYPE_CHECKING:
    from collections.abc import Callable

    from pytestqt.qtbot import QtBot

ALT = Qt.KeyboardModifier.AltModifier
_NONE = Qt.KeyboardModifier.NoModifier


def in_focus() -> QWidget:
    """The widget that has the keyboard."""
    widget = QApplication.focusWidget()
    assert widget is not None
    return widget


def front(window: QWidget, qtbot: QtBot) -> None:
    """Give a window the keyboard."""
    window.activateWindow()
    qtbot.waitUntil(lambda: window.isActiveWindow() and QApplication.focusWidget() is not None)


def press(key: Qt.Key, modifier: Qt.KeyboardModifier = _NONE) -> None:
    """Press a key where the keyboard is: in the open list or menu, else in the widget in focus."""
    target = QApplication.activePopupWidget() or in_focus()
    QTest.keyClick(_list_in(target) if target.isWindow() else target, key, modifier)
    QCoreApplication.processEvents()


def type_in(text: str) -> None:
    """Type into the widget in focus."""
    QTest.keyClicks(in_focus(), text)
    QCoreApplication.processEvents()


def tab_to(reached: Callable[[QWidget], bool], most: int = 80) -> QWidget:
    """Press Tab until a widget is reached; it is returned."""
    for _ in range(most):
        if reached(in_focus()):
            return in_focus()
        press(Qt.Key.Key_Tab)
    raise AssertionError("Tab does not lead there")


def choose(text: str) -> None:
    """Open the list of the choice in focus, go to an entry by its first letters, take it."""
    press(Qt.Key.Key_Down)
    popup = QApplication.activePopupWidget()
    assert popup is not None
    QTest.keyClicks(_list_in(popup), text)
    press(Qt.Key.Key_Return)


def _list_in(popup: QWidget) -> QWidget:
    """The list that an open choice shows, which takes its keys; a menu takes them itself."""
    inner = popup.findChild(QWidget, "qt_scrollarea_viewport")
    return (inner and inner.parentWidget()) or popup
