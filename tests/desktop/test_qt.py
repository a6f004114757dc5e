"""The version of Qt that is installed does not have a known fatal fault."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot


def test_ordinary_calls_lose_no_reference_to_none(qtbot: QtBot) -> None:
    # PYSIDE-3474: PySide6 6.12.0 on Python 3.10 and 3.11 loses one a call and dies after thousands.
    widget = QWidget()
    qtbot.addWidget(widget)
    before = sys.getrefcount(None)
    for _ in range(200):
        widget.update()
    assert before - sys.getrefcount(None) < 100
