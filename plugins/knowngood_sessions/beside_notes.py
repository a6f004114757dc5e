"""Fan steps that may be something else: a person noted another change about the same moment."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from knowngood.formatting import clock
from knowngood_refdata.records import EventKind, Role

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.records import Event, Findings

ABOUT_S = 15.0
"""So exactly a person tells the moment of what was done; common practice, no source."""

_FAN = frozenset({EventKind.FAN_STAGE_UP, EventKind.FAN_STAGE_DOWN})
_WORDS = {
    EventKind.DOORS: "the doors",
    EventKind.BLOWER: "the blower",
    EventKind.AIR_SOURCE: "the air source",
}
"""What moves the high side much as a stage of the condenser fan does."""


def with_doubts(found: Findings) -> Findings:
    """The findings, with fan steps that were only seen by the pressures told as doubtful beside such notes.

    A fan step that a channel logged is told as before.
    """
    noted = [one for one in found.events if one.by_hand and one.kind in _WORDS]
    if not noted:
        return found
    return replace(found, events=tuple(_doubted(one, noted) for one in found.events))


def _doubted(event: Event, noted: Sequence[Event]) -> Event:
    if event.kind not in _FAN or event.by_hand or _logged(event):
        return event
    near = min(noted, key=lambda one: _apart_s(event, one))
    if _apart_s(event, near) > ABOUT_S:
        return event
    said = f"perhaps {event.text}, or {_WORDS[near.kind]} as noted at {clock(near.at_s)}"
    return replace(event, text=said)


def _logged(event: Event) -> bool:
    return event.evidence is not None and Role.FAN_COMMAND in event.evidence.channels


def _apart_s(event: Event, note: Event) -> float:
    """Between a fan step and the nearer end of what was noted."""
    ends_s = (note.at_s, note.at_s if note.until_s is None else note.until_s)
    return min(abs(event.at_s - one) for one in ends_s)
