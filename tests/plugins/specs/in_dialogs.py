"""Acting in a dialog that a test opens and that waits for its user."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QDialog

from knowngood_specs.panels.form_dialog import FormDialog

if TYPE_CHECKING:
    from collections.abc import Callable

D = TypeVar("D", bound=QDialog)


def in_next(kind: type[D], act: Callable[[D], None]) -> None:
    """Act once the next dialog is open, which is of this kind; then close it if that did not."""

    def find() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, kind)
        try:
            act(dialog)
        finally:
            if dialog.isVisible():
                dialog.reject()

    QTimer.singleShot(0, find)


def in_the_dialog(act: Callable[[FormDialog], None]) -> None:
    """Act once the next form is open, then close it if that did not."""
    in_next(FormDialog, act)
