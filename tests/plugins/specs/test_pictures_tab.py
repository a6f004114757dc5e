"""Pictures of a vehicle: added off the GUI thread, named, removed and brought back."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QApplication, QPushButton

from knowngood_refdata.queries import pictures, vehicles
from knowngood_specs.panels.form_dialog import FormDialog
from knowngood_specs.panels.picture_tile import PictureTile
from knowngood_specs.panels.picture_view import PictureView
from knowngood_specs.panels.pictures_tab import PicturesTab
from knowngood_specs.panels.record_forms import RecordForms
from knowngood_specs.panels.unsaved import Unsaved

if TYPE_CHECKING:
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.api import Host

    from ..open_host import OpenHost


@pytest.fixture
def tab(qtbot: QtBot, host: OpenHost, skerry: int) -> PicturesTab:
    program = cast("Host", host)
    forms_window = QPushButton()
    qtbot.addWidget(forms_window)
    forms = RecordForms(program, Unsaved(program), forms_window)
    tab = PicturesTab(program, forms)
    qtbot.addWidget(tab)
    for changed in (tab.changed, forms.changed):
        changed.connect(lambda number: tab.show_vehicle(vehicles.vehicle(host.store, number)))
    tab.resize(700, 600)
    tab.show()
    tab.show_vehicle(vehicles.vehicle(host.store, skerry))
    return tab


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    path = tmp_path / "label.png"
    image = QImage(400, 300, QImage.Format.Format_RGB32)
    image.fill(QColor("#2a6a55"))
    assert image.save(str(path))
    return path


def tiles(tab: PicturesTab) -> list[PictureTile]:
    QApplication.processEvents()
    return [one for one in tab.findChildren(PictureTile) if one.isVisible()]


def added(qtbot: QtBot, tab: PicturesTab, *paths: Path) -> None:
    tab.add(paths)
    qtbot.waitUntil(tab.add_button.isEnabled)


def test_a_photograph_of_the_label_is_kept_and_said_to_be_one(
    qtbot: QtBot, tab: PicturesTab, host: OpenHost, skerry: int, photo: Path
) -> None:
    added(qtbot, tab, photo)
    (kept,) = pictures.pictures(host.store, skerry)
    assert (kept.shows, kept.name, kept.width, kept.added_by) == (
        "under-hood label",
        "label.png",
        400,
        "Ada Fell",
    )
    assert pictures.content(host.store, kept.id) == photo.read_bytes()
    assert len(tiles(tab)) == 1


def test_what_is_no_picture_does_not_keep_the_others_out(
    qtbot: QtBot, tab: PicturesTab, host: OpenHost, skerry: int, photo: Path, tmp_path: Path
) -> None:
    notes = tmp_path / "notes.jpg"
    notes.write_text("charge 500 g", "utf-8")
    added(qtbot, tab, notes, photo, photo)
    assert len(pictures.pictures(host.store, skerry)) == 1
    no_picture, twice = tab.told.text().splitlines()
    assert no_picture.startswith("notes.jpg: The file is no picture")
    assert "has this very picture already" in twice


def test_naming_removing_and_bringing_back_lose_nothing(
    qtbot: QtBot, tab: PicturesTab, host: OpenHost, skerry: int, photo: Path
) -> None:
    added(qtbot, tab, photo)
    tiles(tab)[0].describe.emit("port")
    assert pictures.pictures(host.store, skerry)[0].shows == "port"

    def say_why() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, FormDialog)
        dialog.write({"why": "blurred"})
        dialog.accept()

    (tile,) = tiles(tab)
    QTimer.singleShot(0, say_why)
    tile.remove.emit()
    assert pictures.pictures(host.store, skerry) == ()
    assert tiles(tab) == []
    tab.removed_button.setChecked(True)
    tiles(tab)[0].restore.emit()
    assert [one.name for one in pictures.pictures(host.store, skerry)] == ["label.png"]


def test_a_picture_opens_in_a_window_of_its_own(qtbot: QtBot, tab: PicturesTab, photo: Path) -> None:
    added(qtbot, tab, photo)
    tiles(tab)[0].view.emit()
    qtbot.waitUntil(lambda: bool(tab.findChildren(PictureView)))
    (window,) = tab.findChildren(PictureView)
    assert window.windowTitle() == "under-hood label: label.png"
    window.close()
