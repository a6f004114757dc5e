"""Parts of the session shown, kept as sessions of their own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import sessions
from knowngood_sessions.panels.marks_dialogs import CutDialog, SplitDialog
from knowngood_sessions.reworking import cut, halves, title_of

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_refdata.records import SessionInfo
    from knowngood_sessions.gather import Session


class CutParts(QObject):
    """Asks which part is to be kept, and stores it.

    Attributes
    ----------
    refused
        Signal with words, when it could not be stored.
    made
        Signal with the `SessionInfo` of the first part, and how many were made.
    """

    refused = Signal(str)
    made = Signal(object, int)

    def __init__(self, host: Host, window: QWidget) -> None:
        super().__init__(window)
        self._host, self._window = host, window
        self.dialog: CutDialog | SplitDialog | None = None

    def keep(self, session: Session, start_s: float, end_s: float) -> None:
        """Ask for a part, a stretch proposed."""
        span = (start_s, end_s, title_of(session.info, start_s, end_s))
        self._ask(session, CutDialog(span, session.info.duration_s, self._window.window()))

    def split(self, session: Session, at_s: float) -> None:
        """Ask for both parts of a session that is split at a moment."""
        if session.recording.time_s.size:
            spans = halves(session, at_s)
            self._ask(session, SplitDialog(spans, session.info.duration_s, self._window.window()))

    def _ask(self, session: Session, dialog: CutDialog | SplitDialog) -> None:
        self.dialog = dialog
        dialog.accepted.connect(lambda: self._store(session, dialog.read()))
        dialog.finished.connect(self._put_away)
        dialog.open()

    def _put_away(self) -> None:
        if self.dialog is not None:
            self.dialog.deleteLater()
        self.dialog = None

    def _store(self, session: Session, spans: tuple[tuple[float, float, str], ...]) -> None:
        store = self._host.store

        def work(_: object) -> SessionInfo:
            return sessions.info(store, cut(store, session, spans)[0])

        self._host.tasks.run(
            f"Keeping a part of {session.info.title}",
            work,
            done=lambda info: self.made.emit(info, len(spans)),
            failed=self._fail,
        )

    def _fail(self, error: BaseException) -> None:
        if not isinstance(error, StoreError):
            raise error
        self.refused.emit(str(error))
