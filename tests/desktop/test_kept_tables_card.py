"""Tables of plugins on the Plugins page: how much they hold, and how they leave."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zipfile import is_zipfile

import pytest
from PySide6.QtWidgets import QLabel, QMessageBox, QPushButton
from sqlalchemy import text

from knowngood import paths
from knowngood.app import build_window
from knowngood.loader import State
from knowngood.pages.kept_tables_card import KeptTablesCard
from knowngood.settings import SettingsFile
from knowngood_refdata import plugin_tables
from knowngood_refdata.store import Store

from .approving import approve_all

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.window import MainWindow

PLUGIN = """
from knowngood.api import PluginTables, TableStep, hookimpl


def first(op):
    from sqlalchemy import Column, Integer, Text

    op.create_table("depot_unit", Column("id", Integer, primary_key=True), Column("name", Text))


@hookimpl
def tables():
    return PluginTables("depot_", (TableStep(1, first),))
"""
QUESTION = "PySide6.QtWidgets.QMessageBox.question"
FILE_NAME = "PySide6.QtWidgets.QFileDialog.getSaveFileName"


@pytest.fixture
def store(library_file: Path) -> Iterator[Store]:
    opened = Store.open(library_file, user="Ada Fell")
    yield opened
    opened.close()


@pytest.fixture
def window(store: Store, tmp_path: Path, qtbot: QtBot) -> Iterator[MainWindow]:
    folder = tmp_path / "plugins"
    folder.mkdir()
    (folder / "depot.py").write_text(PLUGIN, "utf-8")
    approve_all(folder)
    made = build_window(store, SettingsFile(paths.settings_file()), folder)
    qtbot.addWidget(made)
    qtbot.waitUntil(lambda: state(made) is State.RUNNING)
    with store.writing() as session:
        session.execute(text("INSERT INTO depot_unit (id, name) VALUES (1, 'Bus 12')"))
    made.show()
    made.show_page("plugins")
    yield made
    made.close()
    assert made.host is not None
    made.host.plugins.close()


def state(window: MainWindow) -> State:
    assert window.host is not None
    return next(one.state for one in window.host.plugins.status() if one.name == "depot")


def switch_off(window: MainWindow) -> None:
    assert window.host is not None
    window.host.plugins.disable("depot")
    window.show_page("settings")
    window.show_page("plugins")


def card(window: MainWindow) -> KeptTablesCard:
    return window.findChildren(KeptTablesCard)[-1]


def button(window: MainWindow, name: str) -> QPushButton:
    buttons = card(window).findChildren(QPushButton)
    return next(one for one in buttons if one.accessibleName() == name and not one.isHidden())


def said(window: MainWindow) -> str:
    return " ".join(one.text() for one in card(window).findChildren(QLabel) if not one.isHidden())


def test_the_page_says_how_much_a_plugin_keeps(window: MainWindow) -> None:
    assert "depot, step 1: depot_unit (1 row)" in said(window)


def test_tables_of_a_running_plugin_can_be_exported_but_not_removed(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(FILE_NAME, lambda *_: (str(tmp_path / "depot.zip"), ""))
    assert not button(window, "Export and remove... depot").isEnabled()
    assert "Switch the plugin off to remove them." in said(window)
    button(window, "Export... depot").click()
    assert is_zipfile(tmp_path / "depot.zip")
    assert "Exported to" in said(window)


def test_tables_leave_with_an_export_once_the_plugin_is_off(
    window: MainWindow, store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    switch_off(window)
    monkeypatch.setattr(FILE_NAME, lambda *_: (str(tmp_path / "depot.zip"), ""))
    monkeypatch.setattr(QUESTION, lambda *_: QMessageBox.StandardButton.No)
    button(window, "Export and remove... depot").click()
    assert plugin_tables.kept(store)[0].rows == {"depot_unit": 1}
    monkeypatch.setattr(QUESTION, lambda *_: QMessageBox.StandardButton.Yes)
    button(window, "Export and remove... depot").click()
    assert plugin_tables.kept(store) == ()
    assert is_zipfile(tmp_path / "depot.zip")
    assert "were removed" in said(window)


def test_nothing_is_removed_when_the_file_cannot_be_written(
    window: MainWindow, store: Store, tmp_path: Path
) -> None:
    switch_off(window)
    card(window).remove_to("depot", tmp_path / "gone" / "depot.zip")
    assert "cannot be written" in said(window)
    assert plugin_tables.kept(store)[0].rows == {"depot_unit": 1}


def test_a_plugin_switched_on_after_its_tables_were_removed_begins_anew(
    window: MainWindow, store: Store, tmp_path: Path, qtbot: QtBot
) -> None:
    switch_off(window)
    card(window).remove_to("depot", tmp_path / "depot.zip")
    assert window.host is not None
    window.host.plugins.enable("depot")
    assert state(window) is State.PREPARING
    qtbot.waitUntil(lambda: state(window) is State.RUNNING)
    assert plugin_tables.kept(store)[0].rows == {"depot_unit": 0}
