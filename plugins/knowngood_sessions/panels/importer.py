"""The import as the user goes through it: read, confirm, save; cancelled at any point without a trace."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal

from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import sessions
from knowngood_refdata.refrigerants import UnknownRefrigerant
from knowngood_sessions.core.importing import Prepared, sha256_of
from knowngood_sessions.core.text import LogUnreadable
from knowngood_sessions.library import Facts, Stored, known_session, prepare_for, read_file, save_log
from knowngood_sessions.panels.mapping_dialog import MappingDialog

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host, Progress
    from knowngood_refdata.records import SessionInfo, Vehicle

_EXPECTED = (LogUnreadable, StoreError, UnknownRefrigerant)


class LogImport(QObject):
    """Imports one log at a time for the vehicle in hand.

    Attributes
    ----------
    refused
        Signal with words: what was found, what was kept, what to do.
    not_saved
        Signal with what was entered, as `snapshot` gives it, when saving failed.
    imported
        Signal with the new `SessionInfo` and a tuple of notices on its recording.
    known
        Signal with the `SessionInfo` of a session that was made from the same file.
    """

    refused = Signal(str)
    not_saved = Signal(object)
    imported = Signal(object, object)
    known = Signal(object)

    def __init__(self, host: Host, window: QWidget) -> None:
        super().__init__(window)
        self._host = host
        self._window = window
        self._path: Path | None = None
        self._saving: dict[str, Any] | None = None
        self.dialog: MappingDialog | None = None

    def start(self, path: Path, kept: dict[str, Any] | None = None) -> None:
        """Read a file and ask what must be confirmed; ``kept`` is what an earlier dialog held."""
        if self.dialog is not None:
            self.dialog.raise_()
            return
        vehicle = self._host.bench.vehicle
        if vehicle is None:
            self.refused.emit(
                "Take the vehicle in hand first; a session belongs to one. Nothing was imported."
            )
            return
        store = self._host.store

        def work(progress: Progress) -> tuple[bytes, Prepared] | SessionInfo:
            progress(0.0, "reading")
            data = read_file(path)
            found = known_session(store, sha256_of(data), vehicle.id)
            if found is not None:
                return found
            return data, prepare_for(store, data, path.name, None, lambda part: progress(part, "reading"))

        def done(result: tuple[bytes, Prepared] | SessionInfo) -> None:
            if isinstance(result, tuple):
                self._ask(path, vehicle, *result, kept)
            else:
                self.known.emit(result)

        self._host.tasks.run(f"Reading {path.name}", work, done=done, failed=self._fail(path.name))

    def snapshot(self) -> dict[str, Any] | None:
        """What the open dialog holds, or held when saving began, for the drafts; None without one."""
        if self.dialog is None:
            return self._saving
        return {"path": str(self._path), **self.dialog.snapshot()}

    def _ask(
        self, path: Path, vehicle: Vehicle, data: bytes, prepared: Prepared, kept: dict[str, Any] | None
    ) -> None:
        dialog = MappingDialog(
            prepared, self._host.units, vehicle.refrigerant, vehicle.name, self._window.window()
        )
        if kept is not None:
            dialog.restore(kept)
        self._path, self.dialog = path, dialog
        dialog.accepted.connect(lambda: self._save(vehicle, data, dialog))
        dialog.finished.connect(self._put_away)
        dialog.open()

    def _put_away(self) -> None:
        if self.dialog is not None:
            self.dialog.deleteLater()
        self.dialog = None

    def _save(self, vehicle: Vehicle, data: bytes, dialog: MappingDialog) -> None:
        self._saving = self.snapshot()
        store, prepared, mapping = self._host.store, dialog.prepared, dict(dialog.mapping)
        unit = self._host.bench.unit
        facts = Facts(
            vehicle_id=vehicle.id,
            refrigerant=dialog.refrigerant,
            conditions=dialog.conditions,
            instruments=dialog.instruments,
            unit_id=unit.id if unit is not None and unit.vehicle_id == vehicle.id else None,
            technician=self._host.user(),
        )

        def work(progress: Progress) -> tuple[SessionInfo, Stored]:
            progress(0.0, "analysing")
            stored = save_log(store, prepared, mapping, facts, data, lambda part: progress(part, "analysing"))
            return sessions.info(store, stored.session_id), stored

        def done(result: tuple[SessionInfo, Stored]) -> None:
            info, stored = result
            self._saving = None
            self._host.bench.take_session(info)
            self._host.bench.findings_changed.emit(info.id)
            self.imported.emit(info, stored.notices)

        name = prepared.table.source_name
        self._host.tasks.run(f"Importing {name}", work, done=done, failed=self._fail(name))

    def _fail(self, name: str) -> Callable[[BaseException], None]:
        def failed(error: BaseException) -> None:
            entered, self._saving = self._saving, None
            if entered is not None:
                self.not_saved.emit(entered)
            if not isinstance(error, _EXPECTED):
                # A fault of the program goes to the crash handler with its traceback.
                self.refused.emit(
                    f"{name} was not imported because of a fault of the program. Nothing was stored."
                )
                raise error
            self.refused.emit(f"{name}: {error}")

        return failed
