"""A stored session with its derived channels, as the screen and the report show it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.queries import sessions
from knowngood_sessions.core.analysis import barometer_of
from knowngood_sessions.core.derive import derive

if TYPE_CHECKING:
    from knowngood_refdata.records import Findings, Recording, SessionInfo
    from knowngood_refdata.store import Store
    from knowngood_sessions.core.derive import Derived


@dataclass(frozen=True, slots=True, eq=False)
class Session:
    """Everything about one session: what was recorded, derived from it, and found in it."""

    info: SessionInfo
    recording: Recording
    derived: Derived
    findings: Findings
    barometer_pa: float


def load(store: Store, session_id: int) -> Session:
    """Read a session from the library and derive what is not stored.

    Raises
    ------
    knowngood_refdata.store.StoreError
        When the library cannot be read or holds no such session.
    """
    info = sessions.info(store, session_id)
    recording = sessions.recording(store, session_id)
    barometer_pa = barometer_of(recording, info.conditions)
    return Session(
        info,
        recording,
        derive(recording, info.refrigerant, barometer_pa),
        sessions.findings(store, session_id),
        barometer_pa,
    )
