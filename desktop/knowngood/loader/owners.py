"""Whose code it is: the plugin that a frame or an exception belongs to."""

from __future__ import annotations

import builtins
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from types import FrameType, TracebackType


class Owners:
    """Knows the plugins by the top of their modules' names, also those that were taken out.

    Attributes
    ----------
    builtin_names
        Python's built-in names as the code of plugins sees them.
    """

    def __init__(self) -> None:
        self.builtin_names: dict[str, Any] = dict(vars(builtins))
        self._plugins: dict[str, str] = {}
        self._built_in: set[str] = set()

    def add(self, package: str, plugin: str, *, built_in: bool = False) -> None:
        """Note that modules of a package are a plugin's, and whether it is part of the program itself."""
        self._plugins[package] = plugin
        if built_in:
            self._built_in.add(plugin)

    def of_error(self, error: BaseException) -> str | None:
        """The plugin in whose code an exception arose, or the last one that it passed through on its way."""
        owner: str | None = None
        trace: TracebackType | None = error.__traceback__
        while trace is not None:
            owner = self._of_one(trace.tb_frame) or owner
            trace = trace.tb_next
        return owner

    def of_frame(self, frame: FrameType | None) -> str | None:
        """The plugin whose code runs in a frame, or called what runs there; the innermost one."""
        while frame is not None:
            owner = self._of_one(frame)
            if owner is not None:
                return owner
            frame = frame.f_back
        return None

    def stoppable(self, frame: FrameType | None) -> str | None:
        """The plugin whose code runs in a frame and may be broken off there.

        The program's own plugins are not broken off, and nobody while a library is being imported: half a
        library would be left to all others.
        """
        while frame is not None and frame.f_globals.get("__name__") != "importlib._bootstrap":
            owner = self._of_one(frame)
            if owner is not None:
                return None if owner in self._built_in else owner
            frame = frame.f_back
        return None

    def _of_one(self, frame: FrameType) -> str | None:
        module = frame.f_globals.get("__name__")
        return self._plugins.get(module.partition(".")[0]) if isinstance(module, str) else None
