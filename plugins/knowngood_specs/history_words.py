"""The history of a record in sentences: who changed what, when and why; no Qt."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from knowngood_refdata.queries.history import Change, FieldChange

NOTHING = "nothing"
ARROW = "\N{RIGHTWARDS ARROW}"
STOOD_UPON = "Cannot be undone now: a later change stands on it. Undo that one first."
THE_RECORD_ITSELF = "This made the record. To take it away, delete the record: More, Delete."
NOT_A_CHANGE = "What stood here made way for another entry."

_SAID_ALREADY = frozenset({"vehicle", "field", "why", "SHA-256", "media type"})
"""What the head or the reason of an entry tells, or nobody asks for."""


@dataclass(frozen=True, slots=True)
class HistoryEntry:
    """What was done in one go.

    ``change`` is the one to hand over for undoing all of it; ``refusal`` says why that cannot be done, empty
    when it can.
    """

    change: Change
    head: str
    reason: str
    lines: tuple[str, ...]
    refusal: str


def history_entries(changes: Iterable[Change]) -> tuple[HistoryEntry, ...]:
    """The history, the latest first; what was done together, a correction, is one entry."""
    groups = groupby(changes, key=lambda one: (one.together or 0) if (one.together or 0) < 0 else one.id)
    return tuple(_entry(tuple(group)) for _, group in groups)


def _entry(changes: Sequence[Change]) -> HistoryEntry:
    first = changes[0]
    moment = f"{first.at.astimezone():%Y-%m-%d %H:%M}"
    lines = [line for one in changes for line in _lines(one)]
    return HistoryEntry(
        first,
        f"{moment}  {first.who or 'someone not named'}: {_what(changes)}",
        # Adding something needs no reason; what the library writes in its place says nothing new.
        "" if first.action == "added" and first.why.endswith("added") else first.why,
        tuple(lines),
        _refusal(changes),
    )


def _what(changes: Sequence[Change]) -> str:
    added = [one for one in changes if one.action == "added"]
    gone = [one for one in changes if one.action == "deleted"]
    if len(added) == len(gone) == 1 and added[0].kind == gone[0].kind:
        return f"{gone[0].kind} corrected: {gone[0].subject} {ARROW} {added[0].subject}"
    return "; ".join(f"{one.kind} {one.action}: {one.subject}".rstrip(": ") for one in changes)


def _lines(change: Change) -> list[str]:
    if change.action == "added":
        # Nothing stood before: one line tells it all.
        told = ", ".join(
            f"{one.title} {one.after}" for one in change.fields if one.title not in _SAID_ALREADY
        )
        return [told] if told else []
    return [_line(one) for one in change.fields]


def _line(change: FieldChange) -> str:
    return f"{change.title}: {change.before or NOTHING} {ARROW} {change.after or NOTHING}"


def _refusal(changes: Sequence[Change]) -> str:
    if any(one.kind == "vehicle" and one.action == "added" for one in changes):
        return THE_RECORD_ITSELF
    if any(one.action == "replaced" for one in changes):
        return NOT_A_CHANGE
    return "" if all(one.stands for one in changes) else STOOD_UPON
