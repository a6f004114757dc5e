"""Settings of plugins on the Settings page: kept at once, and wrong ones refused in words."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QCheckBox, QComboBox, QLabel, QLineEdit, QWidget

from knowngood import paths
from knowngood.app import build_window
from knowngood.pages.plugin_settings_card import PluginSettingsCard
from knowngood.settings import OF_PLUGINS, SettingsFile
from knowngood_refdata.store import Store

from .approving import approve_all

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.host import WindowHost
    from knowngood.window import MainWindow

PLUGIN = """
from knowngood.api import Setting, SettingKind, hookimpl


@hookimpl
def settings():
    return [
        Setting("days", "Remind <b>after</b>", SettingKind.NUMBER, 180, unit="days", least=1.0),
        Setting("body", "Body", SettingKind.CHOICE, "bus", ("bus", "van")),
        Setting("who", "Who", SettingKind.TEXT, "", help="Who looks after the fleet."),
        Setting("on", "Remind", SettingKind.YES_NO, True),
    ]
"""


@pytest.fixture
def window(library_file: Path, tmp_path: Path, qtbot: QtBot) -> Iterator[MainWindow]:
    folder = tmp_path / "plugins"
    folder.mkdir()
    (folder / "depot.py").write_text(PLUGIN, "utf-8")
    approve_all(folder)
    store = Store.open(library_file)
    made = build_window(store, SettingsFile(paths.settings_file()), folder)
    qtbot.addWidget(made)
    made.show()
    made.show_page("settings")
    yield made
    made.close()
    host_of(made).plugins.close()
    store.close()


def host_of(window: MainWindow) -> WindowHost:
    assert window.host is not None
    return window.host


def card(window: MainWindow) -> PluginSettingsCard:
    cards = window.findChildren(PluginSettingsCard)
    return next(one for one in cards if "depot" in " ".join(said(one)))


def said(shown: QWidget) -> list[str]:
    return [one.text() for one in shown.findChildren(QLabel) if not one.isHidden()]


def field(window: MainWindow, name: str, kind: type[QWidget]) -> QWidget:
    return next(one for one in card(window).findChildren(kind) if one.accessibleName() == name)


def line(window: MainWindow, name: str) -> QLineEdit:
    found = field(window, name, QLineEdit)
    assert isinstance(found, QLineEdit)
    return found


def enter(window: MainWindow, name: str, text: str) -> None:
    edit = line(window, name)
    edit.clear()
    QTest.keyClicks(edit, text)
    QTest.keyClick(edit, Qt.Key.Key_Return)


def test_a_plugin_s_settings_stand_under_its_name_with_their_words(window: MainWindow) -> None:
    told = said(card(window))
    assert {"Depot", "Body", "days", "Who looks after the fleet."} <= set(told)
    assert line(window, "Remind <b>after</b>").text() == "180"


def test_what_a_plugin_says_is_shown_as_it_is_and_never_laid_out(window: MainWindow) -> None:
    label = next(one for one in card(window).findChildren(QLabel) if one.text() == "Remind <b>after</b>")
    assert label.textFormat() is Qt.TextFormat.PlainText


def test_a_change_holds_at_once_and_at_the_next_start(window: MainWindow) -> None:
    host = host_of(window)
    enter(window, "Remind <b>after</b>", "90,5")
    enter(window, "Who", "Ida Quill")
    body, on = field(window, "Body", QComboBox), field(window, "Remind", QCheckBox)
    assert isinstance(body, QComboBox)
    QTest.keyClicks(body, "van")
    body.textActivated.emit(body.currentText())
    QTest.keyClick(on, Qt.Key.Key_Space)
    expected = {"days": 90.5, "who": "Ida Quill", "body": "van", "on": False}
    assert {key: host.setting("depot", key) for key in expected} == expected
    assert SettingsFile(paths.settings_file()).of_plugin("depot") == expected


@pytest.mark.parametrize(("text", "words"), [("soon", "A number is wanted"), ("0", "1 or more is wanted")])
def test_a_value_that_does_not_fit_is_told_and_the_former_one_holds(
    window: MainWindow, text: str, words: str
) -> None:
    enter(window, "Remind <b>after</b>", text)
    assert any(one.startswith(words) and "the former value holds" in one for one in said(card(window)))
    assert host_of(window).setting("depot", "days") == 180.0
    enter(window, "Remind <b>after</b>", "30")
    assert not any("the former value holds" in one for one in said(card(window)))


def test_values_stay_while_the_plugin_is_away(window: MainWindow, qtbot: QtBot) -> None:
    host = host_of(window)
    enter(window, "Who", "Ida Quill")
    host.plugins.disable("depot")
    window.show_page("plugins")
    window.show_page("settings")
    qtbot.waitUntil(lambda: any(one.isVisible() for one in window.findChildren(PluginSettingsCard)))
    shown = [one for one in window.findChildren(PluginSettingsCard) if one.isVisible()]
    assert not any("depot" in " ".join(said(one)) for one in shown)
    host.settings.change(shop="Quill Cooling")
    host.plugins.enable("depot")
    assert host.setting("depot", "who") == "Ida Quill"


@pytest.mark.parametrize("content", [[], {"depot": 3}, "text"])
def test_settings_of_plugins_that_cannot_be_read_are_told_and_cost_no_other(
    content: object, tmp_path: Path
) -> None:
    file = tmp_path / "settings.json"
    file.write_text(json.dumps({"user": "Ida Quill", OF_PLUGINS: content}), "utf-8")
    settings = SettingsFile(file)
    assert (settings.now.user, settings.of_plugin("depot")) == ("Ida Quill", {})
    assert settings.messages == ["The settings of plugins cannot be read; the usual values are in use."]
