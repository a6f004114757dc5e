"""Makes the tables of plugins off the thread of the window, one plugin after the other."""

from __future__ import annotations

import contextlib
import sys
import threading
from collections import deque
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from knowngood.loader.interrupt import BytecodeInterrupt
from knowngood.loader.own_tables import make_tables
from knowngood.loader.status import PluginMistake, PluginStuck
from knowngood.progress import Cancelled

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from knowngood.bringing import PluginTables
    from knowngood.loader.owners import Owners
    from knowngood.loader.record import Record
    from knowngood.progress import Progress
    from knowngood_refdata.store import Store

    Ended = Callable[[BaseException | None], None]

_LOOK_EVERY_S = 0.1


class Elsewhere(Protocol):
    """Does work on another thread, and says on the thread of the caller how it ended."""

    def __call__(self, title: str, work: Callable[[Progress], None], ended: Ended, /) -> None:
        """Start the work; ``ended`` is given what the work raised, None when all went well."""


@dataclass(frozen=True, slots=True, eq=False)
class _Wanted:
    record: Record
    work: Callable[[Progress], None]
    ended: Ended


class Preparing:
    """The plugins whose tables are still to be made.

    One after the other, because whoever changes tables has the library alone: two at once would wait for
    each other until one gives up.

    Parameters
    ----------
    elsewhere
        Does the work. All methods are called on one thread, on which it says that the work has ended.
    owners
        Knows whose code runs when the user asks to stop.
    """

    def __init__(self, elsewhere: Elsewhere, owners: Owners) -> None:
        self._elsewhere = elsewhere
        self._owners = owners
        self._wanted: deque[_Wanted] = deque()
        self._now: dict[str, _Wanted] = {}
        self._busy = False

    def add(self, record: Record, store: Store, tables: PluginTables, ended: Ended) -> None:
        """Have the tables of a plugin made once those before it are; ``ended`` is given why not, or None."""

        def work(progress: Progress) -> None:
            with record.guarded("tables"), _stoppable(progress, self._owners):
                make_tables(store, record.name, tables)

        self._now[record.name] = wanted = _Wanted(record, work, ended)
        self._wanted.append(wanted)
        self._begin()

    def forget(self, name: str) -> None:
        """Nobody waits for the tables of a plugin any more: what has not begun is left, what has goes on."""
        self._now.pop(name, None)

    def _begin(self) -> None:
        while self._wanted and not self._busy:
            wanted = self._wanted.popleft()
            # One that was switched off, and perhaps on again, is waited for no more.
            if self._now.get(wanted.record.name) is wanted:
                self._start(wanted)

    def _start(self, wanted: _Wanted) -> None:
        self._busy = True
        name = wanted.record.name

        def ended(error: BaseException | None) -> None:
            self._busy = False
            if self._now.get(name) is wanted:
                del self._now[name]
                wanted.ended(error)
            self._begin()

        self._elsewhere(f"Preparing the tables of the plugin '{name}'", wanted.work, ended)


@contextlib.contextmanager
def _stoppable(progress: Progress, owners: Owners) -> Iterator[None]:
    """Break off a plugin's code that this thread runs once the user asks to stop.

    Raises
    ------
    PluginMistake
        In the place of what was raised there to break it off.
    """
    interrupt = BytecodeInterrupt(lambda _frame: True)
    thread, ended = threading.get_ident(), threading.Event()

    def look() -> None:
        while not ended.wait(_LOOK_EVERY_S):
            try:
                progress(0.0)
            except Cancelled:
                frame = sys._current_frames().get(thread)  # noqa: SLF001 - the one way to see
                if owners.stoppable(frame) is not None:
                    interrupt.fire()

    looking = threading.Thread(target=look, name="plugin tables", daemon=True)
    looking.start()
    try:
        yield
    except PluginStuck as stuck:
        raise PluginMistake("making its tables was stopped; what the step had done was undone") from stuck
    finally:
        ended.set()
        looking.join()
        interrupt.close()
