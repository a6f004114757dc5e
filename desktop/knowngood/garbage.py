"""Keeps Python's cycle collector on the GUI thread while work runs on others.

A cycle of Python objects that holds a QObject is destroyed by whichever thread happens to collect it. On a
worker that tears down Qt objects off the GUI thread, and it stops the program for good when the GUI thread
destroys one at the same moment: each then holds a lock that the other waits for.
"""

from __future__ import annotations

import gc
import math
import time
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

if TYPE_CHECKING:
    from collections.abc import Callable

_EVERY_MS = 250
_OLDEST = 2
_REST = 50.0
"""A full collection is followed by this many times its duration without one: two percent of the time."""


class GuiGarbage(QObject):
    """Between `hold` and `release` cycles are collected by a timer of this object's thread alone."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._held = False
        self._collector = Collector()
        self._timer = QTimer(self)
        self._timer.setInterval(_EVERY_MS)
        self._timer.timeout.connect(self._collector.collect_what_is_due)

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


class Collector:
    """Collects what is due, and the oldest generation so seldom that it takes a small share of the time.

    A full collection looks at everything there is: with a large import in memory that takes a fifth of a
    second, in which the window would stand still. CPython itself waits until a quarter has been added, which
    cannot be asked from outside; waiting in proportion to what the last one took comes to the same.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._next_full = -math.inf

    def collect_what_is_due(self) -> None:
        """Collect the oldest generation whose count has passed its threshold, as the collector would."""
        counts = list(enumerate(zip(gc.get_count(), gc.get_threshold(), strict=True)))
        for generation, (count, threshold) in reversed(counts):
            if not threshold or count <= threshold:
                continue
            begun = self._clock()
            if generation == _OLDEST:
                if begun < self._next_full:
                    continue
                gc.collect(generation)
                ended = self._clock()
                self._next_full = ended + _REST * (ended - begun)
            else:
                gc.collect(generation)
            return
