"""Long work off the GUI thread, with progress, cancelling, and every failure shown."""

from __future__ import annotations

import sys
import threading
import time
from enum import StrEnum
from typing import TYPE_CHECKING, Any, NamedTuple

from PySide6.QtCore import QObject, QRunnable, Qt, QThread, QThreadPool, Signal, Slot

from knowngood.garbage import GuiGarbage
from knowngood.progress import Cancelled

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood.progress import Progress

_REPORT_EVERY_S = 0.05
_FEWEST_THREADS = 2


class State(StrEnum):
    """How far a task has come."""

    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"
    CANCELLED = "cancelled"


class Task(QObject):
    """One piece of work that is running or has ended.

    Attributes
    ----------
    progressed
        Signal with the fraction done and a text, on the GUI thread, at most twenty times a second.
    ended
        Signal without arguments, on the GUI thread: see `state`.
    """

    progressed = Signal(float, str)
    ended = Signal()
    _arrived = Signal()

    def __init__(self, title: str, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.title = title
        self.state = State.RUNNING
        self._stop = threading.Event()
        self._last_report = 0.0
        self._result: Any = None
        self._error: BaseException | None = None

    @property
    def error(self) -> BaseException | None:
        """What the work raised, None unless `state` is failed."""
        return self._error

    @property
    def cancelling(self) -> bool:
        """Whether the task was asked to stop."""
        return self._stop.is_set()

    def cancel(self) -> None:
        """Ask the work to stop at its next progress call."""
        self._stop.set()

    def report(self, fraction: float, text: str = "") -> None:
        """Take a progress report of the work, from any thread.

        Raises
        ------
        Cancelled
            When the task was asked to stop.
        """
        if self._stop.is_set():
            raise Cancelled
        now = time.monotonic()
        # Work that reports at every step of a fast loop must not flood the event queue.
        if now - self._last_report >= _REPORT_EVERY_S or fraction >= 1.0:
            self._last_report = now
            self.progressed.emit(min(max(fraction, 0.0), 1.0), text)


class _Job(QRunnable):
    """Carries a task's work to a thread of the pool."""

    def __init__(self, task: Task, work: Callable[[Progress], Any]) -> None:
        super().__init__()
        # The Tasks object owns the job until its end has arrived on the GUI thread.
        self.setAutoDelete(False)
        self._task: Task | None = task
        self._work: Callable[[Progress], Any] | None = work

    def forget(self) -> None:
        """Let go of the work and of all that it holds; called on the GUI thread once it has ended."""
        # WORKAROUND: a QThreadPool of PySide6 keeps a reference to every runnable it was ever given.
        self._task = self._work = None

    def run(self) -> None:
        task = self._task
        assert task is not None
        assert self._work is not None
        try:
            task._result = self._work(task.report)  # noqa: SLF001 - task and job are one mechanism
            task.state = State.DONE
        except Cancelled:
            task.state = State.CANCELLED
        except BaseException as error:  # noqa: BLE001 - SystemExit in a worker would vanish otherwise
            task._error = error  # noqa: SLF001
            task.state = State.FAILED
        task._arrived.emit()  # noqa: SLF001


class _Started(NamedTuple):
    """A job that runs, and what its starter wants to hear of it."""

    job: _Job
    done: Callable[[Any], None] | None
    failed: Callable[[BaseException], None] | None
    quiet: bool


class Tasks(QObject):
    """Runs work off the GUI thread; results come back on it.

    Parameters
    ----------
    on_failure
        Shows the failure of a task whose starter gave no ``failed``. Without it such a failure goes
        to ``sys.excepthook``, like any other exception.

    Attributes
    ----------
    started, ended
        Signals with the `Task`.
    """

    started = Signal(object)
    ended = Signal(object)

    def __init__(
        self,
        on_failure: Callable[[Task, BaseException], None] | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._on_failure = on_failure
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(max(_FEWEST_THREADS, QThread.idealThreadCount()))
        self._jobs: dict[Task, _Started] = {}
        self._closed = False
        self._garbage = GuiGarbage(self)

    @property
    def running(self) -> tuple[Task, ...]:
        """The tasks that have not ended, the oldest first."""
        return tuple(self._jobs)

    def run(
        self,
        title: str,
        work: Callable[[Progress], Any],
        *,
        done: Callable[[Any], None] | None = None,
        failed: Callable[[BaseException], None] | None = None,
        quiet: bool = False,
    ) -> Task:
        """Start a piece of work; called on the GUI thread.

        Parameters
        ----------
        title
            What is being done, as the window shows it.
        work
            Called off the GUI thread with a `Progress`; it must not touch widgets.
        done
            Called on the GUI thread with what the work returned.
        failed
            Called on the GUI thread with what the work raised; not called after cancelling.
        quiet
            Nobody waits for this work: neither `started` nor `ended` tells of it.

        Raises
        ------
        RuntimeError
            After `close`.
        """
        if self._closed:
            raise RuntimeError("the program is closing: no new work is started")
        task = Task(title, self)
        job = _Job(task, work)
        self._jobs[task] = _Started(job, done, failed, quiet)
        # Explicitly queued: the end must arrive on this thread, and after the starter has its task.
        task._arrived.connect(self._settle, Qt.ConnectionType.QueuedConnection)  # noqa: SLF001
        if not quiet:
            self.started.emit(task)
        self._garbage.hold()
        self._pool.start(job)
        return task

    def close(self, wait_ms: int = 10_000) -> bool:
        """Cancel everything and wait for it; True when all work has stopped in time.

        Nothing comes back afterwards: neither ``done`` nor ``failed`` is called.
        """
        self._closed = True
        for task in self._jobs:
            task.cancel()
        stopped = self._pool.waitForDone(wait_ms)
        if stopped:
            self._jobs.clear()
            self._garbage.release()
        return stopped

    @Slot()
    def _settle(self) -> None:
        task = self.sender()
        if self._closed or not isinstance(task, Task):
            return
        started = self._jobs.pop(task)
        started.job.forget()
        result, task._result = task._result, None  # noqa: SLF001
        if not self._jobs:
            self._garbage.release()
        task.ended.emit()
        if not started.quiet:
            self.ended.emit(task)
        task.deleteLater()
        if task.state is State.DONE and started.done is not None:
            started.done(result)
        elif task.state is State.FAILED and task.error is not None:
            self._fail(task, task.error, started.failed)

    def _fail(self, task: Task, error: BaseException, failed: Callable[[BaseException], None] | None) -> None:
        if failed is not None:
            failed(error)
        elif self._on_failure is not None:
            self._on_failure(task, error)
        else:
            sys.excepthook(type(error), error, error.__traceback__)
