"""Mending the columns of a stored session: read from its file, asked, and everything worked out anew."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Signal

from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import session_cuts, sessions
from knowngood_sessions.core.finding.by_hand import is_typed
from knowngood_sessions.core.mapping.assignment import MappingUnreadable
from knowngood_sessions.core.mapping.mapping_changes import stored_mapping
from knowngood_sessions.core.mapping.questions import open_questions
from knowngood_sessions.core.reading.text import LogUnreadable
from knowngood_sessions.panels.asker import Asker
from knowngood_sessions.panels.remap_dialog import RemapDialog
from knowngood_sessions.remapping import read_again, remap

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host, Progress
    from knowngood_refdata.records import SessionInfo
    from knowngood_refdata.store import Store
    from knowngood_sessions.core.mapping.importing import Prepared
    from knowngood_sessions.core.reading.choosing import Reader

_EXPECTED = (LogUnreadable, MappingUnreadable, StoreError)


@dataclass(frozen=True, slots=True)
class _Mended:
    """The session that was mended, or the part of it that was asked about, and all whose findings changed."""

    shown: SessionInfo
    changed: tuple[int, ...]


class Remapping(Asker):
    """Asks what the columns of a stored session mean and mends it.

    Attributes
    ----------
    not_saved
        Signal with what was entered, as `snapshot` gives it, when saving failed.
    mended
        Signal with the `SessionInfo` after mending.
    typed
        Signal with the `SessionInfo` of a session whose readings were typed: it has no columns to mend.
    """

    not_saved = Signal(object)
    mended = Signal(object)
    typed = Signal(object)
    dialog: RemapDialog | None

    def __init__(self, host: Host, window: QWidget) -> None:
        super().__init__(host, window)
        self._saving: dict[str, Any] | None = None
        self._reading = False
        self._left: dict[int, dict[str, Any]] = {}

    def start(self, info: SessionInfo, kept: dict[str, Any] | None = None) -> None:
        """Read the session's file and open the dialog; ``kept`` is what an earlier one held."""
        if self.dialog is not None or self._reading:
            if self.dialog is not None:
                self.dialog.raise_()
            return
        store, readers = self._host.store, self._host.log_readers()

        def work(progress: Progress) -> tuple[SessionInfo, Prepared | None]:
            # A part that was cut out has no columns of its own: those of the whole are mended.
            whole = info if info.parent_id is None else sessions.info(store, info.parent_id)
            return whole, as_stored(store, whole, readers, lambda part: progress(part, "reading"))

        def done(found: tuple[SessionInfo, Prepared | None]) -> None:
            whole, prepared = found
            if prepared is None:
                self.typed.emit(whole)
            else:
                self._open(whole, info, prepared, kept)

        self._reading = True
        task = self._host.tasks.run(f"Reading the file of {info.title}", work, done=done, failed=self._fail)
        task.ended.connect(self._has_read)

    def resume(self, kept: dict[str, Any]) -> None:
        """Open the dialog again with what was kept of it."""
        try:
            self.start(sessions.info(self._host.store, int(kept["session"])), kept)
        except StoreError as error:
            self.refused.emit(str(error))

    def snapshot(self) -> dict[str, Any] | None:
        """What the open dialog holds, or held when saving began, for the drafts; None without one."""
        return self._saving if self.dialog is None else self.dialog.snapshot()

    def _has_read(self) -> None:
        self._reading = False

    def _open(
        self, whole: SessionInfo, asked: SessionInfo, prepared: Prepared, kept: dict[str, Any] | None
    ) -> None:
        dialog = RemapDialog(
            whole,
            prepared,
            self._host.units,
            self._window.window(),
            part="" if asked.id == whole.id else asked.title,
        )
        kept = kept or self._left.pop(whole.id, None)
        if kept is not None:
            dialog.restore(kept)
        # Opened again in this run, the dialog finds what was entered.
        dialog.rejected.connect(lambda: self._leave(dialog))
        dialog.accepted.connect(lambda: self._save(asked, dialog))
        self._show(dialog)

    def _leave(self, dialog: RemapDialog) -> None:
        if dialog.changes or dialog.reason:
            self._left[dialog.info.id] = dialog.snapshot()

    def _save(self, asked: SessionInfo, dialog: RemapDialog) -> None:
        self._saving = dialog.snapshot()
        store, readers = self._host.store, self._host.log_readers()
        whole, mapping, why = dialog.info, dict(dialog.mapping), dialog.reason

        def work(progress: Progress) -> _Mended:
            def proceed(part: float) -> None:
                progress(part, "analysing")

            mended = remap(store, whole, mapping, why, readers=readers, proceed=proceed)
            parts = tuple(one.id for one in session_cuts.cuts_of(store, whole.id))
            shown = mended if asked.id == whole.id else sessions.info(store, asked.id)
            return _Mended(shown, (whole.id, *parts))

        def done(mended: _Mended) -> None:
            self._saving = None
            self._host.bench.take_session(mended.shown)
            for number in mended.changed:
                self._host.bench.findings_changed.emit(number)
            self.mended.emit(mended.shown)

        task = self._host.tasks.run(f"Mending {whole.title}", work, done=done, failed=self._fail)
        task.ended.connect(lambda: self._has_ended(cancelled=task.state == "cancelled"))

    def _has_ended(self, *, cancelled: bool) -> None:
        if cancelled:
            entered, self._saving = self._saving, None
            self.not_saved.emit(entered)

    def _fail(self, error: BaseException) -> None:
        entered, self._saving = self._saving, None
        if entered is not None:
            self.not_saved.emit(entered)
        if not isinstance(error, _EXPECTED):
            self.refused.emit("A fault of the program: the session was left as it was.")
            raise error
        self.refused.emit(str(error))


def as_stored(
    store: Store,
    info: SessionInfo,
    readers: Sequence[Reader] = (),
    proceed: Callable[[float], None] = lambda _: None,
) -> Prepared | None:
    """The file of a session as read, under the mapping as stored; None when its readings were typed.

    Raises
    ------
    LogUnreadable
        When the file is not with the session, or can no longer be read.
    """
    recording = sessions.recording(store, info.id)
    if is_typed(recording):
        return None
    prepared = read_again(store, info, readers, proceed)
    mapping = stored_mapping(prepared.table, recording, prepared.mapping, info.started_at)
    return replace(
        prepared, mapping=mapping, questions=open_questions(prepared.table, mapping), remembered=True
    )
