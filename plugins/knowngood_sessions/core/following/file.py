"""A file followed while its logger writes it: looked at again and again, read on, and told about in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from .follower import Delta
from .lines import before_line
from .tail import Tail

if TYPE_CHECKING:
    from pathlib import Path

    from .follower import Follower
    from .samples import Samples


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """What a look at the file brought.

    ``samples`` is everything so far, None before the first sample. ``trouble`` says what is the matter
    right now, empty when nothing is; ``over`` tells that nothing more will come. ``more`` tells that another
    look at once will bring more.
    """

    delta: Delta
    samples: Samples | None
    barometer_pa: float | None
    read_bytes: int
    trouble: str = ""
    over: bool = False
    more: bool = False


class FollowedFile:
    """Looks at a file and has what was added read; every method may take a while and none is for two threads.

    Parameters
    ----------
    largest_bytes
        Nothing is read beyond so many.
    copy
        Where what was read is kept besides, for when the program ends; what lies there already comes first.
    """

    def __init__(self, path: Path, follower: Follower, largest_bytes: int, copy: Path | None = None) -> None:
        self.path = path
        self._follower = follower
        self._tail = Tail(path, largest_bytes, copy=copy)

    def look(self) -> Seen:
        """Read what was added since the last look."""
        follower = self._follower
        piece = self._tail.look()
        delta = follower.feed(piece.data) if piece.data else Delta()
        if follower.wants_whole:
            delta = follower.read_whole(self._tail.everything())
        trouble = follower.ended or piece.words or follower.unread
        over = bool(follower.ended) or piece.lasting
        return self._seen(delta, trouble, over=over, more=piece.more and not over)

    def look_at_air_pressure(self) -> Seen:
        """Derive everything anew where the recorded air pressure has turned out to be another one."""
        return self._seen(self._follower.rebased())

    def content(self) -> bytes:
        """What is to be stored: all that was read, up to where another recording begins."""
        while not (piece := self._tail.look()).lasting and piece.data:
            self._follower.feed(piece.data)
        everything = self._tail.everything()
        if self._follower.wants_whole:
            self._follower.read_whole(everything)
        line = self._follower.ended_line
        return before_line(everything, line) if line else everything

    def close(self) -> None:
        """Let go of the copy of what was read; one that has a place stays there for a later run."""
        self._tail.close()

    def remove(self) -> None:
        """Let go of the copy for good."""
        self._tail.remove()

    def _seen(self, delta: Delta, trouble: str = "", *, over: bool = False, more: bool = False) -> Seen:
        follower = self._follower
        return Seen(
            delta, follower.samples, follower.barometer_pa, self._tail.read_bytes, trouble, over, more
        )
