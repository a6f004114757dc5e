"""The files of a plugin, read once: what is hashed, shown and run are the same bytes."""

from __future__ import annotations

import hashlib
import stat
from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood.loader.status import PluginMistake

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping
    from pathlib import Path

LARGEST = 50_000_000
"""The largest plugin that is read, in bytes."""
_NEVER_RUN = {"__pycache__", ".git"}


@dataclass(frozen=True, slots=True)
class Contents:
    """The files of a plugin.

    Attributes
    ----------
    name
        Of the file or folder, without an ending.
    root
        The folder that the paths start from.
    files
        The bytes of each file by its path below ``root``, with ``/`` between the parts.
    """

    name: str
    root: Path
    files: Mapping[str, bytes]

    @property
    def size(self) -> int:
        """The size of all files, in bytes."""
        return sum(map(len, self.files.values()))

    def sha256(self) -> str:
        """The SHA-256 over the sorted paths and what the files hold.

        A length stands before each path and each file: no two different sets of files give the same bytes.
        """
        total = hashlib.sha256()
        for path, content in sorted(self.files.items()):
            for part in (path.encode(errors="surrogateescape"), content):
                total.update(len(part).to_bytes(8, "big"))
                total.update(part)
        return total.hexdigest()


def read_file(path: Path) -> Contents:
    """Read a plugin that is one ``.py`` file.

    Raises
    ------
    PluginMistake
        When it is too large.
    OSError
        When it cannot be read.
    """
    return Contents(path.stem, path.parent, read_all({path.name: path}))


def read_folder(folder: Path) -> Contents:
    """Read all files of a folder, but for what Python and version control keep there for themselves.

    Raises
    ------
    PluginMistake
        When they are too large together, or one is neither a file nor a folder.
    OSError
        When one cannot be read.
    """
    found = {path.relative_to(folder).as_posix(): path for path in files_below(folder)}
    return Contents(folder.name, folder, read_all(found))


def files_below(folder: Path) -> Iterator[Path]:
    """The files below a folder; links to folders are not followed."""
    for path in sorted(folder.iterdir()):
        if path.name in _NEVER_RUN:
            continue
        if path.is_dir() and not path.is_symlink():
            yield from files_below(path)
        elif path.is_file() or not path.is_symlink():
            yield path


def read_all(paths: Mapping[str, Path]) -> dict[str, bytes]:
    """Read files, refusing before anything is read when there is too much.

    Raises
    ------
    PluginMistake
        When they are too large together, or one is no file.
    OSError
        When one cannot be read.
    """
    states = {name: path.stat() for name, path in paths.items()}
    odd = next((name for name, state in states.items() if not stat.S_ISREG(state.st_mode)), None)
    if odd is not None:
        raise PluginMistake(f"'{odd}' is neither a file nor a folder; nothing of it was read")
    refuse_large(state.st_size for state in states.values())
    return {name: path.read_bytes() for name, path in paths.items()}


def refuse_large(sizes: Iterable[int]) -> None:
    """Refuse files that are too large together.

    Raises
    ------
    PluginMistake
        For such files.
    """
    total = sum(sizes)
    if total > LARGEST:
        raise PluginMistake(
            f"its files are {total / 1e6:.0f} MB together, more than {LARGEST / 1e6:.0f} MB: "
            "nothing of it was read. Take away what it does not need to run"
        )
