"""What plugins print: the beginning is kept under their name, the rest is counted."""

from __future__ import annotations

import contextlib
import io
import sys
import threading
from typing import IO, TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator

MOST = 64 * 1024
"""How many characters of a plugin's output are kept."""


class Output:
    """What one plugin has printed.

    Attributes
    ----------
    size
        How many characters it printed in all.
    """

    def __init__(self) -> None:
        self._parts: list[str] = []
        self._room = MOST
        self.size = 0

    @property
    def text(self) -> str:
        """The beginning."""
        return "".join(self._parts)

    def take(self, text: str) -> str:
        """Take what was printed; return the part of it that is kept."""
        kept = text[: self._room]
        self.size += len(text)
        if kept:
            self._parts.append(kept)
            self._room -= len(kept)
        return kept


class Capture:
    """Stands before the program's output while plugins are asked for something.

    What other threads print in the meantime passes unchanged. What is written past Python, by native code or
    another process, is not seen.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._depth = 0
        self._former: tuple[Any, Any] = (None, None)
        self._of_thread = threading.local()

    @contextlib.contextmanager
    def into(self, output: Output) -> Iterator[None]:
        """Take what this thread prints; what is kept of it is also printed."""
        before = getattr(self._of_thread, "output", None)
        self._of_thread.output = output
        self._begin()
        try:
            yield
        finally:
            self._end()
            self._of_thread.output = before

    def _begin(self) -> None:
        with self._lock:
            if self._depth == 0:
                self._former = sys.stdout, sys.stderr
                sys.stdout, sys.stderr = (_Stream(self._of_thread, one) for one in self._former)
            self._depth += 1

    def _end(self) -> None:
        with self._lock:
            self._depth -= 1
            # Also when the plugin has put something else there.
            if self._depth == 0:
                sys.stdout, sys.stderr = self._former


class _Stream(io.TextIOBase):
    """A text stream that hands on only what is kept; without a terminal there is nothing to hand it to."""

    def __init__(self, of_thread: threading.local, stream: IO[str] | None) -> None:
        self._of_thread = of_thread
        self._stream = stream

    @property
    def buffer(self) -> _Bytes:
        """Takes bytes."""
        return _Bytes(self)

    def writable(self) -> bool:
        """Always."""
        return True

    def write(self, text: str, /) -> int:
        """Take a text."""
        output: Output | None = getattr(self._of_thread, "output", None)
        kept = text if output is None else output.take(text)
        if kept and self._stream is not None:
            self._stream.write(kept)
        return len(text)

    def flush(self) -> None:
        """Hand on at once."""
        if self._stream is not None:
            self._stream.flush()

    def fileno(self) -> int:
        """The number of the terminal's file."""
        if self._stream is None:
            raise OSError("there is no terminal")
        return self._stream.fileno()


class _Bytes(io.RawIOBase):
    """Bytes written to a text stream."""

    def __init__(self, stream: _Stream) -> None:
        self._to = stream

    def writable(self) -> bool:
        """Always."""
        return True

    def write(self, data: Any, /) -> int:
        """Take bytes."""
        content = bytes(data)
        self._to.write(content.decode("utf-8", "replace"))
        return len(content)
