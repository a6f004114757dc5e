"""Correcting a session's conditions: asked, stored, and everything found worked out anew."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Signal

from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import sessions
from knowngood_sessions.library import revise
from knowngood_sessions.panels.asker import Asker
from knowngood_sessions.panels.conditions_dialog import ConditionsDialog

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_refdata.records import SessionInfo
    from knowngood_sessions.gather import Session


class Revision(Asker):
    """Asks for the conditions of a session and stores them.

    Attributes
    ----------
    not_saved
        Signal with what was entered, as `snapshot` gives it, when saving failed.
    """

    not_saved = Signal(object)
    dialog: ConditionsDialog | None

    def __init__(self, host: Host, window: QWidget) -> None:
        super().__init__(host, window)
        self._saving: dict[str, Any] | None = None

    def start(self, session: Session, kept: dict[str, Any] | None = None) -> None:
        """Open the dialog; ``kept`` is what an earlier one held."""
        self._open(session.info, kept)

    def resume(self, kept: dict[str, Any]) -> None:
        """Open the dialog again with what was kept of it."""
        try:
            self._open(sessions.info(self._host.store, int(kept["session"])), kept["form"])
        except StoreError as error:
            self.refused.emit(str(error))

    def snapshot(self) -> dict[str, Any] | None:
        """What the open dialog holds, or held when saving began, for the drafts; None without one."""
        return self._saving if self.dialog is None else self.dialog.snapshot()

    def _open(self, info: SessionInfo, kept: dict[str, Any] | None) -> None:
        dialog = ConditionsDialog(info, self._host.units, self._window.window())
        if kept is not None:
            dialog.form.restore(kept)
        dialog.accepted.connect(lambda: self._save(dialog))
        self._show(dialog)

    def _save(self, dialog: ConditionsDialog) -> None:
        self._saving = dialog.snapshot()
        store, info = self._host.store, dialog.info
        conditions, instruments = dialog.form.conditions(), dialog.form.instruments()

        def done(changed: SessionInfo) -> None:
            self._saving = None
            self._host.bench.take_session(changed)
            self._host.bench.findings_changed.emit(changed.id)
            self._host.say("The conditions were stored and the findings worked out anew.")

        self._host.tasks.run(
            f"Conditions of {info.title}",
            lambda _: revise(store, info, conditions, instruments),
            done=done,
            failed=self._fail,
        )

    def _fail(self, error: BaseException) -> None:
        entered, self._saving = self._saving, None
        if entered is not None:
            self.not_saved.emit(entered)
        super()._fail(error)
