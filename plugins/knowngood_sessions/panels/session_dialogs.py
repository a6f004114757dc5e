"""Everything that asks for something around a session: import, typed readings, conditions, columns."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QFileDialog

from knowngood_sessions.panels.hand_readings import HandReadings
from knowngood_sessions.panels.importer import LogImport
from knowngood_sessions.panels.remap_session import Remapping
from knowngood_sessions.panels.revision import Revision

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_refdata.records import SessionInfo

_COMMON = ("csv", "txt", "tsv", "log")


class SessionDialogs(QObject):
    """The dialogs of the page, and what was entered in them and not stored.

    Attributes
    ----------
    refused
        Signal with words: what was found, what was kept, what to do.
    unfinished
        Signal with words: something was entered before and is kept; `resume` opens it.
    imported
        Signal with the new `SessionInfo` and a tuple of notices.
    known
        Signal with the `SessionInfo` of a session that is in the library already.
    mended
        Signal with the `SessionInfo` of a session whose columns were mended.
    """

    refused = Signal(str)
    unfinished = Signal(str)
    imported = Signal(object, object)
    known = Signal(object)
    mended = Signal(object)

    def __init__(self, host: Host, window: QWidget) -> None:
        super().__init__(window)
        self._host, self._window = host, window
        self._left: dict[str, Any] = {}
        self.importer = LogImport(host, window)
        self.revision = Revision(host, window)
        self.hand = HandReadings(host, window)
        self.remapping = Remapping(host, window)
        for one in (self.importer, self.revision, self.hand, self.remapping):
            one.refused.connect(self.refused)
        for key, one in (
            ("import", self.importer),
            ("conditions", self.revision),
            ("typed", self.hand),
            ("columns", self.remapping),
        ):
            one.not_saved.connect(self._keeper(key))
        for source in (self.importer, self.hand):
            source.imported.connect(self._has_imported)
            source.known.connect(self.known)
        self.remapping.mended.connect(self.mended)
        self.remapping.typed.connect(self.hand.correct)

    def ask_for_logs(self) -> None:
        """Ask for files and import them."""
        names, _ = QFileDialog.getOpenFileNames(self._window.window(), "Import logs", "", self.file_filter())
        self.importer.start_all(Path(name) for name in names)

    def file_filter(self) -> str:
        """The kinds of files offered, those that plugins read among them."""
        brought = {one.lstrip("*.") for reader in self._host.log_readers() for one in reader.endings}
        endings = [*_COMMON, *sorted(brought - set(_COMMON))]
        return f"Logs ({' '.join(f'*.{one}' for one in endings)});;All files (*)"

    def snapshot(self) -> dict[str, Any] | None:
        """What was entered anywhere and is not stored, for the drafts."""
        now = {
            "import": self.importer.snapshot(),
            "conditions": self.revision.snapshot(),
            "typed": self.hand.snapshot(),
            "columns": self.remapping.snapshot(),
        }
        return {**self._left, **{key: one for key, one in now.items() if one}} or None

    def restore(self, kept: dict[str, Any]) -> None:
        """Tell that something was entered before."""
        self._left = kept
        self.unfinished.emit(_words(kept))

    def resume(self) -> None:
        """Open everything that was not finished, one after the other as it is asked for."""
        kept, self._left = self._left, {}
        for key, take_up in self._ways().items():
            if key in kept:
                # One dialog at a time: the rest is kept, and offered again.
                rest = {name: one for name, one in kept.items() if name != key}
                if rest:
                    self.restore(rest)
                take_up(kept[key])
                return

    def _ways(self) -> dict[str, Callable[[Any], None]]:
        return {
            "import": lambda kept: self.importer.start(Path(kept["path"]), kept),
            "conditions": self.revision.resume,
            "columns": self.remapping.resume,
            "typed": self.hand.resume,
        }

    def _keeper(self, key: str) -> Callable[[object], None]:
        def keep(entered: object) -> None:
            if entered:
                self.restore({**self._left, key: entered})

        return keep

    def _has_imported(self, info: SessionInfo, notices: tuple[object, ...]) -> None:
        self._left.pop("import", None)
        self._host.drafts.save()
        self.imported.emit(info, notices)


def _words(kept: dict[str, Any]) -> str:
    told = []
    if "import" in kept:
        told.append(f"the import of {Path(kept['import']['path']).name}")
    if "conditions" in kept:
        told.append("a change of a session's conditions")
    if "columns" in kept:
        told.append("a change of what a session's columns mean")
    if "typed" in kept:
        told.append("readings typed by hand")
    first = told[0] if len(told) == 1 else ", ".join(told)
    was = "was" if len(told) == 1 and "typed" not in kept else "were"
    return f"{first[:1].upper()}{first[1:]} {was} not finished; what was entered is kept."
