"""From a file that a logger writes to what its columns are: read as far as it is, asked as for an import."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any
from uuid import uuid4

from PySide6.QtCore import QTimer, Signal

from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import mappings
from knowngood_sessions.core.following.followable import why_not_followed
from knowngood_sessions.core.following.lines import coding_of, whole_part
from knowngood_sessions.core.reading.text import LogUnreadable
from knowngood_sessions.library import Facts, prepare_for, read_file
from knowngood_sessions.panels.asker import Asker
from knowngood_sessions.panels.in_hand import facts_of
from knowngood_sessions.panels.mapping_dialog import MappingDialog

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host, Progress
    from knowngood_refdata.queries.mappings import Confirmed
    from knowngood_refdata.records import Vehicle
    from knowngood_sessions.core.mapping.assignment import Assignment
    from knowngood_sessions.core.mapping.importing import Prepared

_AGAIN_MS = 1_000


@dataclass(frozen=True, slots=True, eq=False)
class Chosen:
    """A file to follow, what its columns are taken for, and what it does not tell.

    ``entered`` is what the dialog held, for the drafts; ``copy`` is where what is read is kept besides.
    """

    path: Path
    vehicle: Vehicle
    mapping: Mapping[str, Assignment]
    facts: Facts
    entered: dict[str, Any]
    copy: Path


class NotFollowedError(Exception):
    """A file of a kind that is not read while it grows."""


def draft_of(path: Path, vehicle: Vehicle, entered: dict[str, Any] | None, copy: Path) -> dict[str, Any]:
    """What the drafts keep of a log that is followed."""
    return {"path": str(path), "vehicle": vehicle.id, "entered": entered, "copy": copy.name}


class FollowingStart(Asker):
    """Asks for what must be known before a log can be followed; waits while it has no header yet.

    Attributes
    ----------
    chosen
        Signal with a `Chosen`.
    waiting
        Signal with the file's name and why nothing can be read yet.
    given_up
        Signal without arguments: the dialog was left.
    """

    chosen = Signal(object)
    waiting = Signal(str, str)
    given_up = Signal()
    dialog: MappingDialog | None

    def __init__(self, host: Host, window: QWidget) -> None:
        super().__init__(host, window)
        self._path: Path | None = None
        self._copy = host.drafts.folder
        self._kept: dict[str, Any] | None = None
        self._vehicle: Vehicle | None = None
        self._again = QTimer(self)
        self._again.setSingleShot(True)
        self._again.setInterval(_AGAIN_MS)
        self._again.timeout.connect(self._read)

    def start(
        self, path: Path, vehicle: Vehicle, kept: dict[str, Any] | None = None, copy: Path | None = None
    ) -> None:
        """Read a file as far as it is and ask.

        ``kept`` is what the dialog of an earlier run held, ``copy`` the place of what that run read.
        """
        self._path, self._vehicle, self._kept = path, vehicle, kept
        self._copy = copy or self._host.drafts.folder / f"followed-{uuid4().hex}.part"
        self._read()

    def ask_again(self, chosen: Chosen, prepared: Prepared) -> None:
        """Ask about a whole file what was not asked about its beginning."""
        self._vehicle, self._kept, self._copy = chosen.vehicle, chosen.entered, chosen.copy
        self._ask(chosen.path, prepared, None)

    def stop(self) -> None:
        """Read and ask no more."""
        self._again.stop()
        self._path = None
        if self.dialog is not None:
            self.dialog.reject()

    def snapshot(self) -> dict[str, Any] | None:
        """What is being asked about, for the drafts; None when nothing is."""
        if self._path is None or self._vehicle is None:
            return None
        entered = self._kept if self.dialog is None else self.dialog.snapshot()
        return draft_of(self._path, self._vehicle, entered, self._copy)

    def _read(self) -> None:
        path, store, readers = self._path, self._host.store, self._host.log_readers()
        if path is None:
            return
        # What an earlier run read of the file is asked about even if the file holds something else by now.
        there = self._copy if self._copy.exists() and self._copy.stat().st_size else path

        def work(progress: Progress) -> tuple[Prepared, Confirmed | None] | str:
            progress(0.0, "reading")
            try:
                data = read_file(there)
                words = why_not_followed(data, path.name, readers)
                if words:
                    raise NotFollowedError(words)
                whole = data[: whole_part(data, coding_of(data))]
                prepared = prepare_for(store, whole, path.name, None, lambda part: progress(part, "reading"))
            except LogUnreadable as error:
                return str(error)
            return prepared, mappings.confirmed(store, prepared.signature) if prepared.remembered else None

        def done(read: tuple[Prepared, Confirmed | None] | str) -> None:
            if self._path != path:
                return
            if isinstance(read, tuple):
                self._ask(path, *read)
            else:
                self.waiting.emit(path.name, read)
                self._again.start()

        self._host.tasks.run(f"Reading {path.name}", work, done=done, failed=self._fail)

    def _fail(self, error: BaseException) -> None:
        name = "" if self._path is None else self._path.name
        self._path = None
        if isinstance(error, NotFollowedError):
            self.refused.emit(str(error))
            return
        if not isinstance(error, StoreError):
            self.refused.emit(f"{name} cannot be followed because of a fault of the program.")
            raise error
        self.refused.emit(f"{name}: {error}")

    def _ask(self, path: Path, prepared: Prepared, confirmed: Confirmed | None) -> None:
        vehicle = self._vehicle
        assert vehicle is not None
        dialog = MappingDialog(
            prepared,
            self._host.units,
            vehicle.refrigerant,
            vehicle.name,
            self._window.window(),
            confirmed=confirmed,
        )
        dialog.setWindowTitle(f"Follow {path.name}")
        dialog.import_button.setText("&Follow")
        if self._kept is not None:
            dialog.restore(self._kept)
        dialog.accepted.connect(lambda: self._choose(path, vehicle, dialog))
        dialog.rejected.connect(self._give_up)
        self._show(dialog)

    def _choose(self, path: Path, vehicle: Vehicle, dialog: MappingDialog) -> None:
        facts = facts_of(self._host, vehicle, dialog)
        self._path = None
        self.chosen.emit(Chosen(path, vehicle, dict(dialog.mapping), facts, dialog.snapshot(), self._copy))

    def _give_up(self) -> None:
        self._path = None
        self.given_up.emit()
