"""The known-good ranges of the session shown, looked up behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from knowngood_refdata.errors import StoreError
from knowngood_sessions.expected_bands import expected_of

if TYPE_CHECKING:
    from knowngood.api import Host
    from knowngood_sessions.gather import Session
    from knowngood_sessions.panels.session_view import SessionView


class SessionRanges(QObject):
    """Asks the book off the GUI thread: it may have to learn first, and the session need not wait for that.

    Attributes
    ----------
    refused
        Signal with words, when the library cannot be read.
    """

    refused = Signal(str)

    def __init__(self, host: Host, view: SessionView) -> None:
        super().__init__(view)
        self._host, self._view = host, view

    def look_up(self, session: Session) -> None:
        """Show the ranges for a session once they are known."""
        store, windows = self._host.store, session.findings.windows
        self._host.tasks.run(
            f"Known-good ranges for {session.info.title}",
            lambda progress: expected_of(
                store, session.info, windows, lambda part: progress(part, "learning from known-good readings")
            ),
            done=lambda expected: self._view.show_expected(session, expected),
            failed=self._fail,
            quiet=True,
        )

    def _fail(self, error: BaseException) -> None:
        if not isinstance(error, StoreError):
            raise error
        self.refused.emit(str(error))
