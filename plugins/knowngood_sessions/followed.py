"""A log that is still being written, as the screen shows a session."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from knowngood_refdata.records import Findings, SessionInfo
from knowngood_sessions.gather import Session
from knowngood_sessions.traces import traces

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_sessions.core.channels.brought import Rule
    from knowngood_sessions.core.following.samples import Samples
    from knowngood_sessions.library import Facts

NOT_STORED = 0
"""The id of a session that is not in the library yet."""


def session_of(
    name: str,
    facts: Facts,
    samples: Samples,
    barometer_pa: float,
    found: Findings | None = None,
    rules: Sequence[Rule] = (),
) -> Session:
    """The session so far; ``info.id`` is `NOT_STORED`, ``rules`` are those of the samples."""
    recording = samples.recording
    info = SessionInfo(
        id=NOT_STORED,
        vehicle_id=facts.vehicle_id,
        unit_id=facts.unit_id,
        title=Path(name).stem,
        started_at=None,
        refrigerant=facts.refrigerant,
        conditions=facts.conditions,
        instruments=facts.instruments,
        duration_s=float(recording.time_s[-1]) if recording.time_s.size else 0.0,
        sample_count=recording.time_s.size,
        source_name=name,
        source_sha256="",
        technician=facts.technician,
    )
    shown = traces(recording, samples.derived, samples.known, samples.brought)
    return Session(info, recording, samples.derived, found or Findings(), barometer_pa, shown, rules=rules)
