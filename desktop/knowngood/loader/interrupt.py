"""Raises an exception in a thread that does not come back by itself."""

from __future__ import annotations

import ctypes
import signal
import threading
from typing import TYPE_CHECKING, Protocol

from knowngood.loader.status import PluginStuck

if TYPE_CHECKING:
    from collections.abc import Callable
    from types import FrameType


class Interrupt(Protocol):
    """A way to raise `PluginStuck` in the thread that made it."""

    def fire(self) -> None:
        """Raise it there, from another thread."""

    def withdraw(self) -> None:
        """Take back what has not been raised yet; called by that thread itself."""

    def close(self) -> None:
        """Give back what was taken."""


class SignalInterrupt:
    """By a signal, which also ends waiting: a sleep, a socket, a lock. For the main thread of POSIX systems.

    Parameters
    ----------
    wanted
        Looks at the frame that runs when the signal arrives: it is left alone unless this says yes.
    """

    def __init__(self, wanted: Callable[[FrameType | None], bool]) -> None:
        self._wanted = wanted
        self._thread = threading.get_ident()
        self._former = signal.signal(signal.SIGUSR1, self._arrived)

    def fire(self) -> None:
        """Send the signal."""
        signal.pthread_kill(self._thread, signal.SIGUSR1)

    def withdraw(self) -> None:
        """Nothing is on its way: a signal is taken where it arrives."""

    def close(self) -> None:
        """Give the signal back."""
        # None stands for a handler that was not set from Python and cannot be set again.
        signal.signal(signal.SIGUSR1, signal.SIG_DFL if self._former is None else self._former)

    def _arrived(self, _number: int, frame: FrameType | None) -> None:
        if self._wanted(frame):
            raise PluginStuck


class BytecodeInterrupt:
    """Between two instructions of Python, on any system: what waits inside a call is reached after it."""

    def __init__(self, _wanted: Callable[[FrameType | None], bool]) -> None:
        self._thread = ctypes.c_ulong(threading.get_ident())

    def fire(self) -> None:
        """Have it raised at the thread's next instruction."""
        ctypes.pythonapi.PyThreadState_SetAsyncExc(self._thread, ctypes.py_object(PluginStuck))

    def close(self) -> None:
        """As `withdraw`."""
        self.withdraw()

    def withdraw(self) -> None:
        """Have it not raised after all."""
        ctypes.pythonapi.PyThreadState_SetAsyncExc(self._thread, None)


def interrupt_for_this_thread(wanted: Callable[[FrameType | None], bool]) -> Interrupt:
    """The stronger way that there is here."""
    if hasattr(signal, "pthread_kill") and threading.current_thread() is threading.main_thread():
        return SignalInterrupt(wanted)
    return BytecodeInterrupt(wanted)
