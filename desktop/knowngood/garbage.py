"""Keeps Python's cycle collector on the GUI thread while work runs on others.

A cycle of Python objects that holds a QObject is destroyed by whichever thread happens to collect it. On a
worker that tears down Qt objects off the GUI thread, and it stops the program for good when the GUI thread
destroys one at the same moment: each then holds a lock that the other waits for.
"""

from __future__ import annotations

import gc

from PySide6.QtCore import QObject, QTimer

_EVERY_MS = 250


class GuiGarbage(QObject):
    """Between `hold` and `release` cycles are collected by a timer of this object's thread alone."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._held = False
        self._timer = QTimer(self)
        self._timer.setInterval(_EVERY_MS)
        self._timer.timeout.connect(collect_what_is_due)

    def hold(self) -> None:
        """Stop the collector from running wherever it likes; a second call changes nothing."""
        if self._held or not gc.isenabled():
            return
        self._held = True
        gc.disable()
        self._timer.start()

    def release(self) -> None:
        """Let the collector run as before."""
        if self._held:
            self._held = False
            self._timer.stop()
            gc.enable()


def collect_what_is_due() -> None:
    """Collect the oldest generation whose count has passed its threshold, as the collector itself would."""
    for generation, (count, threshold) in reversed(
        list(enumerate(zip(gc.get_count(), gc.get_threshold(), strict=True)))
    ):
        if threshold and count > threshold:
            gc.collect(generation)
            return
