"""The seam between readings typed by hand and the library: file, recording and findings, stored as one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from knowngood_refdata.drafts import SessionDraft
from knowngood_refdata.queries import sessions
from knowngood_sessions.core.finding.analysis import analyse
from knowngood_sessions.core.finding.by_hand import file_of, recording_of
from knowngood_sessions.core.mapping.importing import sha256_of
from knowngood_sessions.library import known_session

if TYPE_CHECKING:
    from knowngood_refdata.records import Findings, SessionInfo
    from knowngood_refdata.store import Store
    from knowngood_sessions.core.finding.by_hand import HandSheet


@dataclass(frozen=True, slots=True)
class HandStored:
    """The session of a sheet; ``new`` is False when the library held the very same sheet already."""

    info: SessionInfo
    new: bool


def save_by_hand(store: Store, sheet: HandSheet, vehicle_id: int, unit_id: int | None = None) -> HandStored:
    """Store a sheet as a session, all or nothing: with the text of what was typed as its source file.

    Raises
    ------
    knowngood_refdata.errors.StoreError
        When the library cannot take it; nothing is stored then.
    knowngood_refdata.refrigerants.UnknownRefrigerant
        When there is no saturation curve for the refrigerant.
    """
    content = file_of(sheet)
    known = known_session(store, sha256_of(content), vehicle_id)
    if known is not None and known.vehicle_id == vehicle_id:
        return HandStored(known, new=False)
    recording = recording_of(sheet)
    conditions = replace(sheet.conditions, fan_stage=sheet.points[0].fan_stage)
    found = analyse(recording, sheet.refrigerant, conditions, sheet.instruments)
    draft = SessionDraft(
        vehicle_id=vehicle_id,
        unit_id=unit_id,
        title=title_of(found),
        refrigerant=sheet.refrigerant,
        source_name=f"readings by hand {sheet.taken_at:%Y-%m-%d %H.%M}.txt",
        conditions=conditions,
        instruments=sheet.instruments,
        started_at=sheet.taken_at,
        technician=sheet.technician,
        note=sheet.note,
        findings=found,
    )
    return HandStored(sessions.info(store, sessions.save(store, draft, recording, content)), new=True)


def title_of(found: Findings) -> str:
    """What a session of typed points is called: ``Readings by hand, idle and 2000 rpm``."""
    *first, last = [one.label for one in found.windows]
    names = f"{', '.join(first)} and {last}" if first else last
    return f"Readings by hand, {names}"
