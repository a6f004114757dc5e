"""Windows, events and annotations of a session, and which of them lie at a moment."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood.plotting.scales import moment

if TYPE_CHECKING:
    from knowngood.plotting.records import Annotation


@dataclass(frozen=True)
class Highlight:
    """A stretch of time, or a moment, that a finding speaks of [s], with words."""

    start_s: float
    end_s: float
    words: str = ""


@dataclass(frozen=True)
class Marks:
    """What is marked on every panel: windows (start, end, label) and events (moment, words), times in s."""

    windows: tuple[tuple[float, float, str], ...] = ()
    events: tuple[tuple[float, str], ...] = ()
    annotations: tuple[Annotation, ...] = ()
    highlight: Highlight | None = None

    def words_at(self, at_s: float, reach_s: float) -> tuple[str, ...]:
        """The words of every window that holds a moment and of every mark within reach of it [s]."""
        windows = [label for start, end, label in self.windows if start <= at_s <= end and label]
        events = [words for at, words in self.events if abs(at - at_s) <= reach_s and words]
        notes = [one.text for one in self.annotations if abs(one.at_s - at_s) <= reach_s]
        return (*windows, *events, *notes)

    def lines_at(self, at_s: float, reach_s: float) -> tuple[str, ...]:
        """As `words_at`, each with its moment, for a person who points at it."""
        windows = [
            f"{moment(start)} to {moment(end)}  {label}"
            for start, end, label in self.windows
            if start - reach_s <= at_s <= end + reach_s
        ]
        events = [f"{moment(at)}  {words}" for at, words in self.events if abs(at - at_s) <= reach_s]
        notes = [
            f"{moment(one.at_s)}  {one.text}" for one in self.annotations if abs(one.at_s - at_s) <= reach_s
        ]
        return (*windows, *events, *notes)

    def moments(self) -> list[float]:
        """Every moment at which something is marked, rising [s]."""
        edges = [edge for start, end, _ in self.windows for edge in (start, end)]
        return sorted({*edges, *(at for at, _ in self.events), *(one.at_s for one in self.annotations)})

    def next_to(self, at_s: float, *, later: bool) -> float | None:
        """The next marked moment after (before) another one; None when there is none."""
        if later:
            return next((one for one in self.moments() if one > at_s), None)
        return next((one for one in reversed(self.moments()) if one < at_s), None)
