"""Removes the session shown after a question, and brings removed ones back."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Signal

from knowngood_refdata.queries import session_removal, sessions
from knowngood_refdata.queries.undo import undo
from knowngood_sessions.panels.asker import Asker
from knowngood_sessions.panels.removal_dialogs import RemovedDialog, RemoveDialog
from knowngood_sessions.removal_words import counted

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from knowngood_refdata.queries.history import DeletedRecord
    from knowngood_refdata.queries.session_removal import Belongings, Removal
    from knowngood_refdata.records import SessionInfo
    from knowngood_refdata.store import Store
    from knowngood_sessions.gather import Session

WHY_BACK = "brought back in the session plotter"


class SessionRemoval(Asker):
    """Asks, removes and brings back, off the GUI thread.

    Attributes
    ----------
    told
        Signal with words: what was done.
    """

    told = Signal(str)
    dialog: RemoveDialog | RemovedDialog | None

    def ask(self, session: Session) -> None:
        """Ask whether a session is to be removed."""
        info = session.info
        self._run(
            f"Removing {info.title}",
            lambda store: session_removal.what_belongs(store, info.id),
            lambda asked: self._open_question(info, asked),
            quiet=True,
        )

    def list_removed(self) -> None:
        """Show what was removed of the vehicle in hand."""
        vehicle = self._host.bench.vehicle
        if vehicle is not None:
            self._run(
                "Removed sessions",
                lambda store: session_removal.removed(store, vehicle.id),
                lambda records: self._open_list(records, vehicle.name),
                quiet=True,
            )

    def _open_question(self, shown: SessionInfo, asked: Removal) -> None:
        in_hand = self._host.bench.session
        if self.dialog is None and in_hand is not None and in_hand.id == shown.id:
            dialog = RemoveDialog(asked, self._window.window())
            dialog.accepted.connect(lambda: self._remove(dialog.chosen, dialog.why.text()))
            self._show(dialog)

    def _open_list(self, records: Sequence[DeletedRecord], vehicle: str) -> None:
        if self.dialog is None:
            dialog = RemovedDialog(records, vehicle, self._window.window())
            dialog.wanted.connect(self._bring_back)
            self._show(dialog)

    def _remove(self, chosen: Sequence[Belongings], why: str) -> None:
        infos = tuple(one.session for one in chosen)
        self._run(
            f"Removing {infos[0].title}",
            lambda store: session_removal.remove(store, infos, why),
            lambda _: self._removed(infos),
        )

    def _removed(self, infos: Sequence[SessionInfo]) -> None:
        bench = self._host.bench
        if bench.session is not None and bench.session.id in {one.id for one in infos}:
            bench.take_session(None)
        what = f"'{infos[0].title}'"
        if len(infos) > 1:
            what = f"{what} and {counted(len(infos) - 1, 'session')} cut out of it"
        verb = "was" if len(infos) == 1 else "were"
        self.told.emit(
            f"{what} {verb} removed. Other readings > Removed sessions... brings back what is missed."
        )

    def _bring_back(self, record: DeletedRecord) -> None:
        def work(store: Store) -> SessionInfo:
            undo(store, record.change_id, WHY_BACK)
            return sessions.info(store, record.id)

        self._run(f"Bringing {record.subject} back", work, self._brought_back)

    def _brought_back(self, info: SessionInfo) -> None:
        vehicle = self._host.bench.vehicle
        if vehicle is not None and vehicle.id == info.vehicle_id:
            self._host.bench.take_session(info)
        self.told.emit(f"'{info.title}' was brought back.")

    def _run(
        self, title: str, work: Callable[[Store], Any], done: Callable[[Any], None], *, quiet: bool = False
    ) -> None:
        store = self._host.store
        self._host.tasks.run(title, lambda _: work(store), done=done, failed=self._fail, quiet=quiet)
