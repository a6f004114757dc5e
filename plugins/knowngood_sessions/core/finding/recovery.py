"""How long the readings took to settle again after a disturbance."""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING

from knowngood_refdata.records import EventKind, Recovery

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.records import Event

    from .steady import Stretch

DISTURBS = {
    EventKind.ENGINE_SPEED_STEP,
    EventKind.FAN_STAGE_UP,
    EventKind.FAN_STAGE_DOWN,
    EventKind.COMPRESSOR_ON_LINE,
    EventKind.CLUTCH_CYCLING,
}
"""What the readings settle after; with the compressor off line there is nothing to settle to."""


def recoveries(stretches: Sequence[Stretch], events: Sequence[Event]) -> tuple[Recovery, ...]:
    """One recovery for each steady stretch that follows a disturbance, counted from the last one before it.

    A stretch that another one lies before, with no event between the two, follows something that was not
    seen to happen: no time is given there.
    """
    disturbances = sorted((_over_s(one), one.kind) for one in events if one.kind in DISTURBS)
    moments_s = [at_s for at_s, _ in disturbances]
    found = []
    before_s = float("-inf")
    for stretch in stretches:
        last = bisect_right(moments_s, stretch.start_s) - 1
        if last >= 0 and moments_s[last] > before_s:
            at_s, kind = disturbances[last]
            found.append(Recovery(kind, at_s, stretch.start_s - at_s, stretch.slowest))
        before_s = stretch.end_s
    return tuple(found)


def _over_s(event: Event) -> float:
    """When an event is over: what lasts disturbs to its end."""
    return event.at_s if event.until_s is None else event.until_s
