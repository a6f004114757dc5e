"""Where plugins come from: installed packages that say so, and the plugins folder."""

from __future__ import annotations

import importlib
import importlib.util
from dataclasses import dataclass
from importlib import metadata
from typing import TYPE_CHECKING

from knowngood.loader.folder import Code, read_code
from knowngood.loader.status import Origin, PluginMistake

if TYPE_CHECKING:
    from pathlib import Path
    from types import ModuleType

    from knowngood.loader.folder import CodeFinder

GROUP = "knowngood.plugins"
"""The entry point group in which an installed package names its plugin modules."""


@dataclass(frozen=True, slots=True)
class InstalledSource:
    """A plugin module of an installed package."""

    entry: metadata.EntryPoint
    origin = Origin.INSTALLED

    @property
    def name(self) -> str:
        """The name under which the package announces it."""
        return self.entry.name

    @property
    def place(self) -> str:
        """The module."""
        return self.entry.value

    @property
    def version(self) -> str:
        """The version of the package."""
        return self.entry.dist.version if self.entry.dist is not None else ""

    def load(self, _finder: CodeFinder) -> ModuleType:
        """Import the module."""
        module: ModuleType = self.entry.load()
        return module


@dataclass(frozen=True, slots=True)
class FolderSource:
    """A plugin in the plugins folder: a ``.py`` file, or a folder with a ``plugin.py``."""

    path: Path
    origin = Origin.FOLDER
    version = ""

    @property
    def name(self) -> str:
        """The file's name without its ending, or the folder's name."""
        return self.path.stem if self.path.is_file() else self.path.name

    @property
    def place(self) -> str:
        """The file or folder."""
        return str(self.path)

    def load(self, finder: CodeFinder) -> ModuleType:
        """Read all its code, then execute exactly the bytes that were read."""
        _check_name(self.name)
        code: Code = read_code(self.path)
        finder.add(code)
        return importlib.import_module(code.plugin_module)


Source = InstalledSource | FolderSource


def find_sources(folder: Path | None = None) -> tuple[Source, ...]:
    """All plugins there are, sorted by name; an installed one comes before one of the same name."""
    entries = {(entry.name, entry.value): entry for entry in metadata.entry_points(group=GROUP)}
    installed: list[Source] = [InstalledSource(entry) for entry in entries.values()]
    dropped: list[Source] = [FolderSource(path) for path in _candidates(folder)]
    return tuple(sorted(installed + dropped, key=lambda one: (one.name, one.origin is Origin.FOLDER)))


def _candidates(folder: Path | None) -> list[Path]:
    if folder is None or not folder.is_dir():
        return []
    return [
        path
        for path in folder.iterdir()
        if not path.name.startswith((".", "_")) and (path.is_dir() or path.suffix == ".py")
    ]


def _check_name(name: str) -> None:
    if not name.isidentifier():
        raise PluginMistake(
            f"'{name}' cannot be imported: name it with letters, digits and underscores, no digit first"
        )
    if importlib.util.find_spec(name) is not None:
        raise PluginMistake(f"the name '{name}' is taken by an installed module: rename the plugin")
