"""Shows a fault of the program to the user, one window for all of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Signal, Slot
from PySide6.QtWidgets import QMessageBox, QWidget

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood.crash import Fault


class FaultDialog(QObject):
    """Says what happened, what was kept and where the report lies.

    Further faults are added to the window that is open instead of opening another; it does not stop
    the work. `show` may be called from any thread.

    Parameters
    ----------
    parent_window
        Gives the window that the dialog belongs to, asked when a fault is shown.
    """

    _arrived = Signal(object)

    def __init__(self, parent_window: Callable[[], QWidget | None] | None = None) -> None:
        super().__init__()
        self._parent_window = parent_window
        self._box: QMessageBox | None = None
        self._details: list[str] = []
        self._arrived.connect(self._open, Qt.ConnectionType.AutoConnection)

    def show(self, fault: Fault) -> None:
        """Show a fault, now or as soon as the GUI thread is free."""
        self._arrived.emit(fault)

    @Slot(object)
    def _open(self, fault: Fault) -> None:
        lies = f"The report is {fault.report}." if fault.report else "The report could not be written."
        self._details.append(f"{fault.what}\n{lies}")
        if self._box is None:
            self._box = self._make()
        self._box.setInformativeText(
            f"{fault.kept}\n\n{lies}\n\nYou can go on working. If something looks wrong, save, close and "
            "start again."
        )
        self._box.setDetailedText("\n\n".join(self._details))
        self._box.show()

    def _make(self) -> QMessageBox:
        parent = self._parent_window() if self._parent_window is not None else None
        box = QMessageBox(
            QMessageBox.Icon.Warning,
            "Knowngood",
            "Something went wrong inside the program.",
            QMessageBox.StandardButton.Close,
            parent,
        )
        box.setModal(False)
        box.finished.connect(self._closed)
        return box

    @Slot()
    def _closed(self) -> None:
        if self._box is not None:
            self._box.deleteLater()
        self._box = None
        self._details.clear()
