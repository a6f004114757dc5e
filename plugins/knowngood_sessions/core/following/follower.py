"""A log read while it is written: fed with bytes in any pieces, it gives what is new in each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.logs import LogUnreadable
from knowngood_refdata.records import Recording
from knowngood_refdata.refrigerants import saturation
from knowngood_sessions.core.finding.analysis import barometer_of

from .samples import SampleStore
from .silence import Silence
from .stream import Stream

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from knowngood_refdata.records import Conditions
    from knowngood_sessions.core.channels.brought import Rule
    from knowngood_sessions.core.mapping.assignment import ColumnMapping

    from .samples import Samples
    from .stream import News

SETTLE_BYTES = 100_000
"""So much of a log is read anew with each piece, until what it is like has shown itself."""

_FAR_PA = 50.0


@dataclass(frozen=True, slots=True, eq=False)
class Delta:
    """What a piece of a log brought.

    ``samples`` follow those before, or replace all of them where ``anew`` is set; None when there are none.
    ``told`` is everything that the user should know by now, a sentence each.
    """

    samples: Samples | None = None
    anew: bool = False
    told: tuple[str, ...] = ()

    @property
    def count(self) -> int:
        """How many samples it brings."""
        return 0 if self.samples is None else self.samples.time_s.size


class Follower:
    """Reads a log that grows, under a mapping that is decided; knows neither a file nor a clock.

    Parameters
    ----------
    name
        The file's name.
    mapping
        What each column is taken for.
    conditions
        The session's; of them the local air pressure counts.
    rules
        Further channels that are worked out.
    settle_bytes
        Up to here everything is read anew with each piece: a header may come late, and the first rows may
        not show yet that the file has decimal commas.

    Attributes
    ----------
    ended
        Why nothing more is taken, in words; empty while more is. ``ended_line`` is the file's line, counted
        from 1, from which on nothing was taken.

    Raises
    ------
    knowngood_refdata.refrigerants.UnknownRefrigerant
        When there is no saturation curve for the refrigerant.
    """

    def __init__(
        self,
        name: str,
        mapping: ColumnMapping,
        refrigerant: str,
        conditions: Conditions,
        rules: Sequence[Rule] = (),
        *,
        settle_bytes: int = SETTLE_BYTES,
    ) -> None:
        saturation(refrigerant)
        self.ended, self.ended_line = "", 0
        self._refrigerant, self._conditions, self._rules = refrigerant, conditions, tuple(rules)
        self._stream = Stream(name, mapping, settle_bytes)
        self._store: SampleStore | None = None
        self._silence = Silence()

    @property
    def samples(self) -> Samples | None:
        """Everything so far, None before the first sample; it stays as it is while more is read."""
        return None if self._store is None else self._store.all()

    @property
    def barometer_pa(self) -> float | None:
        """The local air pressure that gauges are taken to count from, None before the first sample."""
        return None if self._store is None else self._store.barometer_pa

    @property
    def unread(self) -> str:
        """Why nothing can be read yet, in words; empty once something could."""
        return self._stream.unread

    @property
    def wants_whole(self) -> bool:
        """Whether everything must be read anew, because time ran backwards: see `read_whole`."""
        return not self.ended and self._stream.wants_whole

    def feed(self, data: bytes) -> Delta:
        """Take the next piece of the file."""
        return self._take(self._stream.feed(data))

    def finish(self) -> Delta:
        """Take what is left as the end of the file."""
        return self._take(self._stream.finish())

    def read_whole(self, data: bytes) -> Delta:
        """Read the file from its start anew; where time cannot be mended, `ended` tells so."""
        stumble = self._stream.stumble
        try:
            return self._take(self._stream.read_whole(data))
        except LogUnreadable as error:
            if stumble is not None:
                self.ended_line = stumble.line
                self.ended = (
                    f"From line {stumble.line:,} on the file holds another recording: its time runs back "
                    f"from {stumble.before_s:,.6g} s to {stumble.after_s:,.6g} s. What came before is kept; "
                    "finish to store it, then follow the file that the logger writes now."
                )
            else:
                self.ended = str(error)
            return Delta(told=self._told())

    def rebased(self) -> Delta:
        """Everything anew where the air pressure that the log records has turned out to be another one."""
        store, samples = self._store, self.samples
        if store is None or samples is None:
            return Delta()
        now_pa = barometer_of(samples.recording, self._conditions)
        if abs(now_pa - store.barometer_pa) < _FAR_PA:
            return Delta()
        values = [channel.values for channel in samples.recording.channels]
        self._store = SampleStore(samples.recording.channels, self._refrigerant, now_pa, self._rules)
        return Delta(self._store.add(samples.time_s, values), anew=True, told=self._told())

    def _take(self, news: News) -> Delta:
        emitted = news.emitted
        if emitted is None or emitted.time_s.size == 0:
            return Delta(told=self._told())
        if self._store is None or news.anew:
            self._silence = Silence()
            self._store = self._opened_store(news)
        samples = self._store.add(emitted.time_s, emitted.values)
        self._silence.hear(samples.recording)
        return Delta(samples, news.anew, self._told())

    def _opened_store(self, news: News) -> SampleStore:
        channels = self._stream.channels
        assert news.emitted is not None
        barometer_pa = barometer_of(Recording(news.emitted.time_s, channels), self._conditions)
        return SampleStore(channels, self._refrigerant, barometer_pa, self._rules)

    def _told(self) -> tuple[str, ...]:
        return tuple(self._sentences())

    def _sentences(self) -> Iterator[str]:
        stream = self._stream
        yield from (notice.text for notice in stream.notices)
        if stream.left_out:
            yield f"{stream.left_out:,} further lines were left out: not the fields that the header names."
        if stream.untimed:
            yield f"{stream.untimed:,} further rows without a readable time were left out."
        if stream.unreadable:
            yield f"{stream.unreadable:,} further cells hold no number and count as missing."
        if self._store is not None:
            yield from self._store.problems
        yield from self._silence.words()
        if self.ended:
            yield self.ended
        elif stream.stumble is not None:
            yield f"Time runs backwards at line {stream.stumble.line:,}; more lines will tell what happened."
