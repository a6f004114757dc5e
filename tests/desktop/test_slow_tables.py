"""A window whose plugin takes long to make its tables: it lives meanwhile, and the page comes after."""

from __future__ import annotations

import textwrap
import time
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QLabel

from knowngood import paths
from knowngood.app import build_window
from knowngood.loader import State
from knowngood.settings import SettingsFile
from knowngood_refdata import plugin_tables
from knowngood_refdata.store import Store

from .approving import approve_all

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.window import MainWindow

PLUGIN = """
import time
from knowngood.api import Group, Page, PluginTables, TableStep, hookimpl

def first(op):
    from sqlalchemy import Column, Integer
    op.create_table("depot_unit", Column("id", Integer, primary_key=True))
    {}

def make(host):
    from PySide6.QtWidgets import QLabel
    return QLabel("the depot")

@hookimpl
def pages():
    return [Page("depot", "Depot", Group.SHOP, 1, make)]

@hookimpl
def tables():
    return PluginTables("depot_", (TableStep(1, first),))
"""
SLOW_S = 1.5


@pytest.fixture
def store(address: str) -> Iterator[Store]:
    opened = Store.open(address, user="Ada Fell")
    yield opened
    opened.close()


@pytest.fixture
def opened(store: Store, tmp_path: Path, qtbot: QtBot) -> Iterator[Callable[[str], MainWindow]]:
    """Opens the window with a plugin whose first step does what is given."""
    made: list[MainWindow] = []

    def opened(work: str) -> MainWindow:
        folder = tmp_path / "plugins"
        folder.mkdir()
        (folder / "depot.py").write_text(PLUGIN.format(textwrap.dedent(work)), "utf-8")
        approve_all(folder)
        window = build_window(store, SettingsFile(paths.settings_file()), folder)
        made.append(window)
        qtbot.addWidget(window)
        window.show_page("plugins")
        window.show()
        return window

    yield opened
    for window in made:
        assert window.host is not None
        window.close()
        window.host.plugins.close()


def state(window: MainWindow) -> State:
    assert window.host is not None
    return next(one.state for one in window.host.plugins.status() if one.name == "depot")


def told(window: MainWindow) -> str:
    return "\n".join(one.text() for one in window.findChildren(QLabel) if one.isVisible())


def test_a_slow_step_never_freezes_the_window_and_the_page_comes_after_it(
    opened: Callable[[str], MainWindow], store: Store, qtbot: QtBot
) -> None:
    began = time.perf_counter()
    window = opened(f"time.sleep({SLOW_S})")
    assert time.perf_counter() - began < SLOW_S
    # Building a window takes its own time; from here on it must answer.
    beats = [time.perf_counter()]
    timer = QTimer()
    timer.timeout.connect(lambda: beats.append(time.perf_counter()))
    timer.start(5)
    assert state(window) is State.PREPARING
    assert "depot" not in window.page_keys
    qtbot.wait(100)
    assert "Preparing the tables of the plugin 'depot'" in told(window)
    assert "1 preparing its tables" in told(window)
    with store.reading() as session:
        assert session.connection().exec_driver_sql("SELECT 1").scalar() == 1
    qtbot.waitUntil(lambda: "depot" in window.page_keys)
    timer.stop()
    assert beats[-1] - began > SLOW_S
    assert max(after - before for before, after in pairwise(beats)) < SLOW_S / 2
    assert "preparing" not in told(window)
    window.show_page("depot")
    assert "the depot" in told(window)
    assert [one.rows for one in plugin_tables.kept(store)] == [{"depot_unit": 0}]


def test_a_step_that_fails_is_told_and_the_window_goes_on(
    opened: Callable[[str], MainWindow], store: Store, qtbot: QtBot
) -> None:
    window = opened("raise ValueError('half way')")
    qtbot.waitUntil(lambda: state(window) is State.FAILED)
    assert "ValueError: half way" in window.statusBar().currentMessage()
    assert "ValueError: half way" in told(window)
    assert "depot" not in window.page_keys
    assert "specs" in window.page_keys
    assert plugin_tables.kept(store) == ()


def test_a_window_with_a_step_that_does_not_end_can_be_closed(
    opened: Callable[[str], MainWindow], store: Store, qtbot: QtBot
) -> None:
    window = opened("while True: pass")
    qtbot.wait(50)
    began = time.perf_counter()
    window.close()
    assert time.perf_counter() - began < 5.0
    assert plugin_tables.kept(store) == ()
    with store.writing() as session:
        session.connection().exec_driver_sql("CREATE TABLE depot_unit (id INTEGER)")
