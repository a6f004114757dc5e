"""Keeps a plugin's button or timer from ending the program.

An exception of a slot is reported and the window goes on; `SystemExit` alone ends the process on the spot,
before anything can be saved: PySide hands it to the interpreter, which leaves without asking any hook.
"""

from __future__ import annotations

import builtins
import sys
from typing import TYPE_CHECKING, Any, NoReturn

from knowngood.loader.status import PluginLeft

if TYPE_CHECKING:
    from knowngood.loader.owners import Owners


class Exits:
    """Stands for ``sys.exit``, ``exit``, ``quit`` and ``SystemExit`` between `install` and `remove`.

    Called out of a plugin's code they raise `PluginLeft`; the program itself can leave. Code of plugins
    that are no part of the program knows `PluginLeft` by the name ``SystemExit``, so that what it raises
    and what it catches fit together. A library that writes out ``raise SystemExit`` is not stopped by this:
    giving the name to all code would keep libraries from catching what Python itself raises.
    """

    def __init__(self, owners: Owners) -> None:
        self._owners = owners
        self._former: tuple[Any, ...] = ()

    def install(self) -> None:
        """Take their places."""
        former: Any = builtins
        self._former = sys.exit, former.exit, former.quit
        sys.exit, former.exit, former.quit = self._exit, self._exit, self._exit
        self._owners.builtin_names.update(exit=self._exit, quit=self._exit, SystemExit=PluginLeft)

    def remove(self) -> None:
        """Give them back."""
        former: Any = builtins
        sys.exit, former.exit, former.quit = self._former
        self._owners.builtin_names.update(exit=former.exit, quit=former.quit, SystemExit=SystemExit)

    def _exit(self, status: object = None, /) -> NoReturn:
        if self._owners.of_frame(sys._getframe(1)) is not None:  # noqa: SLF001 - the one way to see who calls
            raise PluginLeft(status, how="sys.exit")
        self._former[0](status)
        raise SystemExit(status)
