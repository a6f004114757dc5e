"""Steady windows as a person sets them, beside those that the program finds.

Here stands the person's word: start, end and name. The values are worked out by the analysis
(`knowngood_refdata.queries.findings.save_findings`); a window that was moved stands without until then.
Each change leaves its trace and can be undone (`knowngood_refdata.queries.undo`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import select

from knowngood_refdata.errors import NotFound, UnfitValue
from knowngood_refdata.models import HandWindow
from knowngood_refdata.queries.sessions import session_row
from knowngood_refdata.queries.vehicle_entry import at_version

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from knowngood_refdata.models import SessionRow
    from knowngood_refdata.store import Store


@dataclass(frozen=True, slots=True)
class WindowDraft:
    """Start and end in seconds from the session's first sample, and what the window is called."""

    start_s: float
    end_s: float
    label: str


@dataclass(frozen=True, slots=True)
class SetWindow:
    """A window set by hand that is on record, and who set it last."""

    id: int
    session_id: int
    said: WindowDraft
    version: int
    who: str
    at: datetime


def windows(store: Store, session_id: int) -> tuple[SetWindow, ...]:
    """The windows set by hand in a session, in the order of time."""
    query = select(HandWindow).where(HandWindow.session_id == session_id, HandWindow.deleted_at.is_(None))
    with store.reading() as session:
        rows = session.scalars(query.order_by(HandWindow.start_s, HandWindow.id))
        return tuple(_window(row) for row in rows)


def add(store: Store, session_id: int, draft: WindowDraft) -> int:
    """Set a window; its id. Several may overlap, also those that the program found.

    Raises
    ------
    UnfitValue
        When it has no name or no length, or lies outside the session.
    NotFound
        When there is no such session.
    """
    with store.writing("window set by hand") as session:
        row = HandWindow(session_id=session_id)
        _fill(row, draft, session_row(session, session_id))
        session.add(row)
        session.flush()
        return row.id


def move(store: Store, window_id: int, version: int, draft: WindowDraft) -> None:
    """Give a window other ends or another name.

    Raises
    ------
    UnfitValue
        As for `add`.
    NotFound, Conflict
        When there is no such window, or it is no longer at the version that was shown.
    """
    with store.writing("window moved by hand") as session:
        row = at_version(_row(session, window_id), version)
        _fill(row, draft, session_row(session, row.session_id))


def remove(store: Store, window_id: int, version: int) -> None:
    """Take a window away; it stays in the history and can be brought back.

    Raises
    ------
    NotFound, Conflict
        As for `move`.
    """
    with store.writing("window set by hand removed") as session:
        at_version(_row(session, window_id), version).deleted_at = datetime.now(UTC)


def _fill(row: HandWindow, draft: WindowDraft, of: SessionRow) -> None:
    if not draft.label.strip():
        raise UnfitValue("A window needs a name. Nothing was stored. Enter one, such as 'idle'.")
    ends_fit = math.isfinite(draft.start_s) and 0.0 <= draft.start_s < draft.end_s <= of.duration_s
    if not ends_fit:
        raise UnfitValue(
            f"The session lasts {of.duration_s:.0f} s, and a window begins and ends within it, its end after "
            "its start. Nothing was stored. Correct the times."
        )
    row.start_s, row.end_s, row.label = draft.start_s, draft.end_s, draft.label.strip()


def _row(session: Session, window_id: int) -> HandWindow:
    row = session.get(HandWindow, window_id)
    if row is None or row.deleted_at is not None:
        raise NotFound(
            f"The library holds no window number {window_id} set by hand. It may have been removed."
        )
    return row


def _window(row: HandWindow) -> SetWindow:
    said = WindowDraft(row.start_s, row.end_s, row.label)
    return SetWindow(row.id, row.session_id, said, row.version, row.changed_by, row.changed_at)
