"""The Plugins page: what waits, what runs, what failed, and what can be decided there."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel, QPlainTextEdit, QPushButton, QWidget

from knowngood import paths
from knowngood.app import build_window
from knowngood.loader import Gate, State
from knowngood.pages.plugin_card import PluginCard
from knowngood.pages.plugins_page import PluginsPage
from knowngood.scales import System
from knowngood.settings import SettingsFile
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.window import MainWindow

TALLIES = '''"""Counts <b>the cars</b> of a depot."""

__version__ = "0.3"
__author__ = "Ida Quill"
API_VERSION = 1

from knowngood.api import Group, Page, hookimpl

def make(host):
    from PySide6.QtWidgets import QLabel
    return QLabel("four cars")

@hookimpl
def pages():
    return [Page("tallies", "Tallies", Group.SHOP, 1, make)]
'''


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "plugins"
    folder.mkdir()
    (folder / "tallies.py").write_text(TALLIES)
    return folder


@pytest.fixture
def window(library_file: Path, folder: Path, qtbot: QtBot) -> Iterator[MainWindow]:
    store = Store.open(library_file, user="Ida Quill")
    made = build_window(store, SettingsFile(paths.settings_file()), folder, System.SI)
    qtbot.addWidget(made)
    made.show()
    made.show_page("plugins")
    yield made
    made.close()
    assert made.host is not None
    made.host.plugins.close()
    store.close()


def sheet(window: MainWindow) -> QWidget:
    found = page(window).widget()
    assert found is not None
    return found


def page(window: MainWindow) -> PluginsPage:
    found = window.page_in_front()[1]
    assert isinstance(found, PluginsPage)
    return found


def card(window: MainWindow, name: str) -> PluginCard:
    (found,) = [one for one in sheet(window).findChildren(PluginCard) if one._status.name == name]
    return found


def texts(widget: QWidget) -> str:
    return "\n".join(one.text() for one in widget.findChildren(QLabel))


def buttons(widget: QWidget) -> dict[str, QPushButton]:
    return {one.text(): one for one in widget.findChildren(QPushButton)}


def state(window: MainWindow, name: str = "tallies") -> State:
    assert window.host is not None
    return {one.name: one.state for one in window.host.plugins.status()}[name]


def test_a_waiting_plugin_stands_first_with_what_it_is_where_it_lies_and_its_hash(
    window: MainWindow, folder: Path
) -> None:
    first = sheet(window).findChildren(PluginCard)[0]
    shown = texts(first)
    assert window.host is not None
    (status,) = [one for one in window.host.plugins.status() if one.name == "tallies"]
    assert status.about is not None
    for told in (
        "tallies 0.3",
        "waiting for approval",
        "Counts <b>the cars</b> of a depot.",
        "Ida Quill",
        str(folder / "tallies.py"),
        "version 1 of the plugin API",
        status.about.sha256,
        "Nothing of it has run.",
    ):
        assert told in shown
    assert all(one.textFormat() is Qt.TextFormat.PlainText for one in first.findChildren(QLabel))
    assert "tallies" not in window.page_keys


def test_approving_brings_its_page_to_the_rail_at_once_and_switching_off_takes_it_away(
    window: MainWindow,
) -> None:
    buttons(card(window, "tallies"))["Approve and run"].click()
    assert state(window) is State.RUNNING
    assert window.page_in_front()[0] == "plugins"
    window.show_page("tallies")
    widget = window.page_in_front()[1]
    assert isinstance(widget, QLabel)
    assert widget.text() == "four cars"
    window.show_page("plugins")
    assert "Brings page Tallies." in texts(card(window, "tallies"))
    buttons(card(window, "tallies"))["Switch off"].click()
    assert "tallies" not in window.page_keys
    assert state(window) is State.OFF
    buttons(card(window, "tallies"))["Switch on"].click()
    assert "tallies" in window.page_keys


def test_a_refused_plugin_can_be_approved_after_all(window: MainWindow) -> None:
    buttons(card(window, "tallies"))["Refuse"].click()
    assert state(window) is State.REFUSED
    assert "refused it on" in texts(card(window, "tallies"))
    buttons(card(window, "tallies"))["Approve and run"].click()
    assert state(window) is State.RUNNING


def test_it_can_be_approved_by_keyboard_alone(window: MainWindow, qtbot: QtBot) -> None:
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    button = buttons(card(window, "tallies"))["Approve and run"]
    button.setFocus(Qt.FocusReason.TabFocusReason)
    QTest.keyClick(button, Qt.Key.Key_Return)
    assert state(window) is State.RUNNING
    qtbot.wait(10)


def test_what_changed_since_it_was_shown_is_shown_anew(window: MainWindow, folder: Path) -> None:
    (folder / "tallies.py").write_text(TALLIES + "\n# changed\n")
    buttons(card(window, "tallies"))["Approve and run"].click()
    assert state(window) is State.WAITING
    assert "changed while you decided" in texts(card(window, "tallies"))


def test_a_plugin_put_there_meanwhile_is_found_without_a_new_start(window: MainWindow, folder: Path) -> None:
    (folder / "later.py").write_text(TALLIES)
    buttons(page(window))["Look for new plugins"].click()
    assert "waiting for approval" in texts(card(window, "later"))


def test_a_failed_plugin_shows_its_traceback_and_is_loaded_again_when_it_is_mended(
    window: MainWindow, folder: Path
) -> None:
    (folder / "broken.py").write_text("1 / 0")
    buttons(page(window))["Look for new plugins"].click()
    buttons(card(window, "broken"))["Approve and run"].click()
    broken = card(window, "broken")
    assert "Failed while loading: ZeroDivisionError: division by zero." in texts(broken)
    (view,) = broken.findChildren(QPlainTextEdit)
    assert "1 / 0" in view.toPlainText()
    buttons(broken)["Copy the traceback"].click()
    assert QGuiApplication.clipboard().text().startswith("broken, loading: ZeroDivisionError")
    (folder / "broken.py").write_text(TALLIES.replace('"tallies"', '"mended"'))
    buttons(broken)["Load again"].click()
    assert state(window, "broken") is State.WAITING
    buttons(card(window, "broken"))["Approve and run"].click()
    assert "mended" in window.page_keys


def test_a_slow_plugin_is_named_with_its_cost(window: MainWindow, folder: Path) -> None:
    (folder / "slow.py").write_text(
        "import time\ntime.sleep(0.05)\n" + TALLIES.replace('"tallies"', '"slow"')
    )
    buttons(page(window))["Look for new plugins"].click()
    buttons(card(window, "slow"))["Approve and run"].click()
    shown = texts(card(window, "slow"))
    assert "ms to the start; a plugin that imports what it needs only when it is needed" in shown
    assert "Time: loading " in shown
    buttons(card(window, "tallies"))["Approve and run"].click()
    assert "to the start" not in texts(card(window, "tallies"))


def test_under_a_policy_nothing_is_offered_and_it_says_why(
    library_file: Path, folder: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    policy = library_file.with_name("plugin-policy.toml")
    policy.write_text("only = []")
    store = Store.open(library_file)
    window = build_window(store, SettingsFile(paths.settings_file()), folder, System.SI)
    qtbot.addWidget(window)
    window.show()
    window.show_page("plugins")
    tallies = card(window, "tallies")
    assert f"The policy {policy} does not list it." in texts(tallies)
    assert buttons(tallies) == {}
    window.close()
    store.close()


def test_in_safe_mode_the_page_says_so(library_file: Path, folder: Path, qtbot: QtBot) -> None:
    store = Store.open(library_file)
    settings = SettingsFile(paths.settings_file())
    window = build_window(store, settings, folder, System.SI, gate=Gate(safe=True))
    qtbot.addWidget(window)
    window.show()
    window.show_page("plugins")
    assert "Safe mode" in texts(page(window))
    assert "In safe mode only the program's own plugins run." in texts(card(window, "tallies"))
    window.close()
    store.close()
