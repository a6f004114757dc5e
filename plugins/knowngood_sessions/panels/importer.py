"""The import as the user goes through it: read, confirm, save; cancelled at any point without a trace."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QTimer, Signal

from knowngood_refdata.errors import StoreError
from knowngood_refdata.logs import LogUnreadable, SeveralLogs
from knowngood_refdata.queries import mappings, sessions
from knowngood_refdata.refrigerants import UnknownRefrigerant
from knowngood_sessions.core.mapping.importing import Prepared, sha256_of
from knowngood_sessions.library import Stored, known_session, prepare_for, read_file, save_log
from knowngood_sessions.panels.asker import Asker
from knowngood_sessions.panels.in_hand import facts_of
from knowngood_sessions.panels.mapping_dialog import MappingDialog
from knowngood_sessions.panels.mapping_parts import PartsDialog

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host, LogReader, Progress
    from knowngood_refdata.queries.mappings import Confirmed
    from knowngood_refdata.records import SessionInfo, Vehicle
    from knowngood_refdata.store import Store

_EXPECTED = (LogUnreadable, StoreError, UnknownRefrigerant)


@dataclass(frozen=True, slots=True, eq=False)
class _Turn:
    """A file that waits to be read: what an earlier dialog held, and which of several logs it is about."""

    path: Path
    kept: dict[str, Any] | None = None
    part: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class _Read:
    """A file that was read: its turn, its bytes, what it holds, and when its mapping was confirmed."""

    turn: _Turn
    data: bytes
    prepared: Prepared
    confirmed: Confirmed | None

    @property
    def mark(self) -> str:
        """By what the same log is known again in this run."""
        return f"{self.prepared.sha256} {self.turn.part}"


class LogImport(Asker):
    """Imports logs for the vehicle in hand: several given at once are asked about one after the other.

    While one log is saved the next can be confirmed.

    Attributes
    ----------
    not_saved
        Signal with what was entered, as `snapshot` gives it, when saving failed.
    imported
        Signal with the new `SessionInfo` and a tuple of notices on its recording.
    known
        Signal with the `SessionInfo` of a session that was made from the same file.
    """

    not_saved = Signal(object)
    imported = Signal(object, object)
    known = Signal(object)
    dialog: MappingDialog | None

    def __init__(self, host: Host, window: QWidget) -> None:
        super().__init__(host, window)
        self._turn: _Turn | None = None
        self._reading = False
        self._waiting: list[_Turn] = []
        self._saving: list[dict[str, Any]] = []
        self._left: dict[str, dict[str, Any]] = {}
        self.parts_dialog: PartsDialog | None = None

    def start_all(self, paths: Iterable[Path]) -> None:
        """Import several files, one after the other."""
        for path in paths:
            self.start(path)

    def start(self, path: Path, kept: dict[str, Any] | None = None) -> None:
        """Read a file and ask what must be confirmed; ``kept`` is what an earlier dialog held.

        While another file is being read or asked about, this one waits for its turn.
        """
        if self._host.bench.vehicle is None:
            self.refused.emit(
                "Take the vehicle in hand first; a session belongs to one. Nothing was imported."
            )
            return
        self._waiting.append(_Turn(path, kept, str((kept or {}).get("part", ""))))
        for one in (kept or {}).get("waiting", ()):
            self._waiting.append(_Turn(Path(one["path"]), None, one["part"]))
        if self.dialog is not None:
            self.dialog.set_waiting(len(self._waiting))
            self.dialog.raise_()
        self._next()

    def snapshot(self) -> dict[str, Any] | None:
        """What the open dialog holds, or held when saving began, for the drafts; None without one.

        Files that wait for their turn are kept by their paths.
        """
        if self.dialog is None or self._turn is None:
            return self._saving[-1] if self._saving else None
        waiting = [{"path": str(one.path), "part": one.part} for one in self._waiting]
        return self._entered(self._turn, self.dialog) | {"waiting": waiting}

    def _next(self) -> None:
        """Read the file whose turn it is, unless one is in work."""
        vehicle = self._host.bench.vehicle
        busy = self._reading or self.dialog is not None or self.parts_dialog is not None
        if busy or not self._waiting:
            return
        if vehicle is None:
            self._waiting.clear()
            return
        turn, store, readers = self._waiting.pop(0), self._host.store, self._host.log_readers()

        def work(progress: Progress) -> _Read | SessionInfo:
            progress(0.0, "reading")
            return _read(store, turn, vehicle.id, readers, lambda part: progress(part, "reading"))

        def done(result: _Read | SessionInfo) -> None:
            if isinstance(result, _Read):
                self._ask(vehicle, result)
            else:
                self.known.emit(result)

        self._reading = True
        name = turn.path.name
        task = self._host.tasks.run(f"Reading {name}", work, done=done, failed=self._unread(turn))
        # Cancelled, refused or read: the next one's turn comes when nothing is asked.
        task.ended.connect(self._has_read)

    def _has_read(self) -> None:
        self._reading = False
        # What was read is handed over only after this; a dialog that it opens keeps the others waiting.
        QTimer.singleShot(0, self, self._next)

    def _choose_part(self, turn: _Turn, several: SeveralLogs) -> None:
        """Ask which of several logs are meant; each of them gets a turn."""
        dialog = PartsDialog(turn.path.name, several.parts, self._window.window())

        def chosen() -> None:
            self._waiting[:0] = [_Turn(turn.path, turn.kept, part) for part in dialog.chosen]

        def put_away() -> None:
            dialog.deleteLater()
            self.parts_dialog = None
            self._next()

        self.parts_dialog = dialog
        dialog.accepted.connect(chosen)
        dialog.finished.connect(put_away)
        dialog.open()

    def _ask(self, vehicle: Vehicle, read: _Read) -> None:
        dialog = MappingDialog(
            read.prepared,
            self._host.units,
            vehicle.refrigerant,
            vehicle.name,
            self._window.window(),
            confirmed=read.confirmed,
            waiting=len(self._waiting),
        )
        kept = read.turn.kept or self._left.pop(read.mark, None)
        if kept is not None:
            dialog.restore(kept)
        self._turn = read.turn
        dialog.accepted.connect(lambda: self._save(vehicle, read, dialog))
        # A file that is opened again in this run finds what was entered for it.
        dialog.rejected.connect(lambda: self._left.update({read.mark: dialog.snapshot()}))
        self._show(dialog)

    def _put_away(self) -> None:
        super()._put_away()
        self._next()

    def _save(self, vehicle: Vehicle, read: _Read, dialog: MappingDialog) -> None:
        entered = self._entered(read.turn, dialog)
        self._saving.append(entered)
        # Until it is stored, opening the file again finds what was entered: also after cancelling.
        self._left[read.mark] = entered
        store, prepared, mapping = self._host.store, read.prepared, dict(dialog.mapping)
        facts = facts_of(self._host, vehicle, dialog)

        def work(progress: Progress) -> tuple[SessionInfo, Stored]:
            progress(0.0, "analysing")
            stored = save_log(
                store, prepared, mapping, facts, read.data, lambda part: progress(part, "analysing")
            )
            return sessions.info(store, stored.session_id), stored

        def done(result: tuple[SessionInfo, Stored]) -> None:
            info, stored = result
            self._left.pop(read.mark, None)
            self._host.bench.take_session(info)
            self._host.bench.findings_changed.emit(info.id)
            self.imported.emit(info, stored.notices)

        name = prepared.table.source_name
        task = self._host.tasks.run(f"Importing {name}", work, done=done, failed=self._unsaved(name, entered))
        task.ended.connect(lambda: self._saving.remove(entered))

    def _entered(self, turn: _Turn, dialog: MappingDialog) -> dict[str, Any]:
        return {"path": str(turn.path), "part": turn.part, **dialog.snapshot()}

    def _unread(self, turn: _Turn) -> Callable[[BaseException], None]:
        def failed(error: BaseException) -> None:
            if isinstance(error, SeveralLogs):
                self._choose_part(turn, error)
            else:
                self._refuse(turn.path.name, error)

        return failed

    def _unsaved(self, name: str, entered: dict[str, Any]) -> Callable[[BaseException], None]:
        def failed(error: BaseException) -> None:
            self.not_saved.emit(entered)
            self._refuse(name, error)

        return failed

    def _refuse(self, name: str, error: BaseException) -> None:
        if not isinstance(error, _EXPECTED):
            # A fault of the program goes to the crash handler with its traceback.
            self.refused.emit(
                f"{name} was not imported because of a fault of the program. Nothing was stored."
            )
            raise error
        self.refused.emit(f"{name}: {error}")


def _read(
    store: Store,
    turn: _Turn,
    vehicle_id: int,
    readers: Sequence[LogReader],
    proceed: Callable[[float], None],
) -> _Read | SessionInfo:
    """What a file holds, or the session that the library made of it.

    Raises
    ------
    SeveralLogs
        When it holds several logs and none was chosen, also where the library knows one of them.
    LogUnreadable
        When it is no log.
    """
    data = read_file(turn.path)
    found = known_session(store, sha256_of(data), vehicle_id)
    try:
        prepared = prepare_for(store, data, turn.path.name, None, proceed, readers=readers, part=turn.part)
    except LogUnreadable as error:
        if found is None or isinstance(error, SeveralLogs):
            raise
        return found
    if found is not None and not turn.part:
        return found
    confirmed = mappings.confirmed(store, prepared.signature) if prepared.remembered else None
    return _Read(turn, data, prepared, confirmed)
