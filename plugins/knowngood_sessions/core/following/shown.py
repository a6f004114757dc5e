"""Findings of a session that still grows, kept calm: what was shown keeps its name and does not flicker."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from knowngood_refdata.records import Event, Findings, SteadyWindow

SETTLED_S = 5.0
"""What lies so far behind the last sample is not changed by the next ones."""

_SAME_EVENT_S = 3.0
_SAME_SHARE = 0.5


@dataclass(frozen=True, slots=True)
class Growing:
    """Findings so far. ``keys`` numbers the windows: one that grows keeps its number."""

    findings: Findings
    keys: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class _Known:
    """A window as it was found last; it is shown once it is ``sure``."""

    key: int
    window: SteadyWindow
    label: str
    sure: bool
    missed: bool = False


class Calm:
    """Takes the findings of one search after another and gives what to show.

    A window or an event at the live end is shown once two searches have found it; what lies well behind the
    end at once. A window that a search misses is shown once more before it goes, and a window keeps the
    label under which it was first shown.
    """

    def __init__(self) -> None:
        self._windows: list[_Known] = []
        self._events: list[Event] = []
        self._next_key = 1
        self._last: Growing | None = None

    def take(self, found: Findings, last_sample_s: float) -> Growing:
        """What to show after a search of the session up to ``last_sample_s``."""
        certain_s = last_sample_s - SETTLED_S
        windows, missed = self._matched(found.windows, certain_s), []
        for one in self._windows:
            gone = all(one.key != other.key for other in windows)
            if gone and one.sure and not one.missed and not _covered(one.window, windows):
                missed.append(replace(one, missed=True))
        self._windows = sorted([*windows, *missed], key=lambda one: one.window.start_s)
        shown = [one for one in self._windows if one.sure]
        events = self._calmed(found.events, certain_s)
        found = replace(found, windows=tuple(self._labelled(shown)), events=events)
        if missed and self._last is not None:
            # What follows from the windows goes with those that are shown.
            found = replace(found, responses=self._last.findings.responses)
        self._last = Growing(found, tuple(one.key for one in shown))
        return self._last

    def _matched(self, windows: Sequence[SteadyWindow], certain_s: float) -> list[_Known]:
        left = list(self._windows)
        matched = []
        for window in windows:
            before = max(left, key=lambda one: _shared(one.window, window), default=None)
            if before is not None and _shared(before.window, window) >= _SAME_SHARE:
                left.remove(before)
                matched.append(_Known(before.key, window, before.label, sure=True))
            else:
                matched.append(_Known(self._next_key, window, window.label, window.end_s <= certain_s))
                self._next_key += 1
        return matched

    def _labelled(self, shown: Iterable[_Known]) -> Iterable[SteadyWindow]:
        taken: set[str] = set()
        for one in shown:
            label = one.label if one.label not in taken else one.window.label
            number, base = 2, label
            while label in taken:
                label, number = f"{base} ({number})", number + 1
            taken.add(label)
            yield replace(one.window, label=label)

    def _calmed(self, events: Sequence[Event], certain_s: float) -> tuple[Event, ...]:
        """The events to show; the others wait for the next search to find them again."""
        before, self._events = self._events, []
        shown = []
        for event in events:
            known = next((one for one in before if _same(one, event)), None)
            if known is not None:
                before.remove(known)
                event = replace(event, at_s=known.at_s) if event.at_s > certain_s else event
            self._events.append(event)
            if known is not None or event.at_s <= certain_s:
                shown.append(event)
        return tuple(shown)


def _shared(one: SteadyWindow, other: SteadyWindow) -> float:
    """The time that two windows share, as a part of the shorter one."""
    shared = min(one.end_s, other.end_s) - max(one.start_s, other.start_s)
    shorter = min(one.end_s - one.start_s, other.end_s - other.start_s)
    return shared / shorter if shorter > 0.0 else 0.0


def _covered(window: SteadyWindow, others: Iterable[_Known]) -> bool:
    return any(_shared(window, one.window) > 0.0 for one in others)


def _same(one: Event, other: Event) -> bool:
    return one.kind is other.kind and abs(one.at_s - other.at_s) <= _SAME_EVENT_S
