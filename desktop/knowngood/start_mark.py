"""A file that lies there while the program starts or stands still, so that the next start can tell of it."""

from __future__ import annotations

import contextlib
import json
import mmap
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

_ROOM = 256


@dataclass(frozen=True, slots=True)
class Unfinished:
    """How a run ended that did not end as it should; ``plugin`` is empty when none had part in it."""

    plugin: str = ""
    stood_still: bool = False
    inside: bool = False

    def __str__(self) -> str:
        if self.stood_still:
            return f"Last time the window stood still inside the plugin '{self.plugin}' until it was ended."
        if self.inside:
            return f"Last time the program ended inside the plugin '{self.plugin}'."
        if self.plugin:
            return f"The last start ended while the plugin '{self.plugin}' was being loaded."
        return "The last start did not get as far as the window."


class StartMark:
    """The file, and one beside it that names the plugin whose code the window is in.

    The second one lies in memory shared with the disk: it costs nothing to write, and it is there after a
    program that was killed, ran into a fault of native code, or left without a word. Without a folder to
    write to neither does anything.

    Attributes
    ----------
    last
        How the run before ended; None when it ended as it should.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._starting = False
        self._room: mmap.mmap | None = None
        self.last = _read(path) or _read_inside(self._inside_path)

    def begin(self) -> None:
        """The start begins."""
        self._starting = True
        self._write(Unfinished())
        with contextlib.suppress(OSError, ValueError):
            # Lengthened and never cut: another window of the same user may have it in its memory.
            with self._inside_path.open("ab") as file:
                file.write(bytes(max(0, _ROOM - file.tell())))
            with self._inside_path.open("r+b") as file:
                self._room = mmap.mmap(file.fileno(), _ROOM)
            self.inside("")

    def done(self) -> None:
        """The start is over."""
        self._starting = False
        self._clear()

    @contextlib.contextmanager
    def loading(self, plugin: str) -> Iterator[None]:
        """A plugin is being loaded."""
        self._write(Unfinished(plugin))
        try:
            yield
        finally:
            if self._starting:
                self._write(Unfinished())
            else:
                self._clear()

    def inside(self, plugin: str) -> None:
        """The window goes into a plugin's code, or with an empty name comes out of it."""
        if self._room is not None:
            self._room[:] = plugin.encode()[:_ROOM].ljust(_ROOM, b"\0")

    def close(self) -> None:
        """The program ends as it should."""
        self._clear()
        if self._room is not None:
            self._room.close()
            self._room = None
        with contextlib.suppress(OSError):
            self._inside_path.unlink(missing_ok=True)

    def stuck(self, plugin: str) -> None:
        """The window stands still inside a plugin."""
        self._write(Unfinished(plugin, stood_still=True))

    def free(self) -> None:
        """The window gets on again."""
        self._clear()

    @property
    def _inside_path(self) -> Path:
        return self._path.with_suffix(".inside")

    def _write(self, what: Unfinished) -> None:
        with contextlib.suppress(OSError):
            self._path.parent.mkdir(parents=True, exist_ok=True)
            self._path.write_text(json.dumps(asdict(what)), "utf-8")

    def _clear(self) -> None:
        with contextlib.suppress(OSError):
            self._path.unlink(missing_ok=True)


def _read_inside(path: Path) -> Unfinished | None:
    try:
        plugin = path.read_bytes().rstrip(b"\0").decode("utf-8", "replace")
    except OSError:
        return None
    return Unfinished(plugin, inside=True) if plugin else None


def _read(path: Path) -> Unfinished | None:
    try:
        content = json.loads(path.read_text("utf-8"))
        return Unfinished(str(content["plugin"]), bool(content["stood_still"]))
    except (FileNotFoundError, NotADirectoryError):
        return None
    except (OSError, ValueError, KeyError, TypeError):
        # Broken off while it was written: the program ended then.
        return Unfinished()
