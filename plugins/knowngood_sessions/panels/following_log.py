"""One log that is followed: looked at off the GUI thread, searched for findings now and then."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import QObject, QTimer, Signal

from knowngood_sessions.core.finding.analysis import analyse
from knowngood_sessions.core.following.file import FollowedFile
from knowngood_sessions.core.following.followable import LARGEST_BYTES
from knowngood_sessions.core.following.follower import Follower
from knowngood_sessions.core.following.pace import Pace
from knowngood_sessions.core.following.shown import Calm

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

    from knowngood.api import Host, Progress
    from knowngood_refdata.records import Findings
    from knowngood_sessions.core.channels.brought import Rule
    from knowngood_sessions.core.following.file import Seen
    from knowngood_sessions.core.following.samples import Samples
    from knowngood_sessions.core.mapping.assignment import Assignment
    from knowngood_sessions.library import Facts

_T = TypeVar("_T")

LOOK_EVERY_MS = 200
"""Looking is sturdier than being told: a network share tells nobody what another computer wrote."""

UNANSWERED_S = 5.0


class FollowedLog(QObject):
    """Follows one file from `start` until `stop`.

    Attributes
    ----------
    looked
        Signal with the `Seen` of each look; its delta may be empty.
    found
        Signal with the `Growing` findings, when a search has ended.
    failed
        Signal with what went wrong in the program, an exception; the following has stopped.
    """

    looked = Signal(object)
    found = Signal(object)
    failed = Signal(object)

    def __init__(
        self,
        host: Host,
        path: Path,
        mapping: Mapping[str, Assignment],
        facts: Facts,
        rules: Sequence[Rule],
        copy: Path | None = None,
    ) -> None:
        # Without a parent: a look that is on its way must find this when the page has gone.
        super().__init__()
        self._host, self._facts = host, facts
        self.path, self.mapping = path, dict(mapping)
        follower = Follower(path.name, mapping, facts.refrigerant, facts.conditions, rules)
        self._file = FollowedFile(path, follower, LARGEST_BYTES, copy)
        self._pace, self._calm = Pace(), Calm()
        self._looking_since: float | None = None
        self._over = self._rebase = False
        self._then: Callable[[], None] | None = None
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_EVERY_MS)
        self._timer.timeout.connect(self._look)

    @property
    def paused(self) -> bool:
        """Whether nothing is read at the moment."""
        return not self._timer.isActive()

    @property
    def unanswered_s(self) -> float:
        """For how long the place of the file has not answered the last look; 0 when it has."""
        since = self._looking_since
        return 0.0 if since is None else time.monotonic() - since

    def start(self) -> None:
        """Look at the file now and then on; also after a pause."""
        if not self._over:
            self._timer.start()
            self._look()

    def pause(self) -> None:
        """Stop looking; the file is read on from here later."""
        self._timer.stop()

    def stop(self, then: Callable[[], None]) -> None:
        """Stop for good; ``then`` is called once no look is on its way any more."""
        self._timer.stop()
        self._over, self._then = True, then
        self._settle()

    def abandon(self) -> None:
        """Stop for good; the file is not touched, and the copy of what was read stays for a later run."""
        self.stop(self._file.close)

    def forget(self) -> None:
        """Stop for good and let go of everything; the file is not touched."""
        self.stop(self._file.remove)

    def content(self) -> bytes:
        """What is to be stored, to be asked off the GUI thread and after `stop`."""
        return self._file.content()

    def _look(self) -> None:
        if self._looking_since is not None or self._over:
            return
        self._looking_since = time.monotonic()
        look = self._file.look_at_air_pressure if self._rebase else self._file.look
        self._rebase = False
        self._run("Looking at", lambda _: look(), self._has_looked)

    def _has_looked(self, seen: Seen) -> None:
        self._looking_since = None
        if self._over:
            self._settle()
            return
        if seen.delta.anew:
            self._pace.anew()
        self.looked.emit(seen)
        if seen.samples is not None:
            self._search(seen.samples)
        if seen.over:
            self._timer.stop()
        elif seen.more and not self.paused:
            self._look()

    def _search(self, samples: Samples) -> None:
        last_s = float(samples.time_s[-1])
        if not self._pace.due(time.monotonic(), last_s):
            return
        self._pace.begin(time.monotonic(), last_s)
        facts, recording = self._facts, samples.recording

        def work(_: Progress) -> Findings:
            return analyse(recording, facts.refrigerant, facts.conditions, facts.instruments)

        def done(found: Findings) -> None:
            self._pace.end(time.monotonic())
            if not self._over:
                self._rebase = True
                self.found.emit(self._calm.take(found, last_s))

        self._run("Searching", work, done)

    def _run(self, verb: str, work: Callable[[Progress], _T], done: Callable[[_T], None]) -> None:
        self._host.tasks.run(f"{verb} {self.path.name}", work, done=done, failed=self._fail, quiet=True)

    def _fail(self, error: BaseException) -> None:
        self._looking_since = None
        self._timer.stop()
        self._over = True
        self.failed.emit(error)
        self._settle()

    def _settle(self) -> None:
        if self._then is not None and self._looking_since is None:
            then, self._then = self._then, None
            then()
