"""The end of a file that another program writes: what was added, and what else became of the file."""

from __future__ import annotations

import contextlib
import os
import tempfile
import time
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from .lines import coding_of

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path
    from typing import BinaryIO

GRACE_S = 3.0
"""So long a file may be shorter or another than what was read: some loggers write it anew from the start."""

MOST_BYTES = 4_000_000
"""At most so much is read at once, so that the first samples of a long log are there soon."""

_HEAD_BYTES = 4_096
_PROBE_BYTES = 1_024


class State(StrEnum):
    """What is the matter with a file that is read while it is written."""

    GROWING = "growing"
    UNREACHABLE = "unreachable"
    IN_DOUBT = "in doubt"
    CUT_SHORT = "cut short"
    REPLACED = "replaced"
    TOO_LARGE = "too large"


_LASTING = (State.CUT_SHORT, State.REPLACED, State.TOO_LARGE)


@dataclass(frozen=True, slots=True)
class Piece:
    """What a look at the file brought: bytes that were added, and how the file stands, in words.

    ``more`` tells that another look at once will bring more.
    """

    data: bytes
    state: State
    words: str = ""
    more: bool = False

    @property
    def lasting(self) -> bool:
        """Whether nothing more will come: the file is no longer the one that was read."""
        return self.state in _LASTING


class Tail:
    """Reads what is added to a file, and keeps a copy of all that was read.

    Each look opens the file anew: on a network share only that shows what others wrote, and the logger is
    never kept from renaming or removing its file for longer than a look takes. What was read before is
    compared at its beginning and end each time, so that another file of the same name is noticed.

    Parameters
    ----------
    path
        The file.
    largest_bytes
        Nothing is read beyond so many.
    clock
        Seconds from anywhere.
    copy
        Where the copy lies, so that it outlives the program; without it, it does not. What an earlier run
        left there comes first, whatever has become of the file since.

    Attributes
    ----------
    read_bytes
        How much was read.
    """

    def __init__(
        self,
        path: Path,
        largest_bytes: int,
        clock: Callable[[], float] = time.monotonic,
        copy: Path | None = None,
    ) -> None:
        self.read_bytes = 0
        self._path, self._largest, self._clock = path, largest_bytes, clock
        self._copy_path, self._copy = _opened(copy)
        self._left_bytes = os.fstat(self._copy.fileno()).st_size
        self._head = self._probe = b""
        self._doubt_since: float | None = None
        self._ended: Piece | None = None

    def look(self) -> Piece:
        """What was added since the last look, at most `MOST_BYTES`."""
        if self._ended is not None:
            return self._ended
        if self.read_bytes < self._left_bytes:
            return self._from_copy()
        try:
            with self._path.open("rb") as file:
                piece = self._look_into(file)
        except OSError as error:
            piece = Piece(b"", State.UNREACHABLE, self._unreachable(error))
        if piece.lasting:
            self._ended = Piece(b"", piece.state, piece.words)
        return piece

    def everything(self) -> bytes:
        """All that was read, from the copy: the file itself may hold something else by now."""
        self._copy.seek(0)
        return self._copy.read(self.read_bytes)

    def close(self) -> None:
        """Let go of the copy; one that has a place of its own stays there."""
        self._copy.close()

    def remove(self) -> None:
        """Let go of the copy and of its place: it is needed no more."""
        self._copy.close()
        if self._copy_path is not None:
            self._copy_path.unlink(missing_ok=True)

    def _from_copy(self) -> Piece:
        """What an earlier run read."""
        self._copy.seek(self.read_bytes)
        read = self._copy.read(min(MOST_BYTES, self._left_bytes - self.read_bytes))
        # A power cut can leave room that was never written.
        data = self._written(read)
        if len(data) < len(read):
            self._left_bytes = self.read_bytes + len(data)
        self._note(data)
        return Piece(data, State.GROWING, more=True)

    def _look_into(self, file: BinaryIO) -> Piece:
        size = os.fstat(file.fileno()).st_size
        changed = self._changed(file, size)
        if changed is not None:
            return self._doubted(changed)
        self._doubt_since = None
        if size > self._largest:
            return Piece(b"", State.TOO_LARGE, self._too_large())
        file.seek(self.read_bytes)
        data = self._written(file.read(MOST_BYTES))
        if data:
            self._keep(data)
        return Piece(data, State.GROWING, more=len(data) == MOST_BYTES)

    def _changed(self, file: BinaryIO, size: int) -> State | None:
        """How the file differs from what was read of it, None where it does not."""
        head = file.read(len(self._head))
        if size < self.read_bytes:
            return State.CUT_SHORT if self._head.startswith(head) else State.REPLACED
        file.seek(self.read_bytes - len(self._probe))
        return None if head == self._head and file.read(len(self._probe)) == self._probe else State.REPLACED

    def _doubted(self, state: State) -> Piece:
        now = self._clock()
        if self._doubt_since is None:
            self._doubt_since = now
        name = self._path.name
        if now - self._doubt_since < GRACE_S:
            return Piece(
                b"", State.IN_DOUBT, f"{name} is being written anew; waiting for what becomes of it."
            )
        happened = (
            f"{name} has become shorter than what was read of it"
            if state is State.CUT_SHORT
            else f"{name} is another file now than the one that was read"
        )
        return Piece(
            b"",
            state,
            f"{happened}: the logger has begun anew or someone exchanged it. What was read is kept; finish "
            "to store it, then follow the new file.",
        )

    def _written(self, data: bytes) -> bytes:
        """The data without room that was reserved and is not written yet: it reads as zero bytes."""
        if b"\0" not in data or coding_of(self._head or data).width > 1:
            return data
        return data[: data.index(b"\0")]

    def _keep(self, data: bytes) -> None:
        # Where an earlier attempt failed half-way, on a full disk, its part is written over.
        self._copy.seek(self.read_bytes)
        self._copy.write(data)
        self._copy.flush()
        self._note(data)

    def _note(self, data: bytes) -> None:
        self.read_bytes += len(data)
        self._head = (self._head + data)[:_HEAD_BYTES] if len(self._head) < _HEAD_BYTES else self._head
        self._probe = (self._probe + data)[-_PROBE_BYTES:]

    def _unreachable(self, error: OSError) -> str:
        if isinstance(error, FileNotFoundError):
            return f"{self._path.name} is not there at the moment; it is looked for again and again."
        reason = error.strerror or str(error)
        return f"{self._path.name} cannot be read at the moment ({reason}); it is tried again and again."

    def _too_large(self) -> str:
        return (
            f"{self._path.name} has grown beyond {self._largest / 1e6:,.0f} MB; nothing more is read. What "
            "was read is kept; finish to store it, and record at a lower sampling rate."
        )


def _opened(copy: Path | None) -> tuple[Path | None, BinaryIO]:
    """The copy and where it lies; nowhere when there is no place for it."""
    if copy is not None:
        with contextlib.suppress(OSError):
            copy.touch()
            return copy, copy.open("r+b")
    return None, tempfile.TemporaryFile(prefix="knowngood-followed-")
