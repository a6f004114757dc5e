"""A shop with a library and a healthy plugin, into whose plugins folder faulty ones are put."""

from __future__ import annotations

import sqlite3
import textwrap
from typing import TYPE_CHECKING

import numpy as np
import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QLabel

from knowngood import paths
from knowngood.api import LogRefused, LogRequest
from knowngood.app import build_window
from knowngood.crash import CrashHandler, Fault
from knowngood.loader.exits import Exits
from knowngood.loader.watchdog import Watchdog
from knowngood.plugin_faults import PluginFaults
from knowngood.scales import System
from knowngood.settings import SettingsFile
from knowngood_refdata.drafts import SessionDraft, VehicleDraft
from knowngood_refdata.queries import sessions, vehicles
from knowngood_refdata.records import Channel, Conditions, Instruments, Recording, Role
from knowngood_refdata.store import Store

from ..approving import approve_all

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.loader import Plugins, PluginStatus
    from knowngood.window import MainWindow

HEAD = """
from knowngood.api import Command, Group, Page, ReportSection, hookimpl

def page(key, factory, title="Rates"):
    return Page(key, title, Group.SHOP, 1, factory)
"""
HEALTHY = """
def make(host):
    from PySide6.QtWidgets import QLabel
    return QLabel("all is well")

@hookimpl
def pages():
    return [page("healthy", make, "Healthy")]

@hookimpl
def commands():
    return [Command("healthy", "", lambda parser: None, lambda desk, options: 0)]

@hookimpl
def report_sections():
    return [ReportSection("Healthy", 1, "all is well")]
"""
LIMIT_S = 0.3


class Shop:
    """The window of a library, with what the program has in place around it."""

    def __init__(self, library: Path, folder: Path, qtbot: QtBot) -> None:
        self.library, self.folder, self._qtbot = library, folder, qtbot
        self.store = Store.open(library, user="Ida Quill")
        self.session = a_session(self.store)
        self.said: list[str] = []
        self.crashes: list[Fault] = []
        self._windows: list[MainWindow] = []
        self._watchdog: Watchdog | None = None
        self.put("healthy.py", HEALTHY)

    def put(self, name: str, body: str, head: str = HEAD) -> Path:
        """Put a plugin into the folder."""
        path = self.folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(head + textwrap.dedent(body), "utf-8")
        return path

    def start(self, *, approved: bool = True) -> MainWindow:
        """Start the program; by default its user has approved all plugins that can be read."""
        if approved:
            approve_all(self.folder)
        self._watchdog = Watchdog(limit_s=LIMIT_S)
        self._exits = Exits(self._watchdog.owners)
        self._exits.install()
        settings = SettingsFile(paths.settings_file())
        window = build_window(self.store, settings, self.folder, System.SI, watchdog=self._watchdog)
        self._windows.append(window)
        self._qtbot.addWidget(window)
        beat = QTimer(window)
        beat.timeout.connect(self._watchdog.beat)
        beat.start(int(LIMIT_S * 100))
        faults = PluginFaults(self.plugins, window)
        faults.told.connect(self.said.append)
        self._crash = CrashHandler(
            paths.crash_folder(), keep=lambda: True, show=self.crashes.append, told=faults.take
        )
        self._crash.install()
        window.show()
        return window

    @property
    def window(self) -> MainWindow:
        """The window."""
        return self._windows[-1]

    @property
    def plugins(self) -> Plugins:
        """Its plugins."""
        assert self.window.host is not None
        return self.window.host.plugins

    def status(self, name: str) -> PluginStatus:
        """What is known about a plugin."""
        return {one.name: one for one in self.plugins.status()}[name]

    def words(self, name: str) -> str:
        """What is told of a plugin, in one text."""
        status = self.status(name)
        return "\n".join([status.reason, *(one.words for one in status.failures)])

    def shown(self, key: str) -> str:
        """The texts of a page, brought to the front."""
        self.window.show_page(key)
        front, widget = self.window.page_in_front()
        assert front == key
        assert widget is not None
        labels = [widget] if isinstance(widget, QLabel) else widget.findChildren(QLabel)
        return "\n".join(one.text() for one in labels if isinstance(one, QLabel))

    def use_everything(self) -> None:
        """Ask all plugins for all they bring, and show their pages."""
        for key in self.window.page_keys:
            if key.startswith("bad"):
                self.window.show_page(key)
        self.plugins.commands()
        self.plugins.spec_fields()
        self.plugins.derived_channels("R-134a")
        self.plugins.log_readers()
        request = LogRequest(self.folder / "none.csv", None, "R-134a", Conditions(), Instruments(), {})
        with pytest.raises(LogRefused):
            self.plugins.import_log(self.store, request)
        self.plugins.report_sections(self.store, self.session, System.SI)
        self.plugins.session_checks(self.store, self.session)
        self.plugins.explanations()
        self.plugins.measurements()
        self.plugins.settings()

    def goes_on(self) -> None:
        """Hold that the program runs, other plugins work, and the library is whole."""
        assert self.window.isVisible()
        assert self.shown("healthy") == "all is well"
        assert "healthy" in [one.name for one in self.plugins.commands()]
        sections = self.plugins.report_sections(self.store, self.session, System.SI)
        assert "all is well" in [one.html for one in sections]
        assert self.status("healthy").failures == ()
        assert {one.name for one in self.plugins.status() if one.built_in and one.failures} == set()
        assert self.crashes == []
        number = vehicles.add_vehicle(self.store, VehicleDraft("Tarn", "Skerry", "1.6 petrol", 2021))
        assert vehicles.vehicle(self.store, number).make == "Tarn"
        self.library_is_whole()

    def library_is_whole(self) -> None:
        """Hold that the library passes its integrity check."""
        with sqlite3.connect(self.library) as library:
            assert library.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            assert library.execute("PRAGMA foreign_key_check").fetchall() == []
        library.close()

    def listed(self) -> str:
        """The texts of the Plugins page."""
        return self.shown("plugins")

    def close(self) -> None:
        """End the program."""
        if self._windows and self._watchdog is not None:
            self._exits.remove()
            self._crash.remove()
            self.window.close()
            self._watchdog.close()
            self.plugins.close()
            self._watchdog = None

    def end(self) -> None:
        """End the program and close the library."""
        self.close()
        self.store.close()


@pytest.fixture
def shop(library_file: Path, tmp_path: Path, qtbot: QtBot) -> Iterator[Shop]:
    folder = tmp_path / "plugins"
    folder.mkdir()
    made = Shop(library_file, folder, qtbot)
    yield made
    made.end()


def a_session(store: Store) -> int:
    """The number of a stored session of a second."""
    vehicle = vehicles.add_vehicle(store, VehicleDraft("Moor", "Gill", "", 2020))
    channel = Channel("P1", Role.LOW_SIDE, "bar", True, np.array([2.1, 2.2]))
    draft = SessionDraft(vehicle, "as found", "R-134a", "gill.csv")
    return sessions.save(store, draft, Recording(np.array([0.0, 1.0]), (channel,)), b"time,P1\n")
