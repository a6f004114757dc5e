"""A seeming fan step beside a note of doors, blower or air source is told as doubtful.

That these move the high side much as a fan stage does is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from knowngood_refdata.records import Event, EventKind, Evidence, Findings, Role
from knowngood_sessions.beside_notes import with_doubts
from knowngood_sessions.findings_words import short_words

SEEN = Event(
    EventKind.FAN_STAGE_UP, 264.0, "fan stage up", evidence=Evidence(246.0, 278.0, (Role.HIGH_SIDE,))
)
LOGGED = replace(SEEN, evidence=Evidence(262.0, 266.0, (Role.FAN_COMMAND,)))
ENGINE = Event(EventKind.ENGINE_SPEED_STEP, 260.0, "engine from 750 to 2500 rpm")


def noted(kind: EventKind, at_s: float, until_s: float | None = None) -> Event:
    return Event(kind, at_s, "somebody's words", id=3, until_s=until_s, by_hand=True)


def told(step: Event, *notes: Event) -> str:
    (found,) = [
        one for one in with_doubts(Findings(events=(ENGINE, step, *notes))).events if one.kind is step.kind
    ]
    return found.text


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (EventKind.DOORS, "the doors"),
        (EventKind.BLOWER, "the blower"),
        (EventKind.AIR_SOURCE, "the air source"),
    ],
)
def test_a_seen_fan_step_beside_a_note_says_that_it_may_be_what_was_noted(
    kind: EventKind, words: str
) -> None:
    assert told(SEEN, noted(kind, 250.0)) == f"perhaps fan stage up, or {words} as noted at 4:10"


def test_the_plot_says_perhaps_too() -> None:
    found = with_doubts(Findings(events=(SEEN, noted(EventKind.DOORS, 270.0))))
    assert [short_words(one) for one in found.events] == ["perhaps fan stage up", "somebody's words"]


@pytest.mark.parametrize(
    "note",
    [
        noted(EventKind.DOORS, 248.0),
        noted(EventKind.BLOWER, 280.0),
        noted(EventKind.NOTE, 264.0),
        noted(EventKind.DOORS, 100.0, 400.0),
    ],
)
def test_a_note_of_another_moment_or_of_something_else_casts_no_doubt(note: Event) -> None:
    assert told(SEEN, note) == "fan stage up"


def test_both_ends_of_what_lasted_cast_doubt_and_the_nearest_is_named() -> None:
    doors, blower = noted(EventKind.DOORS, 100.0, 260.0), noted(EventKind.BLOWER, 276.0)
    assert told(SEEN, blower, doors) == "perhaps fan stage up, or the doors as noted at 1:40"


def test_a_logged_fan_step_is_not_doubted() -> None:
    assert told(LOGGED, noted(EventKind.BLOWER, 264.0)) == "fan stage up"


def test_nothing_else_is_changed_by_notes() -> None:
    events = (ENGINE, noted(EventKind.BLOWER, 262.0))
    assert with_doubts(Findings(events=events)).events == events
