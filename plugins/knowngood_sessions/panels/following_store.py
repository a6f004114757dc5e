"""Storing a log that was followed, as an import of the whole file."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import sessions
from knowngood_refdata.refrigerants import UnknownRefrigerant
from knowngood_sessions.core.mapping.importing import sha256_of
from knowngood_sessions.core.mapping.questions import open_questions
from knowngood_sessions.core.reading.text import LogUnreadable
from knowngood_sessions.library import Stored, known_session, prepare_for, save_log

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood.api import Host, Progress
    from knowngood_refdata.records import SessionInfo
    from knowngood_sessions.core.mapping.importing import Prepared
    from knowngood_sessions.panels.following_log import FollowedLog
    from knowngood_sessions.panels.following_start import Chosen

_EXPECTED = (LogUnreadable, StoreError, UnknownRefrigerant, OSError)


class FollowingStore(QObject):
    """Stores what was followed; nothing of it depends on what was shown on the way.

    Attributes
    ----------
    asked
        Signal with the `Prepared` of the whole file, when a question about it is open.
    stored
        Signal with the `SessionInfo` and the `Stored`, None where the library held the same file already.
    failed
        Signal with words; what was read is kept.
    """

    asked = Signal(object)
    stored = Signal(object, object)
    failed = Signal(str)

    def __init__(self, host: Host, parent: QObject) -> None:
        super().__init__(parent)
        self._host = host

    def store(self, log: FollowedLog, chosen: Chosen) -> None:
        """Read the end of a log whose following was stopped, and store all of it."""
        store, name = self._host.store, chosen.path.name

        def work(progress: Progress) -> tuple[SessionInfo, Stored | None] | Prepared:
            progress(0.0, "reading")
            data = log.content()
            same = known_session(store, sha256_of(data), chosen.facts.vehicle_id)
            if same is not None:
                return same, None
            prepared = prepare_for(store, data, name, None, lambda part: progress(0.4 * part, "reading"))
            if open_questions(prepared.table, chosen.mapping):
                return prepared
            stored = save_log(
                store,
                prepared,
                chosen.mapping,
                chosen.facts,
                data,
                lambda part: progress(0.4 + 0.6 * part, "analysing"),
            )
            return sessions.info(store, stored.session_id), stored

        def done(found: tuple[SessionInfo, Stored | None] | Prepared) -> None:
            if isinstance(found, tuple):
                self.stored.emit(*found)
            else:
                self.asked.emit(found)

        self._host.tasks.run(f"Storing {name}", work, done=done, failed=self._fail(name))

    def _fail(self, name: str) -> Callable[[BaseException], None]:
        def failed(error: BaseException) -> None:
            if not isinstance(error, _EXPECTED):
                self.failed.emit(
                    f"{name} was not stored because of a fault of the program; what was read is kept."
                )
                raise error
            self.failed.emit(f"{name} was not stored: {error}")

        return failed
