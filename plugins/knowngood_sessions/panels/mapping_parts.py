"""A file that holds several logs: which of them are to be imported."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
)

from knowngood.widgets import Card

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QWidget


class PartsDialog(QDialog):
    """Names the logs of a file; Space ticks one, Enter goes on with all that are ticked."""

    def __init__(self, file_name: str, parts: Sequence[str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Import {file_name}")
        self.list = QListWidget()
        self.list.setAccessibleName("Logs in the file")
        for part in parts:
            item = QListWidgetItem(part)
            item.setFlags(
                Qt.ItemFlag.ItemIsUserCheckable | Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
            )
            item.setCheckState(Qt.CheckState.Unchecked)
            self.list.addItem(item)
        self.list.setCurrentRow(0)
        self.list.item(0).setCheckState(Qt.CheckState.Checked)
        card = Card(
            f"{file_name} holds {len(parts)} logs",
            "Each becomes a session of its own. Tick those to import; they are asked about one by one.",
        )
        card.body.addWidget(self.list)
        self._go_on = QPushButton("&Go on")
        self._go_on.setObjectName("main")
        self._go_on.setDefault(True)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        buttons.addButton(self._go_on, QDialogButtonBox.ButtonRole.AcceptRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        self.list.itemChanged.connect(lambda _: self._go_on.setEnabled(bool(self.chosen)))
        layout = QVBoxLayout(self)
        layout.addWidget(card, stretch=1)
        layout.addWidget(buttons)
        self.resize(460, 380)
        self.list.setFocus()

    @property
    def chosen(self) -> tuple[str, ...]:
        """The logs that are ticked, in the order of the file."""
        items = [self.list.item(row) for row in range(self.list.count())]
        return tuple(one.text() for one in items if one.checkState() is Qt.CheckState.Checked)
