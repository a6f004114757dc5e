"""The dialogs that an import opens, and what stands in them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QLabel

if TYPE_CHECKING:
    from pathlib import Path

    from PySide6.QtWidgets import QWidget
    from pytestqt.qtbot import QtBot

    from knowngood_sessions.panels.importer import LogImport
    from knowngood_sessions.panels.mapping_dialog import MappingDialog


def opened(importer: LogImport, path: Path, qtbot: QtBot) -> MappingDialog:
    importer.start(path)
    return next_dialog(importer, qtbot)


def next_dialog(importer: LogImport, qtbot: QtBot) -> MappingDialog:
    qtbot.waitUntil(lambda: importer.dialog is not None, timeout=10_000)
    assert importer.dialog is not None
    return importer.dialog


def told(dialog: QWidget) -> str:
    return " ".join(one.text() for one in dialog.findChildren(QLabel))
