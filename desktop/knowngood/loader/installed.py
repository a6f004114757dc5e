"""Imports installed plugins as Python does, but for the built-in names that their code sees."""

from __future__ import annotations

import importlib.abc
import importlib.machinery
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from types import ModuleType
    from typing import Any


class InstalledFinder(importlib.abc.MetaPathFinder):
    """Finds the modules of packages that were added; asked before all others.

    Parameters
    ----------
    builtin_names
        The built-in names as their code is to see them.
    """

    def __init__(self, builtin_names: dict[str, Any]) -> None:
        self._builtin_names = builtin_names
        self._packages: set[str] = set()

    def add(self, package: str) -> None:
        """Take care of a package, given the top of its modules' names."""
        self._packages.add(package)
        if self not in sys.meta_path:
            sys.meta_path.insert(0, self)

    def close(self) -> None:
        """Leave all packages to Python again."""
        if self in sys.meta_path:
            sys.meta_path.remove(self)

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        """The spec that Python finds; None, which leaves it to the next finder, for other packages."""
        if fullname.partition(".")[0] not in self._packages:
            return None
        spec = importlib.machinery.PathFinder.find_spec(fullname, path, target)
        if spec is not None and isinstance(spec.loader, importlib.machinery.SourceFileLoader):
            spec.loader = _SourceLoader(fullname, spec.loader.path, self._builtin_names)
        return spec


class _SourceLoader(importlib.machinery.SourceFileLoader):
    def __init__(self, fullname: str, path: str, builtin_names: dict[str, Any]) -> None:
        super().__init__(fullname, path)
        self._builtin_names = builtin_names

    def exec_module(self, module: ModuleType) -> None:
        module.__dict__["__builtins__"] = self._builtin_names
        super().exec_module(module)
