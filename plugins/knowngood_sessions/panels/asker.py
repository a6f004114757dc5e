"""What asks with one dialog at a time over the window of the page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from knowngood_refdata.errors import StoreError

if TYPE_CHECKING:
    from PySide6.QtWidgets import QDialog, QWidget

    from knowngood.api import Host


class Asker(QObject):
    """Opens a dialog and puts it away once it is finished; ``dialog`` is the one that is open.

    Attributes
    ----------
    refused
        Signal with words: what was found, what was kept, what to do.
    """

    refused = Signal(str)

    def __init__(self, host: Host, window: QWidget) -> None:
        super().__init__(window)
        self._host, self._window = host, window
        self.dialog: QDialog | None = None

    def _show(self, dialog: QDialog) -> None:
        self.dialog = dialog
        dialog.finished.connect(self._put_away)
        dialog.open()

    def _put_away(self) -> None:
        if self.dialog is not None:
            self.dialog.deleteLater()
        self.dialog = None

    def _fail(self, error: BaseException) -> None:
        """Tell what the library refused; a fault of the program goes on to the crash handler."""
        if not isinstance(error, StoreError):
            raise error
        self.refused.emit(str(error))
