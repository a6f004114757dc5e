"""What the window does about plugins that fail or keep it standing still while it is in use."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from knowngood.loader import State
from knowngood.loader.watchdog import LIMIT_S, Watchdog

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood.loader import Plugins, PluginStatus
    from knowngood.loader.preparing import Elsewhere, Ended
    from knowngood.progress import Progress
    from knowngood.start_mark import StartMark
    from knowngood.tasks import Tasks

_BEAT_MS = 500
_SEE = "The Plugins page tells more."


class PluginFaults(QObject):
    """Tells of plugins whose pages raise, by name, and lets the others go on.

    Attributes
    ----------
    told
        Signal with a sentence, on the thread of the window.
    """

    told = Signal(str)

    def __init__(self, plugins: Plugins, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._plugins = plugins

    def take(self, error: BaseException) -> bool:
        """Take an exception that arrived at the interpreter's hook; True when nobody else need tell of it.

        A fault of the program's own plugins is noted under their name and is a fault of the program all the
        same. It may be called from any thread.
        """
        status = self._plugins.note(error)
        if status is None or status.built_in:
            return False
        if status.state is State.RUNNING:
            self.told.emit(f"The plugin '{status.name}' failed: {status.failures[-1].words}. {_SEE}")
        return True


def watch_over(mark: StartMark, parent: QObject | None = None, *, limit_s: float = LIMIT_S) -> Watchdog:
    """A watchdog of this thread that notes in the mark where the window stands still."""
    watchdog = Watchdog(limit_s=limit_s, on_stuck=mark.stuck, on_free=mark.free, on_move=mark.inside)
    timer = QTimer(parent)
    timer.timeout.connect(watchdog.beat)
    timer.start(_BEAT_MS)
    return watchdog


def in_a_task(tasks: Tasks, *, tell: Callable[[str], None]) -> Elsewhere:
    """Has the tables of plugins made by a task, which shows in the window and can be stopped there."""

    def run(title: str, work: Callable[[Progress], None], ended: Ended) -> None:
        def failed(error: BaseException) -> None:
            ended(error)
            tell(f"{error} {_SEE}")

        tasks.run(title, work, done=lambda _nothing: ended(None), failed=failed)

    return run


def news(plugins: Plugins) -> list[str]:
    """What to tell about the plugins once the window is shown, in sentences."""
    found = plugins.status()
    sentences = [_SAFE] if plugins.safe else []
    waiting = [one.name for one in found if one.state is State.WAITING]
    if waiting:
        sentences.append(f"Waiting for your approval on the Plugins page: {', '.join(waiting)}.")
    sentences += [_cost(one) for one in found if one.slow and not one.built_in]
    return sentences


def _cost(status: PluginStatus) -> str:
    spent = max(status.start_ms, status.loaded_ms)
    return f"The plugin '{status.name}' added {spent:.0f} ms to the start. {_SEE}"


_SAFE = "Safe mode: only the program's own plugins run."
