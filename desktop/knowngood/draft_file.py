"""The file of unsaved input, one for each window of the program that is open at the same time."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QLockFile

from knowngood.files import replace_text, set_aside

if TYPE_CHECKING:
    from pathlib import Path

Draft = dict[str, Any]

_MOST_WINDOWS = 20


class DraftFile:
    """Holds the drafts of this run of the program; no other run writes the same file.

    The first run takes the file itself, a second one at the same time takes one beside it. A file
    whose run has ended without its drafts being taken up is adopted by the next start.

    Attributes
    ----------
    path
        The file that is written.
    found
        The drafts that earlier runs left, by key.
    messages
        Sentences for the user about files that could not be read.
    """

    def __init__(self, path: Path) -> None:
        self.messages: list[str] = []
        self.found: dict[str, Draft] = {}
        self._lock: QLockFile | None = None
        self._written = ""
        self.path = path
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            self.messages.append(
                f"Unsaved input cannot be kept: {error}. Save your work before you close the window, and "
                "free the disk or folder."
            )
            return
        for number in range(1, _MOST_WINDOWS):
            self._visit(path if number == 1 else path.with_name(f"{path.stem}-{number}{path.suffix}"))

    def write(self, drafts: dict[str, Draft]) -> None:
        """Replace the file by these drafts, if they have changed.

        Raises
        ------
        OSError
            When the file cannot be written; its former content is untouched.
        """
        text = json.dumps(drafts, indent=1)
        if text != self._written:
            replace_text(self.path, text)
            self._written = text

    def close(self) -> None:
        """Let the next start have the file."""
        if self._lock is not None:
            self._lock.unlock()

    def _visit(self, path: Path) -> None:
        """Take the first free file as ours, and take over what lies in further free ones."""
        if self._lock is not None and not path.exists():
            return
        lock = QLockFile(str(path.with_suffix(".lock")))
        lock.setStaleLockTime(0)  # never by age: a long-lived window keeps its file
        if not lock.tryLock(0):
            return
        drafts = self._read(path)
        if self._lock is None:
            self._lock, self.path, self.found = lock, path, drafts
            self._written = json.dumps(drafts, indent=1) if drafts else ""
            return
        if drafts.keys().isdisjoint(self.found):
            self.found |= drafts
            self.write(self.found)
            path.unlink(missing_ok=True)
        lock.unlock()

    def _read(self, path: Path) -> dict[str, Draft]:
        try:
            return _drafts_in(path.read_text("utf-8"))
        except FileNotFoundError:
            return {}
        except ValueError as error:
            aside = set_aside(path)
            self.messages.append(
                f"The file of unsaved input could not be read ({error}). It was kept as {aside}."
            )
            return {}


def _drafts_in(text: str) -> dict[str, Draft]:
    kept = json.loads(text)
    if not isinstance(kept, dict) or not all(isinstance(one, dict) for one in kept.values()):
        raise ValueError("it holds no drafts")
    return kept
