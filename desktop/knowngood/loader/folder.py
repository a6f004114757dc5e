"""Imports a plugin from the plugins folder: what was read is what runs.

The folder does not go on the module search path, where a file called like a library would stand in
for it. All code of a plugin is read once, before anything of it runs, and executed from memory: a
file that is exchanged in between changes nothing.
"""

from __future__ import annotations

import importlib.abc
import importlib.machinery
import sys
from typing import TYPE_CHECKING

from knowngood.loader.installed import InstalledFinder

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path
    from types import ModuleType
    from typing import Any

    from knowngood.loader.candidate import Candidate


def modules_of(candidate: Candidate) -> dict[str, tuple[Path, bytes]]:
    """For each module of a plugin its file and the bytes read from it, by the module's name."""
    contents, package = candidate.contents, candidate.package
    if contents is None:
        return {}
    if candidate.module == contents.name and not candidate.below:
        ((file, content),) = contents.files.items()
        return {package: (contents.root / file, content)}
    start = f"{candidate.below}/" if candidate.below else ""
    modules = {package: (contents.root / start / "__init__.py", b"")}
    for path, content in contents.files.items():
        inner = path.removeprefix(start)
        if path.startswith(start) and inner.endswith(".py"):
            name = ".".join([package, *inner.removesuffix(".py").split("/")])
            modules[name.removesuffix(".__init__")] = contents.root / path, content
    return modules


class CodeFinder(importlib.abc.MetaPathFinder):
    """Finds the modules of plugins whose code was read; asked after all others.

    Parameters
    ----------
    builtin_names
        The built-in names as their code is to see them.
    """

    def __init__(self, builtin_names: dict[str, Any]) -> None:
        self._builtin_names = builtin_names
        self._installed = InstalledFinder(builtin_names)
        self._modules: dict[str, tuple[Path, bytes]] = {}

    def add(self, modules: Mapping[str, tuple[Path, bytes]]) -> None:
        """Make a plugin's modules importable: see `modules_of`."""
        self._modules.update(modules)
        if self not in sys.meta_path:
            sys.meta_path.append(self)

    def adopt(self, package: str) -> None:
        """Give the built-in names to an installed plugin too, whose code Python itself finds."""
        self._installed.add(package)

    def drop(self, package: str) -> None:
        """Forget the code of one plugin, so that it can be read anew; other code stays."""
        if package not in self._modules:
            return
        for name in [one for one in self._modules if _within(one, package)]:
            del self._modules[name]
        for name in [one for one in sys.modules if _within(one, package)]:
            del sys.modules[name]

    def close(self) -> None:
        """Make everything unimportable again and forget the modules that were imported."""
        self._installed.close()
        if self in sys.meta_path:
            sys.meta_path.remove(self)
        for package in {name.partition(".")[0] for name in self._modules}:
            self.drop(package)

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
            _BytesLoader(file, content, self._builtin_names),
            origin=str(file),
            is_package=is_package or file.name == "__init__.py",
        )
        # A module with an origin that is a file on the disk; without this it has no __file__.
        spec.has_location = True
        return spec


def _within(module: str, package: str) -> bool:
    return module == package or module.startswith(f"{package}.")


class _BytesLoader(importlib.abc.SourceLoader):
    """Executes bytes that were read before; it never looks at the disk and writes no bytecode."""

    def __init__(self, file: Path, content: bytes, builtin_names: dict[str, Any]) -> None:
        self._file = file
        self._content = content
        self._builtin_names = builtin_names

    def exec_module(self, module: ModuleType) -> None:
        module.__dict__["__builtins__"] = self._builtin_names
        super().exec_module(module)

    def get_filename(self, fullname: str) -> str:  # noqa: ARG002 - the name is the interface's
        return str(self._file)

    def get_data(self, path: str | bytes) -> bytes:
        if path != str(self._file):
            raise OSError(f"{path!r} is no part of the code that was read")
        return self._content
