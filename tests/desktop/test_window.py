"""The main window: rail, pages made at their first click, top bar, running work, failing pages."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel, QPushButton, QWidget

from knowngood import paths
from knowngood.api import Group, Page
from knowngood.app import build_window, take_in_hand
from knowngood.scales import System
from knowngood.settings import SettingsFile
from knowngood.topbar import TopBar, conditions_line, spec_line
from knowngood_refdata.drafts import SpecDraft, VehicleDraft
from knowngood_refdata.queries import vehicles
from knowngood_refdata.records import AirSource, Conditions, SourceKind
from knowngood_refdata.store import Store

from .approving import approve_all

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.host import WindowHost
    from knowngood.window import MainWindow

LABEL = SourceKind.UNDER_HOOD_LABEL
SKERRY = VehicleDraft(
    "Tarn",
    "Skerry",
    "1.6 petrol",
    2021,
    2023,
    specs=(
        SpecDraft("charge", 0.47, "470 ± 15 g", LABEL, "label of car 3", 0.015),
        SpecDraft("refrigerant", None, "R-1234yf", LABEL, "label of car 3"),
        SpecDraft("fan", None, "two-stage fan", SourceKind.SERVICE_INFORMATION, "workshop data"),
    ),
)
RAISES = """
from knowngood.api import Group, Page, hookimpl

def make(host):
    raise RuntimeError("no such gauge")

@hookimpl
def pages():
    return [Page("broken", "Broken page", Group.SHOP, 1, make)]
"""


@pytest.fixture
def store(library_file: Path) -> Iterator[Store]:
    opened = Store.open(library_file, user="Ada Fell")
    yield opened
    opened.close()


@pytest.fixture
def plugins_folder(tmp_path: Path) -> Path:
    folder = tmp_path / "plugins"
    folder.mkdir()
    return folder


@pytest.fixture
def window(store: Store, plugins_folder: Path, qtbot: QtBot) -> Iterator[MainWindow]:
    made = build_window(store, SettingsFile(paths.settings_file()), plugins_folder, System.SI)
    qtbot.addWidget(made)
    yield made
    made.close()
    host_of(made).plugins.close()


def host_of(window: MainWindow) -> WindowHost:
    assert window.host is not None
    return window.host


def top_bar(window: MainWindow) -> TopBar:
    return window.findChildren(TopBar)[0]


def texts(widget: QWidget) -> str:
    return "\n".join(one.text() for one in widget.findChildren(QLabel))


def test_every_page_of_the_built_in_plugins_stands_on_the_rail(window: MainWindow) -> None:
    expected = {"sessions", "checkup", "specs", "calculator", "plugins", "settings"}
    assert expected <= set(window.page_keys)


def test_the_rail_keeps_the_order_of_its_groups(window: MainWindow) -> None:
    groups = [window._pages[key].group for key in window.page_keys]
    assert groups == sorted(groups, key=list(Group).index)


def test_a_page_is_made_at_its_first_click_and_only_once(window: MainWindow) -> None:
    made: list[object] = []

    def factory(host: object) -> QWidget:
        made.append(host)
        return QWidget()

    host = host_of(window)
    window.attach(host, [Page("late", "Late", Group.SHOP, 1, factory)])
    assert made == []
    window.show_page("late")
    window.show_page("late")
    assert made == [host]


def test_every_page_can_be_made_on_an_empty_library(window: MainWindow) -> None:
    window.show()
    for key in window.page_keys:
        window.show_page(key)
        assert window.page_in_front()[0] == key
    failures = [one for one in host_of(window).plugins.status() if one.failure is not None]
    assert failures == []


def test_a_page_that_raises_says_so_in_its_place_and_others_go_on(
    store: Store, plugins_folder: Path, qtbot: QtBot
) -> None:
    (plugins_folder / "wobbly.py").write_text(RAISES)
    approve_all(plugins_folder)
    window = build_window(store, SettingsFile(paths.settings_file()), plugins_folder)
    qtbot.addWidget(window)
    window.show()
    window.show_page("broken")
    failed = window.page_in_front()[1]
    assert failed is not None
    assert "no such gauge" in texts(failed)
    window.show_page("plugins")
    listed = window.page_in_front()[1]
    assert listed is not None
    assert "no such gauge" in texts(listed)
    copy = next(one for one in listed.findChildren(QPushButton) if one.text() == "Copy the traceback")
    copy.click()
    assert 'RuntimeError("no such gauge")' in QGuiApplication.clipboard().text()
    window.show_page("settings")
    assert window.page_in_front()[0] == "settings"
    window.close()
    host_of(window).plugins.close()


def test_ctrl_and_a_number_bring_a_page_to_the_front(window: MainWindow, qtbot: QtBot) -> None:
    window.show()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    QTest.keyClick(window, Qt.Key.Key_2, Qt.KeyboardModifier.ControlModifier)
    assert window.page_in_front()[0] == window.page_keys[1]


def test_the_top_bar_follows_the_vehicle_in_hand(window: MainWindow, store: Store) -> None:
    number = vehicles.add_vehicle(store, SKERRY)
    bar = top_bar(window)
    assert "No vehicle in hand" in texts(bar)
    take_in_hand(host_of(window), number, None)
    assert bar._vehicle.full_text == "Tarn Skerry 1.6 petrol, 2021–23"
    assert "R-1234yf  470 ± 15 g (under-hood label)" in bar._spec.full_text


def test_a_number_that_the_library_does_not_hold_is_told(window: MainWindow) -> None:
    take_in_hand(host_of(window), 99, None)
    assert "no vehicle number 99" in window.statusBar().currentMessage()


def test_a_vehicle_without_a_charge_says_that_it_has_none(store: Store) -> None:
    number = vehicles.add_vehicle(store, VehicleDraft("Tarn", "Rill", "", 2022))
    assert "charge weight not on record" in spec_line(vehicles.vehicle(store, number))


def test_the_conditions_are_written_in_the_units_shown(window: MainWindow) -> None:
    units = host_of(window).units
    conditions = Conditions(
        ambient_k=304.65, relative_humidity=0.48, altitude_m=240.0, air_source=AirSource.RECIRCULATION
    )
    assert conditions_line(conditions, units) == "31.5 °C, 48 % RH, 240 m, recirculation"
    units.set_system(System.US)
    assert conditions_line(conditions, units) == "88.7 °F, 48 % RH, 787 ft, recirculation"
    assert conditions_line(Conditions(), units) == "conditions not recorded"


def test_the_unit_switch_is_remembered(window: MainWindow) -> None:
    bar = top_bar(window)
    bar._buttons[System.US].click()
    assert host_of(window).units.system is System.US
    assert SettingsFile(paths.settings_file()).now.units is System.US


def test_running_work_is_shown_and_can_be_cancelled(window: MainWindow, qtbot: QtBot) -> None:
    began = threading.Event()

    def work(progress: object) -> None:
        assert callable(progress)
        while True:
            began.set()
            progress(0.5, "half way")

    task = host_of(window).tasks.run("Counting", work)
    window.show()
    qtbot.waitUntil(began.is_set)
    cancel = next(one for one in window.findChildren(QPushButton) if one.text() == "Cancel")
    with qtbot.waitSignal(task.ended):
        cancel.click()
    assert str(task.state) == "cancelled"


def test_closing_remembers_the_page_in_front(window: MainWindow) -> None:
    window.show_page("settings")
    window.close()
    kept = SettingsFile(paths.settings_file()).now
    assert kept.last_page == "settings"
    assert kept.window


def test_a_name_typed_in_settings_is_kept(window: MainWindow, qtbot: QtBot) -> None:
    window.show()
    window.show_page("settings")
    page = window.page_in_front()[1]
    field = page._user  # type: ignore[union-attr]
    QTest.keyClicks(field, "Ida Quill")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert host_of(window).user() == "Ida Quill"
    assert SettingsFile(paths.settings_file()).now.user == "Ida Quill"
