"""What a person noted that moves the high side much as a stage of the condenser fan does."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from knowngood_refdata.records import EventKind

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from knowngood_refdata.records import Event

    from .fan_step import FanStep

ABOUT_S = 15.0
"""So exactly a person tells the moment of what was done; common practice, no source."""

LIKE_A_FAN = {
    EventKind.DOORS: "the doors",
    EventKind.BLOWER: "the blower",
    EventKind.AIR_SOURCE: "the air source",
}


def note_beside(at_s: float, notes: Iterable[Event]) -> Event | None:
    """The nearest note about a moment of what may look like a fan step; None where there is none."""
    near = min(
        (one for one in notes if one.by_hand and one.kind in LIKE_A_FAN),
        key=lambda one: _apart_s(at_s, one),
        default=None,
    )
    return near if near is not None and _apart_s(at_s, near) <= ABOUT_S else None


def with_doubt(steps: Sequence[FanStep], notes: Sequence[Event]) -> tuple[FanStep, ...]:
    """The steps, those that a note may explain marked as doubted; a step that a channel logs is sure."""
    return tuple(
        replace(one, doubted=not one.logged and note_beside(one.at_s, notes) is not None) for one in steps
    )


def _apart_s(at_s: float, note: Event) -> float:
    """Between a moment and the nearer end of what was noted."""
    ends_s = (note.at_s, note.at_s if note.until_s is None else note.until_s)
    return min(abs(at_s - one) for one in ends_s)
