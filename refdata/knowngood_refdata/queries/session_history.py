"""What people did to a session: notes, windows, conditions, weighings, answers; who, when and why."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlalchemy import or_, select

from knowngood_refdata.models import (
    Annotation,
    Audit,
    ConfirmedCase,
    HandWindow,
    MeasurementAnswer,
    SessionRow,
    WeighingRow,
)
from knowngood_refdata.queries.history import changes_of

if TYPE_CHECKING:
    from knowngood_refdata.models.base import Stamped
    from knowngood_refdata.queries.history import Change
    from knowngood_refdata.store import Store

_PARTS: tuple[type[Any], ...] = (Annotation, HandWindow, WeighingRow, MeasurementAnswer, ConfirmedCase)


def session_history(store: Store, session_id: int, limit: int = 200) -> tuple[Change, ...]:
    """The changes of a session and of what people noted, set, weighed and answered, the latest first."""
    with store.reading() as session:
        row = session.get(SessionRow, session_id)
        if row is None:
            return ()
        rows: dict[tuple[str, int], Stamped] = {(SessionRow.__tablename__, session_id): row}
        about = [(Audit.table_name == SessionRow.__tablename__) & (Audit.row_id == session_id)]
        for model in _PARTS:
            own = {
                one.id: one for one in session.scalars(select(model).where(model.session_id == session_id))
            }
            rows |= {(model.__tablename__, number): one for number, one in own.items()}
            about.append((Audit.table_name == model.__tablename__) & Audit.row_id.in_(own))
        query = select(Audit).where(or_(*about)).order_by(Audit.id.desc()).limit(limit)
        return changes_of(session, session.scalars(query), rows)
