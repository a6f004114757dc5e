"""Parts of a session as sessions of their own: the samples stay where they are, the original untouched."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from knowngood_refdata.errors import NotFound, UnfitValue
from knowngood_refdata.models import SessionRow
from knowngood_refdata.queries.conditions import columns_of
from knowngood_refdata.queries.findings import first_findings
from knowngood_refdata.queries.session_samples import owner_id, read_samples
from knowngood_refdata.queries.sessions import info_of, session_row

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray
    from sqlalchemy.orm import Session

    from knowngood_refdata.records import Conditions, Findings, SessionInfo
    from knowngood_refdata.store import Store

FEWEST_SAMPLES = 2


@dataclass(frozen=True, slots=True)
class CutDraft:
    """A part of a session to be kept as a session of its own.

    Attributes
    ----------
    from_s, until_s
        Its stretch on the time axis of the session that it is cut from, both ends included.
    conditions
        Those at its own start: the fan may run at another stage than at the start of the whole.
    findings
        What was found in it, with its notes and windows set by hand, on its own time axis.
    """

    from_s: float
    until_s: float
    title: str
    conditions: Conditions
    findings: Findings


def cut(store: Store, session_id: int, drafts: Sequence[CutDraft], why: str = "cut") -> tuple[int, ...]:
    """Add cuts of a session, all or none; their ids. A cut of a cut is one of the same original.

    Raises
    ------
    UnfitValue
        When a stretch holds fewer than two samples, or its title is empty.
    NotFound, LibraryDamaged
        When there is no such session, or its samples are damaged.
    """
    for draft in drafts:
        if not draft.title.strip():
            raise UnfitValue("A cut needs a title. Nothing was stored. Enter one.")
    with store.writing(why) as session:
        row = session_row(session, session_id)
        owner = session.get_one(SessionRow, owner_id(row))
        axis_s = read_samples(session, owner).unpacked(store.place).time_s
        shown_s = _shown(axis_s, row)
        return tuple(_cut(session, row, owner, shown_s, draft) for draft in drafts)


def cuts_of(store: Store, session_id: int) -> tuple[SessionInfo, ...]:
    """The cuts of a session in the order of time."""
    query = select(SessionRow).where(SessionRow.parent_id == session_id, SessionRow.deleted_at.is_(None))
    with store.reading() as session:
        rows = session.scalars(query.order_by(SessionRow.from_s, SessionRow.id))
        return tuple(info_of(row) for row in rows)


def span(store: Store, cut_id: int) -> tuple[float, float]:
    """The stretch that a cut shows, on the time axis of its original, both ends included [s].

    Raises
    ------
    NotFound
        When there is no such cut.
    """
    with store.reading() as session:
        row = session_row(session, cut_id)
    if row.from_s is None or row.until_s is None:
        raise NotFound(f"Session {cut_id} is not cut out of another.")
    return row.from_s, row.until_s


def _shown(axis_s: NDArray[np.float64], row: SessionRow) -> NDArray[np.float64]:
    """The part of the original's time axis that a session shows."""
    if row.from_s is None or row.until_s is None:
        return axis_s
    return axis_s[axis_s.searchsorted(row.from_s, "left") : axis_s.searchsorted(row.until_s, "right")]


def _cut(
    session: Session, row: SessionRow, owner: SessionRow, shown_s: NDArray[np.float64], draft: CutDraft
) -> int:
    # Times of a cut count from its first sample, so its ends are kept as the original's own sample times.
    own_s = shown_s - shown_s[0] if row.parent_id is not None and shown_s.size else shown_s
    part_s = shown_s[own_s.searchsorted(draft.from_s, "left") : own_s.searchsorted(draft.until_s, "right")]
    if part_s.size < FEWEST_SAMPLES:
        raise UnfitValue(
            f"Between {draft.from_s:.1f} s and {draft.until_s:.1f} s the session has fewer than "
            f"{FEWEST_SAMPLES} samples. Nothing was stored. Choose a longer stretch."
        )
    first_s, last_s = float(part_s[0]), float(part_s[-1])
    started = owner.started_at
    made = SessionRow(
        **columns_of(draft.conditions),
        configuration_id=row.configuration_id,
        unit_id=row.unit_id,
        source_file_id=owner.source_file_id,
        title=draft.title.strip(),
        started_at=None if started is None else started + timedelta(seconds=first_s),
        refrigerant=row.refrigerant,
        instruments=row.instruments,
        duration_s=last_s - first_s,
        sample_count=int(part_s.size),
        technician=row.technician,
        note=row.note,
        parent_id=owner.id,
        from_s=first_s,
        until_s=last_s,
    )
    session.add(made)
    session.flush()
    first_findings(session, made.id, draft.findings)
    return made.id
