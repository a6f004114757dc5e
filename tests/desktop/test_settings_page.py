"""The settings page: what is changed there holds at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from knowngood import paths
from knowngood.app import build_window
from knowngood.pages.settings_page import SettingsPage
from knowngood.settings import SettingsFile
from knowngood_refdata.drafts import SpecDraft, VehicleDraft
from knowngood_refdata.queries import vehicles
from knowngood_refdata.records import SourceKind
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.window import MainWindow

LABEL = SpecDraft("charge", 0.47, "470 g", SourceKind.UNDER_HOOD_LABEL, "label")


@pytest.fixture
def window(library_file: Path, tmp_path: Path, qtbot: QtBot) -> Iterator[MainWindow]:
    store = Store.open(library_file, user="account")
    made = build_window(store, SettingsFile(paths.settings_file()), tmp_path / "plugins")
    qtbot.addWidget(made)
    made.show()
    made.show_page("settings")
    yield made
    made.close()
    assert made.host is not None
    made.host.plugins.close()
    store.close()


def page(window: MainWindow) -> SettingsPage:
    _, widget = window.page_in_front()
    assert isinstance(widget, SettingsPage)
    return widget


def enter_name(window: MainWindow, name: str) -> None:
    QTest.keyClicks(page(window)._user, name)
    QTest.keyClick(page(window)._user, Qt.Key.Key_Return)


def test_an_entry_after_a_change_of_name_stands_under_the_new_name(window: MainWindow) -> None:
    host = window.host
    assert host is not None
    enter_name(window, "Ida Quill")
    number = vehicles.add_vehicle(host.store, VehicleDraft("Tarn", "Skerry", "", 2021, specs=(LABEL,)))
    entered = vehicles.vehicle(host.store, number).spec("charge")
    assert entered is not None
    assert entered.entered_by == "Ida Quill"


def test_the_page_asks_for_a_name_until_there_is_one(window: MainWindow) -> None:
    assert page(window)._first.isVisible()
    enter_name(window, "Ida Quill")
    assert not page(window)._first.isVisible()


def test_the_page_does_not_widen_a_small_window(window: MainWindow) -> None:
    window.resize(640, 400)
    assert window.width() <= 640
    assert page(window).width() <= 640
