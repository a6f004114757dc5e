"""What a person found out about a session beyond its log: weighings, answers, the explanation that was true.

For each session there is one weighing of a kind, one answer of a measurement and one true explanation: a new
one takes the place of the former, and the history keeps both. Each change can be undone
(`knowngood_refdata.queries.undo`).
"""

from __future__ import annotations

import math
from datetime import UTC, datetime
from typing import TYPE_CHECKING, TypeVar

from sqlalchemy import select

from knowngood_refdata.errors import UnfitValue
from knowngood_refdata.models import ConfirmedCase, MeasurementAnswer, WeighingRow
from knowngood_refdata.queries.sessions import session_row
from knowngood_refdata.records import CaseFound, Estimate, FoundOut, Weighed

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from knowngood_refdata.store import Store

Row = TypeVar("Row", WeighingRow, MeasurementAnswer, ConfirmedCase)

MOST_KG = 60.0
"""More than any vehicle holds, a coach with a roof unit included (common practice, no source)."""


def found_out(store: Store, session_id: int) -> FoundOut:
    """Everything that was found out about a session."""
    with store.reading() as session:
        weighings = _rows(session, WeighingRow, session_id)
        answers = _rows(session, MeasurementAnswer, session_id)
        confirmed = _rows(session, ConfirmedCase, session_id)
        return FoundOut(
            {Weighed(one.what): Estimate(one.mass_kg, one.standard_uncertainty) for one in weighings},
            {one.measurement: one.answer for one in answers},
            _case(confirmed[0]) if confirmed else None,
        )


def cases(store: Store) -> tuple[CaseFound, ...]:
    """Every explanation that was found to be true, in the order of the sessions."""
    query = select(ConfirmedCase).where(ConfirmedCase.deleted_at.is_(None)).order_by(ConfirmedCase.session_id)
    with store.reading() as session:
        return tuple(_case(row) for row in session.scalars(query))


def weigh(store: Store, session_id: int, what: Weighed, mass: Estimate | None) -> None:
    """Put down a weighing; None takes it away.

    Raises
    ------
    UnfitValue
        When the mass is no mass of refrigerant in a vehicle, or its uncertainty is negative.
    NotFound
        When there is no such session.
    """
    if mass is not None:
        _see_that_fit(mass)
    with store.writing(f"{what.value} mass {'taken away' if mass is None else 'put down'}") as session:
        session_row(session, session_id)
        row = next((one for one in _rows(session, WeighingRow, session_id) if one.what == what.value), None)
        if mass is None:
            _remove(row)
        elif row is None:
            session.add(
                WeighingRow(
                    session_id=session_id,
                    what=what.value,
                    mass_kg=mass.value,
                    standard_uncertainty=mass.standard_uncertainty,
                )
            )
        else:
            row.mass_kg, row.standard_uncertainty = mass.value, mass.standard_uncertainty


def answer(store: Store, session_id: int, measurement: str, said: str) -> None:
    """Put down what a measurement said; an empty answer takes it away.

    Raises
    ------
    NotFound
        When there is no such session.
    """
    with store.writing(f"{measurement}: {said or 'answer taken away'}") as session:
        session_row(session, session_id)
        held = _rows(session, MeasurementAnswer, session_id)
        row = next((one for one in held if one.measurement == measurement), None)
        if not said:
            _remove(row)
        elif row is None:
            session.add(MeasurementAnswer(session_id=session_id, measurement=measurement, answer=said))
        else:
            row.answer = said


def confirm(store: Store, session_id: int, explanation: str, how: str) -> None:
    """Put down which explanation was found to be true; an empty one takes it away.

    Raises
    ------
    UnfitValue
        When it does not say how it was found.
    NotFound
        When there is no such session.
    """
    if explanation and not how.strip():
        raise UnfitValue(
            "A case is learnt from only when it says how it was found. Nothing was stored. "
            "Say what was weighed, repaired or replaced, and what the car did then."
        )
    with store.writing(how.strip() or "case taken away") as session:
        session_row(session, session_id)
        row = next(iter(_rows(session, ConfirmedCase, session_id)), None)
        if not explanation:
            _remove(row)
        elif row is None:
            session.add(ConfirmedCase(session_id=session_id, explanation=explanation, how=how.strip()))
        else:
            row.explanation, row.how = explanation, how.strip()


def _see_that_fit(mass: Estimate) -> None:
    fits = 0.0 <= mass.value <= MOST_KG and 0.0 <= mass.standard_uncertainty < math.inf
    if not fits:
        raise UnfitValue(
            f"{mass.value:g} kg is no mass of refrigerant in a vehicle. Nothing was stored. "
            f"Enter 0 to {MOST_KG:g} kg."
        )


def _rows(session: Session, table: type[Row], session_id: int) -> list[Row]:
    query = select(table).where(table.session_id == session_id, table.deleted_at.is_(None)).order_by(table.id)
    return list(session.scalars(query))


def _remove(row: WeighingRow | MeasurementAnswer | ConfirmedCase | None) -> None:
    if row is not None:
        row.deleted_at = datetime.now(UTC)


def _case(row: ConfirmedCase) -> CaseFound:
    return CaseFound(row.session_id, row.explanation, row.how, row.changed_by, row.changed_at)
