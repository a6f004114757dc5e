"""Imports a plugin from the plugins folder: what was read is what runs.

The folder does not go on the module search path, where a file called like a library would stand in
for it. All code of a plugin is read once, before anything of it runs, and executed from memory: a
file that is exchanged in between changes nothing.
"""

from __future__ import annotations

import importlib.abc
import importlib.machinery
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood.loader.status import PluginMistake

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path
    from types import ModuleType


@dataclass(frozen=True, slots=True)
class Code:
    """The code of one plugin.

    ``modules`` holds, for each module name, its file and the bytes read from it; ``plugin_module`` is
    the one with the hooks.
    """

    name: str
    plugin_module: str
    modules: Mapping[str, tuple[Path, bytes]]


def read_code(path: Path) -> Code:
    """Read all code of a plugin file or folder.

    Raises
    ------
    PluginMistake
        When a folder holds no ``plugin.py``.
    OSError
        When a file cannot be read.
    """
    if path.is_file():
        return Code(path.stem, path.stem, {path.stem: (path, path.read_bytes())})
    if not (path / "plugin.py").is_file():
        raise PluginMistake("the folder holds no plugin.py, the file in which a plugin's hooks stand")
    modules: dict[str, tuple[Path, bytes]] = {path.name: (path / "__init__.py", b"")}
    for file in sorted(path.rglob("*.py")):
        parts = [path.name, *file.relative_to(path).with_suffix("").parts]
        modules[".".join(parts).removesuffix(".__init__")] = file, file.read_bytes()
    return Code(path.name, f"{path.name}.plugin", modules)


class CodeFinder(importlib.abc.MetaPathFinder):
    """Finds the modules of plugins whose code was read; asked after all others."""

    def __init__(self) -> None:
        self._modules: dict[str, tuple[Path, bytes]] = {}

    def add(self, code: Code) -> None:
        """Make a plugin's modules importable."""
        self._modules.update(code.modules)
        if self not in sys.meta_path:
            sys.meta_path.append(self)

    def close(self) -> None:
        """Make everything unimportable again and forget the modules that were imported."""
        if self in sys.meta_path:
            sys.meta_path.remove(self)
        for name in self._modules:
            sys.modules.pop(name, None)
        self._modules.clear()

    def find_spec(
        self,
        fullname: str,
        path: Sequence[str] | None,  # noqa: ARG002 - the arguments are the interface's
        target: ModuleType | None = None,  # noqa: ARG002
    ) -> importlib.machinery.ModuleSpec | None:
        """The spec of a module that was read, or of a folder without ``__init__.py`` above one."""
        prefix = f"{fullname}."
        is_package = any(name.startswith(prefix) for name in self._modules)
        if fullname not in self._modules:
            return importlib.machinery.ModuleSpec(fullname, None, is_package=True) if is_package else None
        file, content = self._modules[fullname]
        spec = importlib.machinery.ModuleSpec(
            fullname,
            _BytesLoader(file, content),
            origin=str(file),
            is_package=is_package or file.name == "__init__.py",
        )
        # A module with an origin that is a file on the disk; without this it has no __file__.
        spec.has_location = True
        return spec


class _BytesLoader(importlib.abc.SourceLoader):
    """Executes bytes that were read before; it never looks at the disk and writes no bytecode."""

    def __init__(self, file: Path, content: bytes) -> None:
        self._file = file
        self._content = content

    def get_filename(self, fullname: str) -> str:  # noqa: ARG002 - the name is the interface's
        return str(self._file)

    def get_data(self, path: str | bytes) -> bytes:
        if path != str(self._file):
            raise OSError(f"{path!r} is no part of the code that was read")
        return self._content
