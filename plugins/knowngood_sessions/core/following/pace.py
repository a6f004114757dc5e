"""How often a growing session is searched for findings, so that the search stays a small part of the work."""

from __future__ import annotations

import math

LEAST_S = 2.0
REST = 4.0
"""A search is followed by so many times its duration without one: at most a fifth of the time."""

_LEAST_NEW_S = 1.0


class Pace:
    """Decides when the next search is due; the caller tells the time, in seconds from anywhere."""

    def __init__(self) -> None:
        self._running = False
        self._begun = 0.0
        self._next = -math.inf
        self._searched_to_s = -math.inf
        self._unconfirmed = False

    def due(self, now: float, last_sample_s: float) -> bool:
        """Whether to search now a session that has grown to ``last_sample_s``.

        One that has stopped growing is searched once more: what is new counts when it is found twice.
        """
        enough = self._unconfirmed or last_sample_s - self._searched_to_s >= _LEAST_NEW_S
        return not self._running and enough and now >= self._next

    def begin(self, now: float, last_sample_s: float) -> None:
        """A search has begun."""
        self._unconfirmed = last_sample_s > self._searched_to_s
        self._running, self._begun, self._searched_to_s = True, now, last_sample_s

    def end(self, now: float) -> None:
        """It has ended."""
        self._running = False
        self._next = now + max(LEAST_S, REST * (now - self._begun))

    def anew(self) -> None:
        """Everything has been read anew: the next search is due whatever was searched."""
        self._searched_to_s = -math.inf
