"""Whether the sessions of a file have all their channels, and the channels all their samples."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import TYPE_CHECKING, Any

from knowngood_refdata.exchange.checks import samples_in
from knowngood_refdata.exchange.forms import Misfit
from knowngood_refdata.exchange.reading import unfit

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood_refdata.exchange.reading import Record


class Recordings:
    """What a file says of sessions, channels and samples, by the ids of the file."""

    def __init__(self) -> None:
        self._sessions: dict[int, tuple[str, int]] = {}  # place and number of samples
        self._cuts: set[int] = set()
        self._channels: dict[int, tuple[int, int]] = {}  # session and decimals
        self._timed: set[int] = set()
        self._samples: Counter[int] = Counter()
        self._chunks: defaultdict[int, int] = defaultdict(int)

    def note(self, kind: str, record: Record, row: Mapping[str, Any]) -> None:
        """Take in a record that is right for itself; raises `Misfit`."""
        number = record.entries.get("id", 0)
        if kind == "session":
            self._note_session(number, record, row)
        elif kind == "channel":
            session = record.entries["session"]
            if session in self._cuts:
                raise Misfit(f"the session {session} is a cut, which has no channels of its own")
            self._channels[number] = session, row["decimals"]
            if row["role"] == "time":
                self._timed.add(session)
        elif kind == "samples":
            self._note_samples(record.entries["channel"], row)

    def see_that_whole(self) -> None:
        """Refuse sessions without a time axis, and channels with too few or too many samples.

        Raises
        ------
        UnfitFile
            Naming the place of the session.
        """
        for session, (place, _) in self._sessions.items():
            if session not in self._timed | self._cuts:
                raise unfit(place, f"the session {session} has no time axis")
        for channel, (session, _) in self._channels.items():
            place, expected = self._sessions[session]
            if self._samples[channel] != expected:
                raise unfit(
                    place,
                    f"the session {session} has {expected} samples, and its channel {channel} has "
                    f"{self._samples[channel]}",
                )

    def _note_session(self, number: int, record: Record, row: Mapping[str, Any]) -> None:
        self._sessions[number] = (record.place, row["sample_count"])
        original = record.entries.get("cut of")
        if original is None:
            return
        if original in self._cuts:
            raise Misfit(f"the session {original} is a cut itself; 'cut of' names the original")
        self._cuts.add(number)

    def _note_samples(self, channel: int, row: Mapping[str, Any]) -> None:
        if row["number"] != self._chunks[channel]:
            raise Misfit(f"'number' {self._chunks[channel]} of the channel was expected")
        self._chunks[channel] += 1
        self._samples[channel] += samples_in(row["content"], self._channels[channel][1])
