"""Fan steps that may be something else: a person noted another change about the same moment."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from knowngood.formatting import clock
from knowngood_refdata.records import EventKind, Role
from knowngood_sessions.core.finding.noted import LIKE_A_FAN, note_beside

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.records import Event, Findings

_FAN = frozenset({EventKind.FAN_STAGE_UP, EventKind.FAN_STAGE_DOWN})


def with_doubts(found: Findings) -> Findings:
    """The findings, with fan steps that were only seen by the pressures told as doubtful beside such notes.

    The fan's stage in the windows after them is doubted, too. A fan step that a channel logged is told as
    before.
    """
    doubts = [doubt(one, found.events) for one in found.events]
    if not any(doubts):
        return found
    first_s = min(one.at_s for one, note in zip(found.events, doubts, strict=True) if note is not None)
    return replace(
        found,
        events=tuple(
            one if note is None else _doubted(one, note)
            for one, note in zip(found.events, doubts, strict=True)
        ),
        windows=tuple(
            replace(one, fan_doubted=True) if one.start_s > first_s else one for one in found.windows
        ),
    )


def doubt(event: Event, events: Sequence[Event]) -> Event | None:
    """The note that may explain a fan step otherwise, None where the step is sure or is none."""
    if event.kind not in _FAN or event.by_hand or _logged(event):
        return None
    return note_beside(event.at_s, events)


def _doubted(event: Event, note: Event) -> Event:
    said = f"perhaps {event.text}, or {LIKE_A_FAN[note.kind]} as noted at {clock(note.at_s)}"
    return replace(event, text=said)


def _logged(event: Event) -> bool:
    return event.evidence is not None and Role.FAN_COMMAND in event.evidence.channels
