"""Another session laid over the one in hand: by time, or by something that happened in both."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood.formatting import clock
from knowngood_refdata.records import EventKind

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from knowngood_refdata.records import Event

START = "start of both sessions"
_TELLING = (EventKind.ENGINE_SPEED_STEP, EventKind.FAN_STAGE_UP, EventKind.FAN_STAGE_DOWN)


@dataclass(frozen=True, slots=True)
class Alignment:
    """A way to lay one session over another; ``shift_s`` is added to the times of the other one."""

    words: str
    shift_s: float


def alignments(ours: Sequence[Event], theirs: Sequence[Event]) -> tuple[Alignment, ...]:
    """By time first, then the n-th of each kind of event that happened in both.

    >>> step = EventKind.ENGINE_SPEED_STEP
    >>> from knowngood_refdata.records import Event
    >>> [(one.words, one.shift_s) for one in alignments([Event(step, 60.0, "")], [Event(step, 45.0, "")])]
    [('start of both sessions', 0.0), ('engine speed step, 1:00 here, 0:45 there', 15.0)]
    """
    kinds = (*_TELLING, *(kind for kind in EventKind if kind not in _TELLING))
    return (Alignment(START, 0.0), *(one for kind in kinds for one in _of(kind, ours, theirs)))


def _of(kind: EventKind, ours: Sequence[Event], theirs: Sequence[Event]) -> Iterator[Alignment]:
    for mine, other in zip(_moments(ours, kind), _moments(theirs, kind), strict=False):
        yield Alignment(f"{kind.value}, {clock(mine)} here, {clock(other)} there", mine - other)


def _moments(events: Sequence[Event], kind: EventKind) -> list[float]:
    return sorted(one.at_s for one in events if one.kind is kind)
