"""Every change of a record, the latest first, and the undoing of any one of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries.history import history
from knowngood_specs.history_words import HistoryEntry, history_entries
from knowngood_specs.panels.labels import clear, column, link, plain
from knowngood_specs.panels.vehicle_tab import VehicleTab

if TYPE_CHECKING:
    from knowngood.api import Host
    from knowngood_refdata.records import Vehicle
    from knowngood_specs.panels.record_forms import RecordForms

AT_ONCE = 15
UNDO_WORDS = (
    "What stood before comes back. The undoing is a change, too: it is in the history and can be undone."
)


class HistoryTab(VehicleTab):
    """Shows the history of the vehicle, its values, cars, decisions, pictures and tables."""

    def __init__(self, host: Host, forms: RecordForms, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self._forms = forms
        self._shown = AT_ONCE
        self._entries: tuple[HistoryEntry, ...] = ()
        self._card = Card("History", "the latest change first; nothing that was ever entered is lost")
        self._lines = QVBoxLayout()
        self._lines.setSpacing(14)
        self.older_button = QPushButton("Show older changes")
        self.older_button.clicked.connect(self._show_older)
        self._card.body.addLayout(self._lines)
        self._card.body.addWidget(self.older_button)
        column(self).addWidget(self._card)

    def show_vehicle(self, vehicle: Vehicle) -> None:
        """Show the history of a vehicle."""
        if self._vehicle is None or self._vehicle.id != vehicle.id:
            self._shown = AT_ONCE
        self._vehicle = vehicle
        try:
            self._entries = history_entries(history(self._host.store, vehicle.id))
        except StoreError as error:
            self._host.say(str(error))
            return
        clear(self._lines)
        self._add(self._entries[: self._shown])

    def _add(self, entries: tuple[HistoryEntry, ...]) -> None:
        for one in entries:
            self._lines.addLayout(self._entry(one))
        self.older_button.setVisible(len(self._entries) > self._shown)

    def _show_older(self) -> None:
        already = self._shown
        self._shown += 2 * AT_ONCE
        self._add(self._entries[already : self._shown])

    def _entry(self, entry: HistoryEntry) -> QVBoxLayout:
        block, first = QVBoxLayout(), QHBoxLayout()
        block.setSpacing(2)
        first.addWidget(plain(entry.head, bold=True, top=True, selectable=False), stretch=1)
        if not entry.refusal:
            first.addWidget(link("Undo...", lambda: self._undo(entry), f"undo: {entry.head}"))
        block.addLayout(first)
        reason = (f"Reason: {entry.reason}",) if entry.reason else ()
        told = "\n".join((*reason, *entry.lines, *((entry.refusal,) if entry.refusal else ())))
        if told:
            block.addWidget(plain(told, "quiet", selectable=False))
        return block

    def _undo(self, entry: HistoryEntry) -> None:
        if self._vehicle is not None:
            self._forms.undo(self._vehicle, entry.change, f"{entry.head}\n{UNDO_WORDS}")
