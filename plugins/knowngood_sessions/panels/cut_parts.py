"""Parts of the session shown, kept as sessions of their own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal

from knowngood_refdata.queries import sessions
from knowngood_sessions.panels.asker import Asker
from knowngood_sessions.panels.marks_dialogs import CutDialog, SplitDialog
from knowngood_sessions.reworking import cut, halves, title_of

if TYPE_CHECKING:
    from knowngood_refdata.records import SessionInfo
    from knowngood_sessions.gather import Session


class CutParts(Asker):
    """Asks which part is to be kept, and stores it.

    Attributes
    ----------
    made
        Signal with the `SessionInfo` of the first part, and how many were made.
    """

    made = Signal(object, int)
    dialog: CutDialog | SplitDialog | None

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
        dialog.accepted.connect(lambda: self._store(session, dialog.read()))
        self._show(dialog)

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
