"""The samples of a log out of bytes that arrive in any pieces."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.logs import LogUnreadable

from .flow import Emitted
from .lines import Coding, Lines, coding_of, whole_part
from .opened import Opened, open_lines

if TYPE_CHECKING:
    from knowngood_refdata.logs import Notice
    from knowngood_refdata.records import Channel
    from knowngood_sessions.core.mapping.assignment import ColumnMapping

    from .flow import Stumble

_LINES_BEHIND = 20
"""So many lines behind a time that ran backwards are awaited before it is judged what happened."""


@dataclass(frozen=True, slots=True, eq=False)
class News:
    """Samples that follow those before, or replace all of them where ``anew`` is set."""

    emitted: Emitted | None = None
    anew: bool = False


class Stream:
    """Reads a log piece by piece.

    Until ``settle_bytes`` have come everything is read anew with each piece; from then on only what is new.

    Attributes
    ----------
    unread
        Why nothing can be read yet, in words; empty once something could.
    left_out, unreadable
        Lines that do not have the header's fields, and cells that hold no number, since the log has settled.
    """

    def __init__(self, name: str, mapping: ColumnMapping, settle_bytes: int) -> None:
        self.unread = "The file is empty so far."
        self.left_out = self.unreadable = 0
        self._name, self._mapping, self._settle_bytes = name, mapping, settle_bytes
        self._head = b""
        self._whole = 0
        self._opened: Opened | None = None
        self._lines: Lines | None = None
        self._given: Emitted | None = None
        self._behind, self._awaited = 0, _LINES_BEHIND

    @property
    def channels(self) -> tuple[Channel, ...]:
        """The channels of the log; their values are those that were read first."""
        return () if self._opened is None else self._opened.channels

    @property
    def notices(self) -> tuple[Notice, ...]:
        """What the reader said about what it read whole."""
        return () if self._opened is None else self._opened.notices

    @property
    def untimed(self) -> int:
        """How many rows without a readable time were left out since the log has settled."""
        return 0 if self._opened is None else self._opened.flow.untimed

    @property
    def stumble(self) -> Stumble | None:
        """Where time ran backwards, None while it has not; nothing behind it is taken."""
        return None if self._opened is None else self._opened.flow.stumble

    @property
    def wants_whole(self) -> bool:
        """Whether time ran backwards and enough has come behind it to read everything anew."""
        return self.stumble is not None and self._behind >= self._awaited

    def feed(self, data: bytes) -> News:
        """Take the next piece."""
        if self._lines is None:
            return self._read_head(self._head + data)
        return News(self._read_on(self._lines.feed(data)))

    def finish(self) -> News:
        """Take the last line without its end, and give out what still waited."""
        if self._lines is None:
            news = self._read_head(self._head, all_of_it=True)
            rest = self._finished()
            return News(rest) if news.emitted is None else News(_joined(news.emitted, rest), news.anew)
        return News(_joined(self._read_on(self._lines.finish()), self._finished()))

    def read_whole(self, data: bytes) -> News:
        """Read everything from the start anew, with what behind a stumble tells how to take it.

        Raises
        ------
        LogUnreadable
            When nobody can tell what happened; what was given stays.
        """
        coding = coding_of(data)
        whole = whole_part(data, coding)
        self._awaited *= 2
        self._behind = 0
        self._opened = open_lines(data[:whole], self._name, self._mapping)
        self._settle(data, coding, whole)
        return News(self._opened.emitted, anew=True)

    def _read_head(self, head: bytes, *, all_of_it: bool = False) -> News:
        self._head = head
        coding = coding_of(head)
        whole = len(head) if all_of_it else whole_part(head, coding)
        if whole <= self._whole:
            return News()
        try:
            opened = open_lines(head[:whole], self._name, self._mapping)
        except LogUnreadable as error:
            return self._not_read(head, coding, str(error))
        self.unread, self._whole, self._opened = "", whole, opened
        before, self._given = self._given, opened.emitted
        if len(head) > self._settle_bytes and not all_of_it:
            self._settle(head, coding, whole)
        return _since(before, opened.emitted)

    def _not_read(self, head: bytes, coding: Coding, words: str) -> News:
        if self._opened is None:
            self.unread = words
            return News()
        # What came last does not go with what was read before: it is looked at line by line.
        self._settle(head, coding, self._whole)
        assert self._lines is not None
        return News(self._read_on(self._lines.feed(b"")))

    def _settle(self, data: bytes, coding: Coding, whole: int) -> None:
        self._lines = Lines(coding, data[whole:])
        self._head, self._given = b"", None

    def _read_on(self, lines: bytes) -> Emitted | None:
        if not lines or self._opened is None:
            return None
        opened = self._opened
        part = opened.rows.read(lines)
        if self.stumble is not None:
            self._behind += len(part.times)
            return None
        self.left_out += part.left_out
        self.unreadable += part.unreadable
        emitted = opened.flow.feed(opened.times.read(part.times), part.values, part.lines)
        self._behind = int((part.lines >= self.stumble.line).sum()) if self.stumble is not None else 0
        return emitted

    def _finished(self) -> Emitted | None:
        return None if self._opened is None else self._opened.flow.finish()


def _since(before: Emitted | None, now: Emitted) -> News:
    """What has come, where what was given stays as it was; else all of it, anew."""
    if before is None:
        return News(now)
    count = before.time_s.size
    same = np.array_equal(before.time_s, now.time_s[:count]) and np.array_equal(
        before.values, now.values[:, :count], equal_nan=True
    )
    if not same:
        return News(now, anew=True)
    return News(Emitted(now.time_s[count:], now.values[:, count:]))


def _joined(first: Emitted | None, then: Emitted | None) -> Emitted | None:
    if first is None or then is None:
        return then if first is None else first
    return Emitted(
        np.concatenate([first.time_s, then.time_s]), np.concatenate([first.values, then.values], axis=1)
    )
