"""Removing a session, with what was cut out of it if wanted; what that takes away and what it leaves."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, select

from knowngood_refdata.errors import Conflict
from knowngood_refdata.models import (
    Annotation,
    ConfirmedCase,
    HandWindow,
    MeasurementAnswer,
    ReadingRow,
    WeighingRow,
)
from knowngood_refdata.queries.history import deleted
from knowngood_refdata.queries.reasons import bind_together, need_reason
from knowngood_refdata.queries.session_cuts import cuts_of
from knowngood_refdata.queries.sessions import info, session_row

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from knowngood_refdata.queries.history import DeletedRecord
    from knowngood_refdata.records import SessionInfo
    from knowngood_refdata.store import Store

_KIND = "session"


@dataclass(frozen=True, slots=True)
class Belongings:
    """What belongs to one session.

    Attributes
    ----------
    session
        The session as it is now.
    by_hand
        How many notes and windows a person set in it.
    service
        How many weighings and answered measurements are kept with it.
    cases
        How many times it was confirmed what ailed the car then; check-ups learn from that.
    readings
        How many readings of the book were taken from it. They stay.
    """

    session: SessionInfo
    by_hand: int
    service: int
    cases: int
    readings: int


@dataclass(frozen=True, slots=True)
class Removal:
    """What can be removed: a session, and the sessions that were cut out of it."""

    whole: Belongings
    parts: tuple[Belongings, ...] = ()


def what_belongs(store: Store, session_id: int) -> Removal:
    """What a removal would be about.

    Raises
    ------
    NotFound
        When there is no such session.
    """
    whole, parts = info(store, session_id), cuts_of(store, session_id)
    with store.reading() as session:
        return Removal(_belongings(session, whole), tuple(_belongings(session, one) for one in parts))


def remove(store: Store, chosen: Sequence[SessionInfo], why: str) -> None:
    """Mark sessions as deleted, all or none; undoing one of these changes takes all of them back.

    Samples, files, notes and findings stay in the library, and no list shows them any more. A session that
    was cut out of another outlives it unless it is chosen, too. Readings of the book stay as they are.

    Raises
    ------
    Conflict
        When a session is no longer at the version that was shown; nothing is removed then.
    NotFound, WhyMissing
        When there is no such session, or no reason.
    """
    with store.writing(need_reason(why)) as session:
        rows = [session_row(session, one.id) for one in chosen]
        for row, shown in zip(rows, chosen, strict=True):
            if row.version != shown.version:
                raise Conflict(
                    f"Someone else changed '{row.title}' since it was shown. Nothing was removed. "
                    "Look at it and decide again."
                )
        if len(rows) > 1:
            bind_together(session)
        now = datetime.now(UTC)
        for row in rows:
            row.deleted_at = now


def removed(store: Store, vehicle_id: int) -> tuple[DeletedRecord, ...]:
    """The removed sessions of a vehicle, the latest removed first; `undo` brings one back."""
    return tuple(one for one in deleted(store) if one.kind == _KIND and one.vehicle_id == vehicle_id)


def _belongings(session: Session, shown: SessionInfo) -> Belongings:
    def held(*models: type[Any]) -> int:
        counts = (
            select(func.count()).where(model.session_id == shown.id, model.deleted_at.is_(None))
            for model in models
        )
        return sum(session.scalar(one) or 0 for one in counts)

    return Belongings(
        shown,
        by_hand=held(Annotation, HandWindow),
        service=held(WeighingRow, MeasurementAnswer),
        cases=held(ConfirmedCase),
        readings=held(ReadingRow),
    )
