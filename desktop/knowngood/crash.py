"""What happens when the program itself has a fault: keep the input, write a report, say so.

Exceptions of slots, timers and threads arrive at the interpreter's hooks. The handler saves what was
typed, writes the traceback to a file and has it shown, but never so often that the user drowns in
it: a view's model is asked dozens of times a repaint. Faults that end the process at once
(segmentation faults) leave their traceback in a file through `faulthandler`.
"""

from __future__ import annotations

import faulthandler
import platform
import sys
import threading
import time
import traceback
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib import metadata
from typing import IO, TYPE_CHECKING

from knowngood.files import replace_text

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path
    from types import TracebackType

_QUIET_S = 10.0
_FATAL_NAME = "fatal.txt"


@dataclass(frozen=True, slots=True)
class Fault:
    """A fault of the program in words, and where its report lies; ``report`` is None if unwritable."""

    what: str
    kept: str
    report: Path | None


class CrashHandler:
    """Stands behind the interpreter's exception hooks between `install` and `remove`.

    Parameters
    ----------
    folder
        Where reports are written.
    keep
        Saves unsaved input and tells whether all of it was kept. It is called only for a fault in the
        main thread.
    show
        Shows a fault to the user. It may be called from any thread.
    stop
        Ends the program; called for a Ctrl-C at the terminal.
    told
        Looks at an exception first and says whether it was told of already: no fault of the program's own.
    """

    def __init__(
        self,
        folder: Path,
        *,
        keep: Callable[[], bool],
        show: Callable[[Fault], None],
        stop: Callable[[], None] | None = None,
        told: Callable[[BaseException], bool] | None = None,
    ) -> None:
        self._folder = folder
        self._keep = keep
        self._show = show
        self._stop = stop
        self._told = told
        self._handling = threading.Lock()
        self._shown_at: dict[str, float] = {}
        self._fatal: IO[str] | None = None
        self._former = sys.excepthook, threading.excepthook
        self.last_run = ""
        """A sentence about a fatal end of the run before, empty when there was none."""

    def install(self) -> None:
        """Take over the hooks and look whether the run before ended fatally."""
        self._former = sys.excepthook, threading.excepthook
        sys.excepthook = self._handle
        threading.excepthook = self._handle_thread
        self._open_fatal()

    def remove(self) -> None:
        """Give the hooks back."""
        sys.excepthook, threading.excepthook = self._former
        if self._fatal is not None:
            faulthandler.disable()
            self._fatal.close()
            self._fatal = None

    def _open_fatal(self) -> None:
        path = self._folder / _FATAL_NAME
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            if path.exists() and path.stat().st_size:
                kept = path.replace(self._folder / f"fatal-{_stamp()}.txt")
                self.last_run = f"The program ended with a fatal fault last time. The report is {kept}."
            self._fatal = path.open("w", encoding="utf-8")
            faulthandler.enable(self._fatal)
        except OSError as error:
            self.last_run = f"Reports on faults cannot be written to {self._folder}: {error}."

    def _handle_thread(self, arguments: threading.ExceptHookArgs) -> None:
        if arguments.exc_value is not None:
            self._handle(arguments.exc_type, arguments.exc_value, arguments.exc_traceback)

    def _handle(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            self._interrupted(kind, error, trace)
            return
        # A fault while a fault is being handled is printed and nothing else: no recursion.
        if not self._handling.acquire(blocking=False):
            sys.__excepthook__(kind, error, trace)
            return
        try:
            if self._told is None or not self._told(error.with_traceback(trace)):
                self._report(kind, error, trace)
        except Exception:  # noqa: BLE001 - there is nobody left to tell but the terminal
            sys.__excepthook__(kind, error, trace)
            traceback.print_exc()
        finally:
            self._handling.release()

    def _interrupted(
        self, kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> None:
        if self._stop is None:
            self._former[0](kind, error, trace)
            return
        self._keep_input()
        self._stop()

    def _report(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        where = _place(kind, trace)
        now = time.monotonic()
        if now - self._shown_at.get(where, -_QUIET_S) < _QUIET_S:
            return
        self._shown_at[where] = now
        fault = write_fault(self._folder, error.with_traceback(trace), self._keep_input())
        if fault.report is None:
            sys.__excepthook__(kind, error, trace)
        self._show(fault)

    def _keep_input(self) -> str:
        if threading.current_thread() is not threading.main_thread():
            return "The window goes on running with everything you have typed."
        try:
            everything = self._keep()
        except Exception as error:  # noqa: BLE001 - the report must come out all the same
            return f"Unsaved input could not be kept: {error}."
        if not everything:
            return "Some of what you have typed could not be kept: save it before you close the window."
        return "Everything you have typed was kept and comes back at the next start."


def write_fault(folder: Path, error: BaseException, kept: str) -> Fault:
    """Write the report on an exception, with its traceback, and say where it lies."""
    head = [
        f"Knowngood {version()}, Python {platform.python_version()}, {platform.platform()}",
        datetime.now(UTC).isoformat(timespec="seconds"),
        f"thread: {threading.current_thread().name}",
        kept,
    ]
    path = folder / f"fault-{_stamp()}.txt"
    try:
        replace_text(path, "\n".join([*head, "", *traceback.format_exception(error)]))
    except OSError:
        return Fault(_in_words(type(error), error), kept, None)
    return Fault(_in_words(type(error), error), kept, path)


def version() -> str:
    """The version of the installed program, in words when it is not installed."""
    try:
        return metadata.version("knowngood")
    except metadata.PackageNotFoundError:
        return "(not installed)"


def _in_words(kind: type[BaseException], error: BaseException) -> str:
    return f"{kind.__name__}: {error}" if str(error) else kind.__name__


def _place(kind: type[BaseException], trace: TracebackType | None) -> str:
    frames = traceback.extract_tb(trace)
    return f"{kind.__qualname__} {frames[-1].filename}:{frames[-1].lineno}" if frames else kind.__qualname__


def _stamp() -> str:
    return datetime.now(UTC).strftime("%Y%m%d-%H%M%S-%f")
