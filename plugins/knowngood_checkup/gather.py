"""Fetch what a check-up needs from the library and carry it out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_checkup.core.checkup import CheckUp, check
from knowngood_refdata.quantities import local_barometer_pa
from knowngood_refdata.queries import readings, sessions, vehicles
from knowngood_refdata.records import Findings, SessionInfo, Standing, Vehicle

if TYPE_CHECKING:
    from knowngood_refdata.store import Store


@dataclass(frozen=True, slots=True)
class SessionCheck:
    """A session, its vehicle, what was found in it and how that compares with the book."""

    info: SessionInfo
    vehicle: Vehicle | None
    findings: Findings
    checkup: CheckUp
    known_good_count: int

    @property
    def barometer_pa(self) -> float:
        """The air pressure that the session's gauges were vented to."""
        conditions = self.info.conditions
        return local_barometer_pa(conditions.barometer_pa, conditions.altitude_m)


def check_session(store: Store, session_id: int) -> SessionCheck:
    """Compare a stored session with the known-good readings of its vehicle.

    A session's own readings never count as evidence for it.
    """
    info = sessions.info(store, session_id)
    found = sessions.findings(store, session_id)
    if info.vehicle_id is None:
        return SessionCheck(info, None, found, check(found, info.conditions, ()), 0)
    known_good = tuple(
        one
        for one in readings.readings(store, info.vehicle_id, Standing.KNOWN_GOOD)
        if one.session_id != session_id
    )
    return SessionCheck(
        info,
        vehicles.vehicle(store, info.vehicle_id),
        found,
        check(found, info.conditions, known_good),
        len(known_good),
    )
