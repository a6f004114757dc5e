"""The rail by keyboard."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QPushButton, QWidget

from knowngood.api import Group, Page
from knowngood.rail import Rail

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

PAGES = [
    Page("plotter", "Session plotter", Group.BENCH, 1, lambda _host: QWidget()),
    Page("specs", "Specs & labels", Group.LIBRARY, 1, lambda _host: QWidget()),
    Page("settings", "Settings", Group.SHOP, 1, lambda _host: QWidget()),
]


@pytest.fixture
def rail(qtbot: QtBot) -> Rail:
    made = Rail(PAGES)
    qtbot.addWidget(made)
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    return made


def focused() -> str:
    button = QApplication.focusWidget()
    assert isinstance(button, QPushButton)
    return button.text()


def press(key: Qt.Key) -> None:
    widget = QApplication.focusWidget()
    assert widget is not None
    QTest.keyClick(widget, key)


def test_the_arrow_keys_go_up_and_down_and_around(rail: Rail) -> None:
    rail._buttons["plotter"].setFocus()
    press(Qt.Key.Key_Down)
    assert focused() == "Specs && labels"
    press(Qt.Key.Key_Down)
    press(Qt.Key.Key_Down)
    assert focused() == "Session plotter"
    press(Qt.Key.Key_Up)
    assert focused() == "Settings"


@pytest.mark.parametrize("key", [Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space])
def test_enter_and_space_choose_the_entry_with_the_focus(rail: Rail, qtbot: QtBot, key: Qt.Key) -> None:
    rail._buttons["settings"].setFocus()
    with qtbot.waitSignal(rail.chosen) as chosen:
        press(key)
    assert chosen.args == ["settings"]


def test_a_second_click_leaves_the_page_marked(rail: Rail) -> None:
    for _ in range(2):
        rail._buttons["specs"].click()
    assert [key for key, one in rail._buttons.items() if one.isChecked()] == ["specs"]


def test_pages_stand_under_the_heads_of_their_groups(rail: Rail) -> None:
    heads = [one.text() for one in rail.findChildren(QLabel) if one.objectName() == "railHead"]
    assert heads == ["BENCH", "LIBRARY", "SHOP"]


def test_many_pages_scroll_and_the_one_with_the_focus_is_in_view(qtbot: QtBot) -> None:
    many = [
        Page(f"p{number}", f"Page {number}", Group.SHOP, number, PAGES[0].factory) for number in range(30)
    ]
    rail = Rail(many)
    qtbot.addWidget(rail)
    rail.resize(200, 300)
    rail.show()
    rail.activateWindow()
    qtbot.waitUntil(rail.isActiveWindow)
    assert rail.minimumSizeHint().height() < 300
    rail._buttons["p0"].setFocus()
    press(Qt.Key.Key_Up)
    assert focused() == "Page 29"
    last = rail._buttons["p29"]
    assert rail.rect().contains(last.mapTo(rail, last.rect().center()))
