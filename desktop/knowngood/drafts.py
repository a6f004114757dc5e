"""Keeps what was typed but not saved, so that neither a crash nor a power cut loses it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from knowngood.draft_file import Draft, DraftFile
from knowngood.files import replace_text

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

_SAVE_EVERY_MS = 3_000


@dataclass(slots=True)
class _Keeper:
    snapshot: Callable[[], Draft | None]
    complained: bool = False


class Drafts(QObject):
    """Takes a snapshot of every registered page every few seconds and writes them to one file.

    Parameters
    ----------
    path
        The JSON file; a page's draft stays in it until the page is made again and empties it.

    Attributes
    ----------
    problem
        Signal with a sentence: something could not be kept or brought back.
    messages
        The sentences said so far, for whoever comes to listen late.
    """

    problem = Signal(str)

    def __init__(
        self, path: Path, *, save_every_ms: int = _SAVE_EVERY_MS, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._file = DraftFile(path)
        self._keepers: dict[str, _Keeper] = {}
        self._kept = dict(self._file.found)
        self.messages: list[str] = list(self._file.messages)
        self._timer = QTimer(self)
        self._timer.timeout.connect(self.save)
        self._timer.start(save_every_ms)

    @property
    def folder(self) -> Path:
        """Where drafts lie; what is too large for one, such as a copy of a file, can lie beside them."""
        return self._file.path.parent

    @property
    def waiting(self) -> tuple[str, ...]:
        """The keys of drafts whose page has not been made yet."""
        return tuple(key for key in self._kept if key not in self._keepers)

    def keep(self, key: str, snapshot: Callable[[], Draft | None], restore: Callable[[Draft], None]) -> None:
        """Keep a page's unsaved input from now on, and bring back what was kept of it before.

        Parameters
        ----------
        key
            Names the page; registering it again replaces the former snapshot.
        snapshot
            Returns the input as JSON can hold it, or None when there is nothing unsaved.
        restore
            Called at once, and only then, when a draft of this key is on file.
        """
        draft = self._kept.get(key)
        if draft is not None:
            self._bring_back(key, draft, restore)
        self._keepers[key] = _Keeper(snapshot)

    def forget(self, key: str) -> None:
        """Drop a page's draft because its input has been saved or discarded."""
        if self._kept.pop(key, None) is not None:
            self._write()

    def save(self) -> bool:
        """Take all snapshots and write them if anything changed; False when something was not kept."""
        taken = [self._take(key, keeper) for key, keeper in tuple(self._keepers.items())]
        return self._write() and all(taken)

    def close(self) -> None:
        """Save once more and stop; a page that is destroyed afterwards is not asked again."""
        self._timer.stop()
        self.save()
        self._keepers.clear()
        self._file.close()

    def _take(self, key: str, keeper: _Keeper) -> bool:
        try:
            draft = keeper.snapshot()
            if draft is None:
                self._kept.pop(key, None)
            else:
                # What a page hands over is copied: it may go on changing it.
                self._kept[key] = json.loads(json.dumps(draft))
        except Exception as error:  # noqa: BLE001 - one page must not cost the others their drafts
            if _is_gone(error):
                del self._keepers[key]
                return True
            if not keeper.complained:
                keeper.complained = True
                self._say(
                    f"The unsaved input of '{key}' cannot be kept ({error}). Its last kept state stays."
                )
            return False
        return True

    def _bring_back(self, key: str, draft: Draft, restore: Callable[[Draft], None]) -> None:
        try:
            restore(draft)
        except Exception as error:  # noqa: BLE001 - a draft that no longer fits must not stop the page
            aside = self._put_aside({key: draft})
            self._say(
                f"The unsaved input of '{key}' could not be brought back ({error}). It was kept in {aside}."
            )

    def _put_aside(self, drafts: dict[str, Draft]) -> Path:
        stamp = datetime.now(UTC).strftime("%Y%m%d-%H%M%S-%f")
        aside = self._file.path.with_name(f"drafts-not-restored-{stamp}.json")
        replace_text(aside, json.dumps(drafts, indent=1))
        return aside

    def _write(self) -> bool:
        try:
            self._file.write(self._kept)
        except OSError as error:
            self._say(f"Unsaved input cannot be kept: {error}. Save your work and free the disk or folder.")
            return False
        return True

    def _say(self, sentence: str) -> None:
        if sentence not in self.messages:
            self.messages.append(sentence)
            self.problem.emit(sentence)


def _is_gone(error: Exception) -> bool:
    """Whether a page was taken out of the window since: what was kept of it stays for its return."""
    return isinstance(error, RuntimeError) and "already deleted" in str(error)
