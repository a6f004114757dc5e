"""What can be done with the library as a whole; each dialog is loaded when it is asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QMenu

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtWidgets import QDialog, QWidget

    from knowngood.api import Host
    from knowngood_refdata.queries.filters import Filters
    from knowngood_refdata.records import Vehicle


class LibraryMenu(QMenu):
    """The menu below the list.

    Parameters
    ----------
    search
        Answers the words and filters that the list shows now.

    Attributes
    ----------
    changed
        Signal with the id of the vehicle to be shown after something was stored, 0 for none.
    """

    changed = Signal(int)

    def __init__(self, host: Host, window: QWidget, search: Callable[[], tuple[str, Filters]]) -> None:
        super().__init__(window)
        self._host, self._window, self._search = host, window, search
        for title, act in (
            ("&Import...", self.bring_in),
            ("&Export...", self.give_out),
            ("", None),
            ("&System families...", self.families),
            ("Shop &fields...", self.fields),
            ("&Deleted...", self.deleted),
        ):
            if act is None:
                self.addSeparator()
            else:
                self.addAction(title).triggered.connect(lambda _checked, act=act: act())

    def bring_in(self) -> None:
        """Import a file."""
        from knowngood_specs.panels.import_dialog import ImportDialog

        self._run(ImportDialog(self._host, self._window))
        self.changed.emit(0)

    def give_out(self) -> None:
        """Export the library."""
        from knowngood_specs.panels.export_dialog import ExportDialog

        words, filters = self._search()
        self._run(ExportDialog(self._host, self._window, words=words, filters=filters))

    def duplicates(self, vehicle: Vehicle) -> None:
        """Show likely duplicates of a vehicle."""
        from knowngood_specs.panels.duplicates_dialog import DuplicatesDialog

        dialog = DuplicatesDialog(self._host, vehicle, self._window)
        self._run(dialog)
        if dialog.kept is not None:
            self.changed.emit(dialog.kept)

    def families(self) -> None:
        """Rearrange system families."""
        from knowngood_specs.panels.families_dialog import FamiliesDialog

        self._run(FamiliesDialog(self._host, self._window))
        self.changed.emit(0)

    def fields(self) -> None:
        """Arrange the fields that the shop has added."""
        from knowngood_specs.panels.fields_dialog import FieldsDialog

        self._run(FieldsDialog(self._host, self._window))
        self.changed.emit(0)

    def deleted(self) -> None:
        """Show what was deleted and can be brought back."""
        from knowngood_specs.panels.deleted_dialog import DeletedDialog

        dialog = DeletedDialog(self._host, self._window)
        self._run(dialog)
        if dialog.brought_back is not None:
            self.changed.emit(dialog.brought_back)

    def _run(self, dialog: QDialog) -> None:
        dialog.exec()
        dialog.deleteLater()
