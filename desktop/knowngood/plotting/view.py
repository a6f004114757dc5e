"""The stretch of time in view: moved, zoomed, and carried along with a recording that grows."""

from __future__ import annotations

from dataclasses import dataclass

LEAST_SAMPLES = 6
"""No closer than so many samples."""

_MARGIN = 0.5


@dataclass(frozen=True)
class View:
    """From ``start_s`` to ``end_s``."""

    start_s: float
    end_s: float

    @property
    def span_s(self) -> float:
        """How long it is [s]."""
        return self.end_s - self.start_s

    def overlaps(self, other: View) -> bool:
        """Whether both have any time in common."""
        return self.start_s < other.end_s and self.end_s > other.start_s

    def moved(self, by_s: float) -> View:
        """Later by so much, earlier when negative."""
        return View(self.start_s + by_s, self.end_s + by_s)

    def zoomed(self, factor: float, around_s: float) -> View:
        """Longer by a factor, shorter below one; ``around_s`` stays where it is on the screen."""
        return View(
            around_s - (around_s - self.start_s) * factor, around_s + (self.end_s - around_s) * factor
        )

    def holding(self, at_s: float) -> View:
        """Moved as little as needed so that a moment lies within, off the edge by a twentieth."""
        room = 0.05 * self.span_s
        if at_s < self.start_s:
            return self.moved(at_s - room - self.start_s)
        if at_s > self.end_s:
            return self.moved(at_s + room - self.end_s)
        return self

    def limited(self, whole: View, spacing_s: float) -> View:
        """No longer than the whole with half as much again, no shorter than a few samples, none of it lost.

        At least half of the view, or the whole session, stays filled.
        """
        least = min(LEAST_SAMPLES * spacing_s, whole.span_s)
        most = (1.0 + _MARGIN) * whole.span_s
        if not least <= self.span_s <= most:
            middle = 0.5 * (self.start_s + self.end_s)
            half = 0.5 * min(max(self.span_s, least), most)
            return View(middle - half, middle + half).limited(whole, spacing_s)
        room = _MARGIN * min(self.span_s, whole.span_s)
        start = min(max(self.start_s, whole.start_s - room), whole.end_s + room - self.span_s)
        return self if start == self.start_s else self.moved(start - self.start_s)

    def reaches(self, end_s: float, spacing_s: float) -> bool:
        """Whether the end of the recording is in view, so that the view follows it."""
        return self.start_s < end_s <= self.end_s + 0.5 * spacing_s

    def followed(self, before: View, whole: View) -> View:
        """Where the view goes when the whole grew: along with the end, or longer when all was in view."""
        if self.start_s <= before.start_s:
            return View(self.start_s, max(self.end_s, whole.end_s))
        return self.moved(max(whole.end_s - before.end_s, 0.0))
