"""From opening the file to the stored session, and on to a mended one, with key presses alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QFileDialog, QMenu, QPushButton

from knowngood_refdata.queries import sessions
from knowngood_refdata.records import Quantity, Role
from knowngood_sessions.panels.plotter import PlotterPage

from .by_keys import ALT, choose, front, in_focus, press, tab_to, type_in

if TYPE_CHECKING:
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood_refdata.records import SessionInfo

    from ..open_host import OpenHost

# Opening a list grabs the keyboard, which the platform of the tests does not do.
pytestmark = pytest.mark.qt_log_ignore("This plugin does not support")

_LOOK_EVERY_MS, _ENOUGH = 20, 200


@pytest.fixture
def page(host: OpenHost, qtbot: QtBot) -> PlotterPage:
    host.bench.take_vehicle(host.add_vehicle())
    made = PlotterPage(host)
    qtbot.addWidget(made)
    made.resize(1080, 720)
    made.show()
    return made


def name_the_file(path: Path) -> None:
    """Type a path into the dialog that asks for files once it has the keyboard, and press Enter."""
    typed = [""]
    left = [_ENOUGH]

    def look() -> None:
        dialog = QApplication.activeModalWidget()
        left[0] -= 1
        if not isinstance(dialog, QFileDialog):
            if not typed[0] and left[0]:
                QTimer.singleShot(_LOOK_EVERY_MS, look)
            return
        if not left[0]:
            dialog.reject()
            return
        if typed[0]:
            QTest.keyClick(in_focus(), Qt.Key.Key_Return)
        elif (widget := QApplication.focusWidget()) is not None and dialog.isAncestorOf(widget):
            typed[0] = str(path)
            type_in(typed[0])
        QTimer.singleShot(_LOOK_EVERY_MS, look)

    QTimer.singleShot(0, look)


def imported(page: PlotterPage, path: Path, qtbot: QtBot) -> SessionInfo:
    """Press *Import log...*, name the file, answer every question as it stands first, and import."""
    front(page, qtbot)
    tab_to(lambda widget: widget is page.bar.import_button)
    name_the_file(path)
    press(Qt.Key.Key_Space)
    importer = page.dialogs.importer
    qtbot.waitUntil(lambda: importer.dialog is not None, timeout=10_000)
    dialog = importer.dialog
    assert dialog is not None
    front(dialog, qtbot)
    for _ in range(12):
        if not dialog.columns.questions:
            break
        if isinstance(in_focus(), QPushButton):
            press(Qt.Key.Key_Space)
        else:
            press(Qt.Key.Key_Down)
            press(Qt.Key.Key_Down)
            press(Qt.Key.Key_Return)
    press(Qt.Key.Key_A, ALT)
    type_in("88 F")
    with qtbot.waitSignal(importer.imported, timeout=10_000) as told:
        press(Qt.Key.Key_Return)
    assert told.args is not None
    info: SessionInfo = told.args[0]
    return info


def bare(path: Path, data: bytes) -> Path:
    """The same log without a unit in its header, as many loggers write it."""
    head, body = data.decode().split("\n", 1)
    names = [name.split(" (")[0] for name in head.split(",")]
    path.write_text(",".join(names) + "\n" + body)
    return path


def test_a_log_goes_from_the_file_dialog_to_the_stored_session_by_key_presses_alone(
    page: PlotterPage, host: OpenHost, two_plateau_csv: bytes, tmp_path: Path, qtbot: QtBot
) -> None:
    path = bare(tmp_path / "bare.csv", two_plateau_csv)
    info = imported(page, path, qtbot)
    assert host.bench.session == info
    assert info.conditions.ambient_k == pytest.approx(304.26, abs=0.01)
    assert sessions.source(host.store, info.id) == path.read_bytes()
    low = next(one for one in sessions.recording(host.store, info.id).channels if one.role is Role.LOW_SIDE)
    assert (low.unit, low.gauge) == ("psi", True)
    (first, *_) = sessions.findings(host.store, info.id).windows
    # As the file was made: 30 psig with a superheat of 6 °F.
    assert first.values[Quantity.SUPERHEAT].value == pytest.approx(6.0 / 1.8, abs=0.5)


def test_a_wrong_role_is_mended_from_the_menu_to_the_new_findings_by_key_presses_alone(
    page: PlotterPage, host: OpenHost, two_plateau_csv: bytes, tmp_path: Path, qtbot: QtBot
) -> None:
    path = tmp_path / "run.csv"
    path.write_bytes(two_plateau_csv.replace(b"T_suction", b"T_vent"))
    info = imported(page, path, qtbot)
    path.unlink()
    assert Quantity.SUPERHEAT not in sessions.findings(host.store, info.id).windows[0].values
    open_menu(page, qtbot)
    remapping = page.dialogs.remapping
    qtbot.waitUntil(lambda: remapping.dialog is not None, timeout=10_000)
    dialog = remapping.dialog
    assert dialog is not None
    front(dialog, qtbot)
    tab_to(lambda widget: isinstance(widget, QComboBox) and widget.accessibleName() == "T_vent, used as")
    choose("suction")
    press(Qt.Key.Key_R, ALT)
    type_in("the clamp sat on the suction line")
    with qtbot.waitSignal(remapping.mended, timeout=10_000):
        press(Qt.Key.Key_Return)
    found = sessions.findings(host.store, info.id).windows[0].values
    assert found[Quantity.SUPERHEAT].value == pytest.approx(6.0 / 1.8, abs=0.5)


def open_menu(page: PlotterPage, qtbot: QtBot) -> None:
    """Go to *This session* and to what its columns mean, once the session is shown."""
    qtbot.waitUntil(lambda: page.view.session is not None, timeout=10_000)
    front(page, qtbot)
    tab_to(lambda widget: widget is page.bar.session_button)

    def pick() -> None:
        menu = QApplication.activePopupWidget()
        assert isinstance(menu, QMenu)
        entries = [one.text() for one in menu.actions()]
        for _ in range(1 + next(at for at, one in enumerate(entries) if "columns" in one)):
            QTest.keyClick(menu, Qt.Key.Key_Down)
        QTest.keyClick(menu, Qt.Key.Key_Return)

    QTimer.singleShot(50, pick)
    press(Qt.Key.Key_Space)
