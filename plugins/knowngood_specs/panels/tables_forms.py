"""The dialogs of the published tables, with what was typed into them and not saved yet."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal

from knowngood_refdata.queries import tables
from knowngood_refdata.queries.tables import StoredTable, TableDraft
from knowngood_specs.core.tables.form import Publication, write_form
from knowngood_specs.panels.reason_dialog import ReasonDialog
from knowngood_specs.panels.tables_blocks import as_kept
from knowngood_specs.panels.tables_dialog import TableDialog, TableEntry
from knowngood_specs.panels.unsaved import Unsaved

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_refdata.published.table import PerformanceTable
    from knowngood_refdata.records import Vehicle

DRAFTS = "specs.tables"
RETIRE = "The table is kept with its history and can be brought back. Out of use it answers nothing."


class TableForms(QObject):
    """Opens the dialogs.

    Attributes
    ----------
    stored
        Signal with a sentence: a table was stored.
    closed
        Signal without arguments: a dialog was closed, whatever came of it.
    """

    stored = Signal(str)
    closed = Signal()

    def __init__(self, host: Host, window: QWidget) -> None:
        super().__init__(window)
        self._host, self._window = host, window
        self._unsaved = Unsaved(host, DRAFTS)

    def begun(self, vehicle: Vehicle) -> bool:
        """Whether a new table of this vehicle was begun and not saved."""
        return self._unsaved.get(_new(vehicle)) is not None

    def corrected(self, stored: StoredTable) -> bool:
        """Whether corrections to this table were typed and not saved."""
        return self._unsaved.get(_old(stored)) is not None

    def add(self, vehicle: Vehicle) -> None:
        """Ask for a new table of a vehicle or its family."""
        name = _new(vehicle)
        kept = self._unsaved.get(name)

        def save(table: PerformanceTable, publication: Publication, for_family: bool) -> None:
            draft, store = _draft(table, publication), self._host.store
            if for_family:
                tables.add(store, draft, family_id=vehicle.family_id)
            else:
                tables.add(store, draft, vehicle_id=vehicle.id)

        entry = TableEntry(
            title=f"Enter a published table: {vehicle.name}",
            kept=kept or {},
            began=kept is not None,
            family=vehicle.family if vehicle.family_id is not None else "",
            save=save,
            keep=lambda form: self._unsaved.put(name, form),
        )
        self._ask(name, entry, "The table was added.")

    def edit(self, stored: StoredTable) -> None:
        """Ask for corrections to a table; what was typed before and not saved is shown again."""
        name = _old(stored)
        kept = self._unsaved.get(name)
        # Corrections are to the version that they began from, however long they wait.
        version = stored.version if kept is None else int(kept["version"])

        def save(table: PerformanceTable, publication: Publication, _for_family: bool) -> None:
            tables.edit(self._host.store, stored.id, version, _draft(table, publication))

        def reload() -> dict[str, Any]:
            nonlocal version
            now = tables.table(self._host.store, stored.id)
            version = now.version
            return form_of(now)

        entry = TableEntry(
            title=f"Correct a published table: {stored.title}",
            kept=form_of(stored) if kept is None else kept,
            began=kept is not None,
            family="",
            save=save,
            keep=lambda form: self._unsaved.put(name, {**form, "version": version}),
            reload=reload,
        )
        self._ask(name, entry, "The table was corrected; the former version stays in the history.")

    def retire(self, stored: StoredTable) -> None:
        """Ask for the reason, and take a table out of use."""
        name = f"retire {stored.id}"
        done: list[str] = []

        def save(why: str) -> None:
            tables.retire(self._host.store, stored.id, stored.version, why)
            done.append(f"'{stored.title}' was taken out of use; it can be brought back.")

        dialog = ReasonDialog(
            f"Take out of use: {stored.title}",
            RETIRE,
            "Take out of use",
            save,
            lambda entries: self._unsaved.put(name, entries),
            self._unsaved.get(name),
            self._window,
        )
        dialog.exec()
        if done or dialog.discarded:
            self._unsaved.drop(name)
        dialog.deleteLater()
        if done:
            self.stored.emit(done[0])

    def _ask(self, name: str, entry: TableEntry, done: str) -> None:
        dialog = TableDialog(entry, self._host.units, self._window)
        saved = dialog.exec() == TableDialog.DialogCode.Accepted
        if saved or dialog.discarded:
            self._unsaved.drop(name)
        dialog.deleteLater()
        if saved:
            self.stored.emit(done)
        self.closed.emit()


def form_of(stored: StoredTable) -> dict[str, Any]:
    """A stored table as its form holds it; empty when this program cannot read it."""
    if stored.table is None:
        return {}
    publication = Publication(
        stored.source_kind, stored.citation, stored.revision, stored.page, stored.reviewed_by
    )
    entries, blocks = write_form(stored.table, publication)
    return {**entries, "blocks": as_kept(blocks)}


def _draft(table: PerformanceTable, publication: Publication) -> TableDraft:
    return TableDraft(
        table,
        publication.kind,
        publication.citation,
        publication.revision,
        publication.page,
        publication.reviewed_by,
    )


def _new(vehicle: Vehicle) -> str:
    return f"new {vehicle.id}"


def _old(stored: StoredTable) -> str:
    return f"table {stored.id}"
