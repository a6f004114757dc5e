"""What was found in a session: steady windows, events, responses to engine speed."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from sqlalchemy import delete, select

from knowngood_refdata.auditing import note_replaced
from knowngood_refdata.errors import NotFound
from knowngood_refdata.models import EventRow, ResponseRow, SessionRow, WindowRow, WindowValue
from knowngood_refdata.queries.estimates import estimates_of, value_rows
from knowngood_refdata.records import (
    Estimate,
    Event,
    EventKind,
    Findings,
    Response,
    SteadyWindow,
    Verdict,
)

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from knowngood_refdata.store import Store


def save_findings(store: Store, session_id: int, found: Findings) -> None:
    """Replace what the program found in a session.

    Windows set by hand are replaced only by others set by hand, and the audit trail keeps them.

    Raises
    ------
    NotFound
        When there is no such session.
    """
    with store.writing("session analysed") as session:
        kept = select(SessionRow.id).where(SessionRow.id == session_id, SessionRow.deleted_at.is_(None))
        if session.scalar(kept) is None:
            raise NotFound(f"The library holds no session number {session_id}. Nothing was stored.")
        keep_hand = not any(one.by_hand for one in found.windows)
        old = select(WindowRow).where(WindowRow.session_id == session_id)
        for row in session.scalars(old.where(WindowRow.by_hand.is_(False)) if keep_hand else old):
            if row.by_hand:
                note_replaced(session, WindowRow.__tablename__, row.id, _words_of(row))
            session.delete(row)
        session.execute(delete(EventRow).where(EventRow.session_id == session_id))
        session.execute(delete(ResponseRow).where(ResponseRow.session_id == session_id))
        write_findings(session, session_id, found)


def write_findings(session: Session, session_id: int, found: Findings) -> None:
    """Add findings within a transaction that is already open."""
    session.add_all(_window_row(session_id, one) for one in found.windows)
    session.add_all(
        EventRow(session_id=session_id, kind=one.kind.value, at_s=one.at_s, text=one.text)
        for one in found.events
    )
    session.add_all(_response_row(session_id, one) for one in found.responses)


def findings(store: Store, session_id: int) -> Findings:
    """What was found in a session, in the order of time."""
    with store.reading() as session:
        windows = session.scalars(
            select(WindowRow).where(WindowRow.session_id == session_id).order_by(WindowRow.start_s)
        )
        events = session.scalars(
            select(EventRow).where(EventRow.session_id == session_id).order_by(EventRow.at_s, EventRow.id)
        )
        responses = session.scalars(
            select(ResponseRow).where(ResponseRow.session_id == session_id).order_by(ResponseRow.id)
        )
        return Findings(
            tuple(_window(row) for row in windows),
            tuple(Event(EventKind(row.kind), row.at_s, row.text, row.id) for row in events),
            tuple(_response(row) for row in responses),
        )


def _words_of(row: WindowRow) -> dict[str, Any]:
    window = asdict(_window(row))
    window["values"] = {one.quantity: [one.value, one.standard_uncertainty] for one in row.values}
    return window


def _window_row(session_id: int, window: SteadyWindow) -> WindowRow:
    return WindowRow(
        session_id=session_id,
        start_s=window.start_s,
        end_s=window.end_s,
        engine_rpm=window.engine_rpm,
        fan_stage=window.fan_stage,
        label=window.label,
        by_hand=window.by_hand,
        values=value_rows(WindowValue, window.values),
    )


def _window(row: WindowRow) -> SteadyWindow:
    return SteadyWindow(
        start_s=row.start_s,
        end_s=row.end_s,
        engine_rpm=row.engine_rpm,
        fan_stage=row.fan_stage,
        label=row.label,
        values=estimates_of(row.values),
        by_hand=row.by_hand,
        id=row.id,
    )


def _response_row(session_id: int, response: Response) -> ResponseRow:
    return ResponseRow(
        session_id=session_id,
        from_rpm=response.from_rpm,
        to_rpm=response.to_rpm,
        low_pa=response.low_pa.value,
        low_standard_uncertainty=response.low_pa.standard_uncertainty,
        high_pa=response.high_pa.value,
        high_standard_uncertainty=response.high_pa.standard_uncertainty,
        low=response.low.value,
        high=response.high.value,
        same_fan_stage=response.same_fan_stage,
        remark=response.remark,
    )


def _response(row: ResponseRow) -> Response:
    return Response(
        from_rpm=row.from_rpm,
        to_rpm=row.to_rpm,
        low_pa=Estimate(row.low_pa, row.low_standard_uncertainty),
        high_pa=Estimate(row.high_pa, row.high_standard_uncertainty),
        low=Verdict(row.low),
        high=Verdict(row.high),
        same_fan_stage=row.same_fan_stage,
        remark=row.remark,
        id=row.id,
    )
