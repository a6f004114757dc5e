"""What was found in a session: steady windows, events, responses to engine speed and what follows of them.

What a person set or noted has rows of its own (`session_windows`, `session_marks`); a new analysis works
out the values of windows set by hand anew and touches nothing else of what a person entered.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from sqlalchemy import delete, select

from knowngood_refdata.errors import NotFound
from knowngood_refdata.models import (
    Annotation,
    EventRow,
    HandWindow,
    ResponseRow,
    SessionFinding,
    SessionRow,
    WindowRow,
)
from knowngood_refdata.queries.finding_documents import event_document, whole_document, whole_of
from knowngood_refdata.queries.finding_rows import (
    event_of,
    noted_of,
    response_of,
    response_row,
    window_of,
    window_row,
)
from knowngood_refdata.records import Event, Findings, SteadyWindow

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy.orm import Session

    from knowngood_refdata.store import Store


def save_findings(store: Store, session_id: int, found: Findings) -> None:
    """Replace what the program found in a session.

    Windows set by hand and notes stay as they are. Of a window set by hand that is among ``found`` the values
    are stored; one without ``id`` that the session does not have yet is added. Those that are not among
    ``found``, or were moved in the meantime, stand without values until the next analysis.

    Raises
    ------
    NotFound
        When there is no such session.
    """
    with store.writing("session analysed") as session:
        kept = select(SessionRow.id).where(SessionRow.id == session_id, SessionRow.deleted_at.is_(None))
        if session.scalar(kept) is None:
            raise NotFound(f"The library holds no session number {session_id}. Nothing was stored.")
        replace_findings(session, session_id, found)


def replace_findings(session: Session, session_id: int, found: Findings) -> None:
    """As `save_findings`, within a transaction that is already open."""
    for row in session.scalars(select(WindowRow).where(WindowRow.session_id == session_id)):
        session.delete(row)
    for model in (EventRow, ResponseRow, SessionFinding):
        session.execute(delete(model).where(model.session_id == session_id))
    session.flush()
    events = tuple(one for one in found.events if not one.by_hand)
    write_findings(session, session_id, replace(found, events=events))


def first_findings(session: Session, session_id: int, found: Findings) -> None:
    """Add the findings of a session that has none yet, with what a person set and noted."""
    windows = tuple(replace(one, id=None) for one in found.windows)
    write_findings(session, session_id, replace(found, windows=windows))


def write_findings(session: Session, session_id: int, found: Findings) -> None:
    """Add findings within a transaction that is already open, notes among them."""
    for one in found.windows:
        mark = _hand_row(session, session_id, one) if one.by_hand else None
        if mark is not None or not one.by_hand:
            session.add(window_row(session_id, one, None if mark is None else mark.id))
    session.add_all(_event_row(session_id, one) for one in found.events)
    session.add_all(response_row(session_id, one) for one in found.responses)
    whole = whole_document(found)
    if whole or found.stroke is not None:
        stroke = None if found.stroke is None else found.stroke.stroke.value
        session.add(SessionFinding(session_id=session_id, stroke=stroke, found=whole))


def findings(store: Store, session_id: int) -> Findings:
    """What was found in a session and noted of it, in the order of time."""
    with store.reading() as session:
        windows = [*_own_windows(session, session_id), *_hand_windows(session, session_id)]
        events = [*_own_events(session, session_id), *_notes(session, session_id)]
        responses = session.scalars(
            select(ResponseRow).where(ResponseRow.session_id == session_id).order_by(ResponseRow.id)
        )
        whole = session.get(SessionFinding, session_id)
        rest = Findings() if whole is None else whole_of(whole.found, whole.stroke)
        return replace(
            rest,
            windows=tuple(sorted(windows, key=lambda one: one.start_s)),
            events=tuple(sorted(events, key=lambda one: one.at_s)),
            responses=tuple(response_of(row) for row in responses),
        )


def _own_windows(session: Session, session_id: int) -> Iterator[SteadyWindow]:
    query = select(WindowRow).where(WindowRow.session_id == session_id, WindowRow.by_hand.is_(False))
    return (window_of(row) for row in session.scalars(query.order_by(WindowRow.start_s, WindowRow.id)))


def _hand_windows(session: Session, session_id: int) -> Iterator[SteadyWindow]:
    """The windows set by hand, with values where these were worked out for the window as it stands."""
    query = (
        select(HandWindow, WindowRow)
        .outerjoin(
            WindowRow,
            (WindowRow.hand_window_id == HandWindow.id)
            & (WindowRow.start_s == HandWindow.start_s)
            & (WindowRow.end_s == HandWindow.end_s),
        )
        .where(HandWindow.session_id == session_id, HandWindow.deleted_at.is_(None))
        .order_by(HandWindow.start_s, HandWindow.id)
    )
    for mark, row in session.execute(query):
        blank = SteadyWindow(mark.start_s, mark.end_s, None, None, mark.label, {})
        window = blank if row is None else window_of(row)
        yield replace(window, label=mark.label, by_hand=True, id=mark.id)


def _own_events(session: Session, session_id: int) -> Iterator[Event]:
    query = select(EventRow).where(EventRow.session_id == session_id).order_by(EventRow.at_s, EventRow.id)
    return (event_of(row) for row in session.scalars(query))


def _notes(session: Session, session_id: int) -> Iterator[Event]:
    query = select(Annotation).where(Annotation.session_id == session_id, Annotation.deleted_at.is_(None))
    return (noted_of(row) for row in session.scalars(query.order_by(Annotation.at_s, Annotation.id)))


def _hand_row(session: Session, session_id: int, window: SteadyWindow) -> HandWindow | None:
    """The row of a window set by hand, made when new; None when it was moved or removed in the meantime."""
    query = select(HandWindow).where(
        HandWindow.session_id == session_id,
        HandWindow.start_s == float(window.start_s),
        HandWindow.end_s == float(window.end_s),
        HandWindow.deleted_at.is_(None),
    )
    if window.id is not None:
        return session.scalar(query.where(HandWindow.id == window.id))
    row = session.scalars(query.order_by(HandWindow.id)).first()
    if row is None:
        row = HandWindow(
            session_id=session_id, start_s=window.start_s, end_s=window.end_s, label=window.label
        )
        session.add(row)
        session.flush()
    return row


def _event_row(session_id: int, event: Event) -> EventRow | Annotation:
    common = {
        "session_id": session_id,
        "kind": event.kind.value,
        "at_s": event.at_s,
        "until_s": event.until_s,
        "text": event.text,
    }
    return Annotation(**common) if event.by_hand else EventRow(**common, evidence=event_document(event))
