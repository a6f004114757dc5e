"""The plugins: what each one brings, what it costs, and how it failed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QPlainTextEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from knowngood.widgets import Card

if TYPE_CHECKING:
    from pathlib import Path

    from PySide6.QtGui import QShowEvent

    from knowngood.loader import Plugins, PluginStatus


class PluginsPage(QScrollArea):
    """A card a plugin; failed ones first, with their traceback and a button that copies it."""

    def __init__(self, plugins: Plugins, folder: Path, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._plugins, self._folder = plugins, folder
        self.setWidgetResizable(True)

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Write the list anew: a plugin may have failed since."""
        self.refresh()
        super().showEvent(event)

    def refresh(self) -> None:
        """Show the plugins as they are now."""
        sheet = QWidget()
        sheet.setObjectName("page")
        layout = QVBoxLayout(sheet)
        layout.setContentsMargins(20, 18, 20, 18)
        layout.setSpacing(12)
        layout.addWidget(_head(self._folder))
        for status in sorted(self._plugins.status(), key=lambda one: (one.failure is None, one.name)):
            layout.addWidget(plugin_card(status))
        layout.addStretch(1)
        self.setWidget(sheet)


def plugin_card(status: PluginStatus) -> Card:
    """What is known about one plugin."""
    version = f" {status.version}" if status.version else ""
    cost = f"{status.loaded_ms:.0f} ms to load, {status.called_ms:.0f} ms since"
    card = Card(f"{status.name}{version}", f"{status.origin}: {status.place}   \N{MIDDLE DOT}   {cost}")
    brings = ", ".join(status.contributions) or "nothing so far"
    card.body.addWidget(_plain(f"Brings {brings}."))
    for failure in status.failures:
        words = _plain(f"Failed while {failure.during}: {failure.words}. Other plugins are not affected.")
        words.setObjectName("problem")
        card.body.addWidget(words)
        card.body.addWidget(_traceback(failure.traceback))
        copy = QPushButton("Copy the traceback")
        text = f"{status.name}{version}, {failure}\n{failure.traceback}"
        copy.clicked.connect(lambda _checked=False, text=text: QGuiApplication.clipboard().setText(text))
        row = QHBoxLayout()
        row.addWidget(copy)
        row.addStretch(1)
        card.body.addLayout(row)
    return card


def _head(folder: Path) -> Card:
    card = Card("Plugins", "A plugin that fails loses its own pages alone; the reason stands here.")
    card.body.addWidget(
        _plain(
            f"Put a plugin's folder or file into {folder} and start again to load it. "
            "A plugin is a program: use only those whose author you trust."
        )
    )
    return card


def _plain(text: str) -> QLabel:
    label = QLabel(text)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label


def _traceback(text: str) -> QPlainTextEdit:
    view = QPlainTextEdit(text)
    view.setReadOnly(True)
    view.setTabChangesFocus(True)
    view.setMaximumHeight(150)
    view.setAccessibleName("traceback")
    return view
