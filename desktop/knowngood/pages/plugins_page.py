"""The plugins: who may run, what each one brings, what it costs, and how it failed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget

from knowngood.loader import State, find_sources
from knowngood.pages.kept_tables_card import KeptTablesCard
from knowngood.pages.plugin_card import PluginCard, plain
from knowngood.widgets import Card

if TYPE_CHECKING:
    from pathlib import Path

    from PySide6.QtGui import QShowEvent

    from knowngood.loader import Plugins, PluginStatus
    from knowngood_refdata.store import Store

_FIRST = (State.WAITING, State.FAILED)


class PluginsPage(QScrollArea):
    """A card a plugin: those that wait for a decision first, then those that failed."""

    def __init__(
        self, plugins: Plugins, folder: Path, store: Store | None = None, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._store = store
        self._plugins, self._folder = plugins, folder
        self.setWidgetResizable(True)

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Write the list anew: a plugin may have failed since."""
        self.refresh()
        super().showEvent(event)

    def renew(self) -> None:
        """Write the list anew where it is seen."""
        if self.isVisible():
            self.refresh()

    def refresh(self) -> None:
        """Show the plugins as they are now."""
        sheet = QWidget()
        sheet.setObjectName("page")
        layout = QVBoxLayout(sheet)
        layout.setContentsMargins(20, 18, 20, 18)
        layout.setSpacing(12)
        found = self._plugins.status()
        layout.addWidget(self._head(found))
        for status in sorted(found, key=_rank):
            card = PluginCard(status)
            card.approved.connect(lambda name, sha256: self._do(self._plugins.approve, name, sha256))
            card.refused.connect(lambda name, sha256: self._do(self._plugins.refuse, name, sha256))
            card.enabled.connect(lambda name: self._do(self._plugins.enable, name))
            card.disabled.connect(lambda name: self._do(self._plugins.disable, name))
            layout.addWidget(card)
        if self._store is not None:
            layout.addWidget(KeptTablesCard(self._store, found))
        layout.addStretch(1)
        self._put(sheet)

    def _put(self, sheet: QWidget) -> None:
        height = self.verticalScrollBar().value()
        # The button that was clicked lies on the former sheet: it must outlive its own click.
        former = self.takeWidget()
        if former is not None:
            former.deleteLater()
        self.setWidget(sheet)
        QTimer.singleShot(0, self, lambda: self.verticalScrollBar().setValue(height))

    def _do(self, what: object, *arguments: str) -> None:
        assert callable(what)
        what(*arguments)
        self.refresh()

    def _look_again(self) -> None:
        self._plugins.take(find_sources(self._folder))
        self.refresh()

    def _head(self, found: tuple[PluginStatus, ...]) -> Card:
        card = Card("Plugins", summary(found))
        if self._plugins.safe:
            notice = plain(
                "Safe mode: only the program's own plugins run. Start again without it to use the others."
            )
            notice.setObjectName("notice")
            card.body.addWidget(notice)
        card.body.addWidget(
            plain(
                f"Put a plugin's folder, file or zip file into {self._folder}. A plugin is a program: it can "
                "do all that you can do on this computer. Approve only those whose author you trust."
            )
        )
        again = QPushButton("Look for new plugins")
        again.clicked.connect(self._look_again)
        row = QHBoxLayout()
        row.addWidget(again)
        row.addStretch(1)
        card.body.addLayout(row)
        return card


def summary(found: tuple[PluginStatus, ...]) -> str:
    """How many plugins there are in each state, in a line."""
    counted = {state: sum(one.state is state for one in found) for state in State}
    broken = sum(one.state is State.RUNNING and one.failure is not None for one in found)
    more = {State.RUNNING: f" ({broken} with a failure)" if broken else ""}
    return ", ".join(f"{number} {state}{more.get(state, '')}" for state, number in counted.items() if number)


def _rank(status: PluginStatus) -> tuple[int, bool, bool, str]:
    first = _FIRST.index(status.state) if status.state in _FIRST else len(_FIRST)
    return first, status.failure is None, status.built_in, status.name
