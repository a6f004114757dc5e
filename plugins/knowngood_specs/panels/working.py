"""Work that a dialog waits for: how far it is, a button that stops it, and what came of it in words."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QPushButton, QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood_refdata.errors import StoreError
from knowngood_specs.core.exporting.writers import NotWritten
from knowngood_specs.core.importing.table import TableUnreadable

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood.api import Host, Progress

Result = TypeVar("Result")

STOPPED = "Stopped. Nothing was changed."
_CANCELLED = "cancelled"
_TOLD = (TableUnreadable, NotWritten, StoreError, OSError)


class Working(QWidget):
    """Runs one piece of work at a time off the GUI thread and shows how far it is."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._host = host
        self._cancel: Callable[[], None] | None = None
        self._card, self._note = Card(), words("quiet")
        self.bar, self.stop_button = QProgressBar(), QPushButton("&Stop")
        self.bar.setRange(0, 1000)
        self.bar.setTextVisible(False)
        self.bar.setAccessibleName("how far the work is")
        self.stop_button.setAutoDefault(False)
        self.stop_button.clicked.connect(self.stop)
        row = QHBoxLayout()
        row.addWidget(self.bar, stretch=1)
        row.addWidget(self.stop_button)
        self._card.body.addLayout(row)
        self._card.body.addWidget(self._note)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addStretch(1)
        layout.addWidget(self._card)
        layout.addStretch(2)
        self.setFocusProxy(self.stop_button)

    @property
    def busy(self) -> bool:
        """Whether work is running."""
        return self._cancel is not None

    def run(
        self,
        title: str,
        work: Callable[[Progress], Result],
        done: Callable[[Result], None],
        ended: Callable[[str], None],
    ) -> None:
        """Run a piece of work; ``ended`` hears in words why nothing came of it."""
        self._card.set_title(title)
        self._note.setText("Stopping leaves everything as it was.")
        self.bar.setValue(0)
        self.stop_button.setEnabled(True)

        def finished(result: Result) -> None:
            self._cancel = None
            done(result)

        def failed(error: BaseException) -> None:
            self._cancel = None
            if isinstance(error, _TOLD):
                ended(str(error))
                return
            ended("It was not done because of a fault of the program. Nothing was changed.")
            # A fault of the program goes to the crash handler with its traceback.
            raise error

        task = self._host.tasks.run(title, work, done=finished, failed=failed)
        self._cancel = task.cancel
        task.progressed.connect(self._show_progress)
        task.ended.connect(lambda: self._see_whether_stopped(task.state, ended))

    def stop(self) -> None:
        """Ask the work to stop; it does so at its next report."""
        if self._cancel is not None:
            self._cancel()
            self.stop_button.setEnabled(False)
            self._note.setText("Stopping...")

    def _show_progress(self, fraction: float, text: str) -> None:
        self.bar.setValue(round(1000 * fraction))
        if self.stop_button.isEnabled() and text:
            self._note.setText(f"{text[:1].upper()}{text[1:]}. Stopping leaves everything as it was.")

    def _see_whether_stopped(self, state: str, ended: Callable[[str], None]) -> None:
        # Neither result nor failure comes of work that was stopped.
        if state == _CANCELLED:
            self._cancel = None
            ended(STOPPED)
