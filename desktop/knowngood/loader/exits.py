"""Keeps a plugin's button or timer from ending the program.

An exception of a slot is reported and the window goes on; `SystemExit` alone ends the process on the spot,
before anything can be saved.
"""

from __future__ import annotations

import builtins
import sys
from typing import TYPE_CHECKING, Any, NoReturn

from knowngood.loader.status import PluginMistake

if TYPE_CHECKING:
    from knowngood.loader.owners import Owners


class Exits:
    """Stands for ``sys.exit``, ``exit`` and ``quit`` between `install` and `remove`.

    Called out of a plugin's code they are a mistake of the plugin; the program itself can leave. A plugin
    that raises `SystemExit` by its name out of a slot is not stopped by this.
    """

    def __init__(self, owners: Owners) -> None:
        self._owners = owners
        self._former: tuple[Any, ...] = ()

    def install(self) -> None:
        """Take their places."""
        former: Any = builtins
        self._former = sys.exit, former.exit, former.quit
        sys.exit, former.exit, former.quit = self._exit, self._exit, self._exit

    def remove(self) -> None:
        """Give them back."""
        former: Any = builtins
        sys.exit, former.exit, former.quit = self._former

    def _exit(self, status: object = None, /) -> NoReturn:
        if self._owners.of_frame(sys._getframe(1)) is not None:  # noqa: SLF001 - the one way to see who calls
            raise PluginMistake("it wanted to end the program (sys.exit)")
        self._former[0](status)
        raise SystemExit(status)
