"""The tables that plugins keep in the library: how much is in them, and how to take them out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QMessageBox, QPushButton, QVBoxLayout, QWidget

from knowngood.loader import State
from knowngood.pages.plugin_card import plain
from knowngood.widgets import Card
from knowngood_refdata import plugin_tables
from knowngood_refdata.errors import StoreError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from knowngood.loader import PluginStatus
    from knowngood_refdata.plugin_tables import KeptTables
    from knowngood_refdata.store import Store

_ABOUT = (
    "Tables of a plugin stay when it is switched off or gone. They are no part of an exchange file: "
    "export them to take them elsewhere."
)


class KeptTablesCard(Card):
    """A line a plugin; hidden while no plugin has tables. Tables of a running plugin cannot be removed."""

    def __init__(self, store: Store, found: Sequence[PluginStatus], parent: QWidget | None = None) -> None:
        super().__init__("Tables of plugins in the library", _ABOUT, parent)
        self._store = store
        self._in_use = {one.name for one in found if one.state in {State.RUNNING, State.PREPARING}}
        self._rows = QVBoxLayout()
        self._said = plain("")
        self._said.hide()
        self.body.addLayout(self._rows)
        self.body.addWidget(self._said)
        self.refresh()

    def refresh(self) -> None:
        """Show what is there now."""
        while (item := self._rows.takeAt(0)) is not None:
            if (former := item.widget()) is not None:
                former.hide()
                former.deleteLater()
        try:
            kept = plugin_tables.kept(self._store)
        except StoreError as error:
            self._say(str(error))
            return
        for one in kept:
            self._rows.addWidget(self._row(one))
        self.setVisible(bool(kept) or bool(self._said.text()))

    def export_to(self, plugin: str, path: Path) -> None:
        """Write the tables of a plugin to a zip file."""
        self._do(lambda: plugin_tables.export(self._store, plugin, path), f"Exported to {path}.")

    def remove_to(self, plugin: str, path: Path) -> None:
        """Write the tables of a plugin to a zip file and take them out of the library."""
        said = f"The tables of '{plugin}' were removed. What was in them is in {path}."
        self._do(lambda: plugin_tables.remove(self._store, plugin, path), said)

    def _row(self, kept: KeptTables) -> QWidget:
        line = QWidget()
        layout = QHBoxLayout(line)
        layout.setContentsMargins(0, 0, 0, 0)
        in_use = kept.plugin in self._in_use
        hint = ". Switch the plugin off to remove them." if in_use else ""
        layout.addWidget(plain(f"{words(kept)}{hint}"), stretch=1)
        export, remove = QPushButton("Export..."), QPushButton("Export and remove...")
        export.clicked.connect(lambda: self._ask_export(kept.plugin))
        remove.clicked.connect(lambda: self._ask_remove(kept))
        for button in (export, remove):
            button.setAccessibleName(f"{button.text()} {kept.plugin}")
            layout.addWidget(button)
        remove.setEnabled(not in_use)
        return line

    def _ask_export(self, plugin: str) -> None:
        path = self._place(plugin)
        if path is not None:
            self.export_to(plugin, path)

    def _ask_remove(self, kept: KeptTables) -> None:
        question = (
            f"Everything that the plugin '{kept.plugin}' stored in this library is written to a file and "
            "then removed, for everybody who works with this library."
        )
        if QMessageBox.question(self, "Remove tables", question) is not QMessageBox.StandardButton.Yes:
            return
        path = self._place(kept.plugin)
        if path is not None:
            self.remove_to(kept.plugin, path)

    def _place(self, plugin: str) -> Path | None:
        name, _ = QFileDialog.getSaveFileName(
            self, f"Tables of '{plugin}'", f"{plugin}-tables.zip", "Zip files (*.zip)"
        )
        return Path(name) if name else None

    def _do(self, work: Callable[[], None], done: str) -> None:
        try:
            work()
        except StoreError as error:
            self._say(str(error))
        else:
            self._say(done)
        self.refresh()

    def _say(self, text: str) -> None:
        self._said.setText(text)
        self._said.show()
        self.show()


def words(kept: KeptTables) -> str:
    """The tables of a plugin in a line: ``fleet, step 2: fleet_unit (12 rows), fleet_done (1 row)``."""
    told = [f"{name} ({rows:,} {'row' if rows == 1 else 'rows'})" for name, rows in kept.rows.items()]
    return f"{kept.plugin}, step {kept.step}: {', '.join(told) or 'no table left'}"
