"""Ends a plugin's code that keeps the window standing still."""

from __future__ import annotations

import contextlib
import sys
import threading
from typing import TYPE_CHECKING

from knowngood.loader.interrupt import interrupt_for_this_thread
from knowngood.loader.owners import Owners

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from types import FrameType

    from knowngood.loader.interrupt import Interrupt

LIMIT_S = 10.0
"""How long a plugin may keep the window standing still, in seconds."""
_LOOKS = 10


class Watchdog:
    """A thread that looks whether the thread that started it gets on.

    It gets on when it beats, as a timer of the window does, and when it enters or leaves a plugin's code.
    When it does neither for too long and a plugin's code is running, an exception is raised in that code,
    and again while it goes on. Native code cannot be stopped: it is named all the same.

    Parameters
    ----------
    limit_s
        How long is too long, in seconds.
    on_stuck, on_free
        Called by the watching thread with the plugin's name when it is stopped, and when the window gets on
        again.
    on_move
        Called by the watched thread with the plugin that it goes into, and with an empty text or the plugin
        around it when it comes out.
    """

    def __init__(
        self,
        *,
        limit_s: float = LIMIT_S,
        on_stuck: Callable[[str], None] | None = None,
        on_free: Callable[[], None] | None = None,
        on_move: Callable[[str], None] | None = None,
        interrupt: Callable[[Callable[[FrameType | None], bool]], Interrupt] = interrupt_for_this_thread,
    ) -> None:
        self.owners = Owners()
        self._limit_s = limit_s
        self._on_stuck, self._on_free = on_stuck, on_free
        self._watched = threading.get_ident()
        self._inside: list[str] = []
        self._on_move = on_move
        self._moves = 0
        self._beating = False
        self._ended = threading.Event()
        self._stopping: str | None = None
        self._interrupt = interrupt(lambda frame: self._culprit(frame) is not None)
        self._thread = threading.Thread(target=self._watch, name="plugin watchdog", daemon=True)
        self._thread.start()

    def beat(self) -> None:
        """Tell that the window gets on; called by a timer of its thread."""
        self._beating = True
        self._moves += 1

    @contextlib.contextmanager
    def inside(self, name: str) -> Iterator[None]:
        """Watch over a stretch of a plugin's code; on other threads than the watched one nothing is done."""
        if threading.get_ident() != self._watched:
            yield
            return
        self._inside.append(name)
        self._move(name)
        try:
            yield
        finally:
            self._inside.pop()
            self._move(self._inside[-1] if self._inside else "")
            if self._stopping is not None:
                self._interrupt.withdraw()

    def close(self) -> None:
        """Stop watching; called by the watched thread."""
        self._ended.set()
        self._thread.join()
        self._interrupt.close()

    def _move(self, name: str) -> None:
        self._moves += 1
        if self._on_move is not None:
            self._on_move(name)

    def _watch(self) -> None:
        # Looks are counted, not seconds: a computer that was asleep has not stood still.
        seen, still = self._moves, 0
        while not self._ended.wait(self._limit_s / _LOOKS):
            if self._moves != seen:
                seen, still = self._moves, 0
                self._set_free()
                continue
            still += 1
            if still >= _LOOKS:
                still = _LOOKS // 2
                self._stop()

    def _stop(self) -> None:
        culprit = self._culprit(sys._current_frames().get(self._watched))  # noqa: SLF001 - the one way to see
        if culprit is None:
            return
        if self._stopping != culprit:
            self._stopping = culprit
            if self._on_stuck is not None:
                self._on_stuck(culprit)
        self._interrupt.fire()

    def _set_free(self) -> None:
        if self._stopping is not None:
            self._stopping = None
            if self._on_free is not None:
                self._on_free()

    def _culprit(self, frame: FrameType | None) -> str | None:
        """The plugin whose code runs, once it can be told that it does not get on."""
        return self.owners.stoppable(frame) if self._inside or self._beating else None
