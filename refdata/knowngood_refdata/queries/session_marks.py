"""What a person notes of a session: a word at a moment, doors, blower, air source.

The program's own analysis neither makes nor removes such notes. Each change leaves its trace and can be
undone (`knowngood_refdata.queries.undo`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import select

from knowngood_refdata.errors import NotFound, UnfitValue
from knowngood_refdata.models import Annotation
from knowngood_refdata.queries.sessions import session_row
from knowngood_refdata.queries.vehicle_entry import at_version
from knowngood_refdata.records import EventKind

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from knowngood_refdata.models import SessionRow
    from knowngood_refdata.store import Store

KINDS = (EventKind.NOTE, EventKind.DOORS, EventKind.BLOWER, EventKind.AIR_SOURCE)
"""What a person can note; everything else of an event the program finds."""


@dataclass(frozen=True, slots=True)
class NoteDraft:
    """What is noted: at a moment, or up to ``until_s``. Times in seconds from the session's first sample."""

    kind: EventKind
    at_s: float
    text: str
    until_s: float | None = None


@dataclass(frozen=True, slots=True)
class Note:
    """A note on record, and who wrote it last."""

    id: int
    session_id: int
    said: NoteDraft
    version: int
    who: str
    at: datetime


def notes(store: Store, session_id: int) -> tuple[Note, ...]:
    """The notes of a session in the order of time."""
    query = select(Annotation).where(Annotation.session_id == session_id, Annotation.deleted_at.is_(None))
    with store.reading() as session:
        return tuple(_note(row) for row in session.scalars(query.order_by(Annotation.at_s, Annotation.id)))


def add(store: Store, session_id: int, draft: NoteDraft) -> int:
    """Add a note; its id.

    Raises
    ------
    UnfitValue
        When it says nothing, is of a kind that only the program finds, or lies outside the session.
    NotFound
        When there is no such session.
    """
    with store.writing(f"{draft.kind.value} noted") as session:
        row = Annotation(session_id=session_id)
        _fill(row, draft, session_row(session, session_id))
        session.add(row)
        session.flush()
        return row.id


def change(store: Store, note_id: int, version: int, draft: NoteDraft) -> None:
    """Correct a note.

    Raises
    ------
    UnfitValue
        As for `add`.
    NotFound, Conflict
        When there is no such note, or it is no longer at the version that was shown.
    """
    with store.writing("note corrected") as session:
        row = at_version(_row(session, note_id), version)
        _fill(row, draft, session_row(session, row.session_id))


def remove(store: Store, note_id: int, version: int) -> None:
    """Take a note away; it stays in the history and can be brought back.

    Raises
    ------
    NotFound, Conflict
        As for `change`.
    """
    with store.writing("note removed") as session:
        at_version(_row(session, note_id), version).deleted_at = datetime.now(UTC)


def _fill(row: Annotation, draft: NoteDraft, of: SessionRow) -> None:
    if draft.kind not in KINDS:
        raise UnfitValue(
            f"'{draft.kind.value}' is what the program finds; it is not noted by hand. Nothing was stored."
        )
    if not draft.text.strip():
        raise UnfitValue("A note needs words. Nothing was stored. Say what was seen or changed.")
    until_s = draft.at_s if draft.until_s is None else draft.until_s
    if not (math.isfinite(draft.at_s) and 0.0 <= draft.at_s <= until_s <= of.duration_s):
        raise UnfitValue(
            f"The session lasts {of.duration_s:.0f} s, and a note lies within it. Nothing was stored. "
            "Correct the time."
        )
    row.kind, row.text = draft.kind.value, draft.text.strip()
    row.at_s, row.until_s = draft.at_s, draft.until_s


def _row(session: Session, note_id: int) -> Annotation:
    row = session.get(Annotation, note_id)
    if row is None or row.deleted_at is not None:
        raise NotFound(f"The library holds no note number {note_id}. It may have been removed.")
    return row


def _note(row: Annotation) -> Note:
    said = NoteDraft(EventKind(row.kind), row.at_s, row.text, row.until_s)
    return Note(row.id, row.session_id, said, row.version, row.changed_by, row.changed_at)
