"""Loads what costs much at first use, on a thread, once the window stands.

The plots' library takes a quarter of a second to import. Done at the first click on a page with a plot it
would freeze the window for that long; done by a thread it leaves gaps of some twenty milliseconds.
"""

from __future__ import annotations

import importlib
from contextlib import suppress
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.progress import Progress
    from knowngood.tasks import Tasks

LATE_MODULES = tuple(f"knowngood.widgets.{name}" for name in ("time_plot", "cycle_diagram", "curve_plot"))
_AFTER_MS = 300


class Preload(QObject):
    """Imports modules on a thread, a moment after `start`; what cannot be imported is left alone.

    A page that needs such a module imports it itself and then tells what is wrong with it.
    """

    def __init__(
        self, tasks: Tasks, modules: Sequence[str] = LATE_MODULES, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._tasks, self._modules = tasks, tuple(modules)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_AFTER_MS)
        self._timer.timeout.connect(self._begin)

    def start(self) -> None:
        """Begin when the window has been painted and answers."""
        self._timer.start()

    def stop(self) -> None:
        """Do not begin any more."""
        self._timer.stop()

    def _begin(self) -> None:
        # A window that is being closed starts no work any more.
        with suppress(RuntimeError):
            self._tasks.run("load the plots", self._load, failed=lambda _error: None, quiet=True)

    def _load(self, progress: Progress) -> None:
        for number, module in enumerate(self._modules):
            progress(number / len(self._modules))
            with suppress(ImportError):
                importlib.import_module(module)
