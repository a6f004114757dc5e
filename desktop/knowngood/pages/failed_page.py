"""Stands in for a page that could not be made."""

from __future__ import annotations

import traceback
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QLabel, QPlainTextEdit, QPushButton, QVBoxLayout, QWidget

from knowngood.loader import PluginFailed
from knowngood.widgets import Card

if TYPE_CHECKING:
    from knowngood.api import Page


class FailedPage(QWidget):
    """Says which page failed and why; the other pages are not affected."""

    def __init__(self, page: Page, error: Exception, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("page")
        details = error.failure.traceback if isinstance(error, PluginFailed) else _traceback(error)
        card = Card(
            f"The page '{page.title}' could not be made", "The other pages and your library are not affected."
        )
        words = QLabel(f"{error} Send the text below to the plugin's author, or take the plugin away.")
        words.setWordWrap(True)
        card.body.addWidget(words)
        view = QPlainTextEdit(details)
        view.setReadOnly(True)
        view.setTabChangesFocus(True)
        card.body.addWidget(view)
        copy = QPushButton("Copy the traceback")
        copy.clicked.connect(lambda: QGuiApplication.clipboard().setText(details))
        card.body.addWidget(copy, alignment=Qt.AlignmentFlag.AlignLeft)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 18, 20, 18)
        layout.addWidget(card)


def _traceback(error: Exception) -> str:
    return "".join(traceback.format_exception(error))
