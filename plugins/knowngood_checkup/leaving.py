"""Fetch another session of the car in hand, to compare as found with as left."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_checkup.core.left import found_and_left
from knowngood_checkup.gather import SessionCheck, check_session
from knowngood_refdata.queries import sessions

if TYPE_CHECKING:
    from knowngood.api import Program
    from knowngood_checkup.core.left import Pair
    from knowngood_refdata.records import SessionInfo
    from knowngood_refdata.store import Store


@dataclass(frozen=True, slots=True)
class FoundAndLeft:
    """Two sessions of one car, the earlier one as found, and their windows in pairs."""

    found: SessionCheck
    left: SessionCheck
    pairs: tuple[Pair, ...]


def others_of(store: Store, info: SessionInfo) -> tuple[SessionInfo, ...]:
    """Other sessions of the same car; where the car is not named, those of its record that name none."""
    if info.vehicle_id is None:
        return ()
    listed = sessions.list_sessions(store, info.vehicle_id)
    same = [one for one in listed if one.id != info.id and one.unit_id == info.unit_id]
    return tuple(same)


def compare(store: Store, session_id: int, other_id: int, program: Program | None = None) -> FoundAndLeft:
    """Compare two sessions; the one that was recorded first is the one as found.

    Raises
    ------
    knowngood_refdata.store.StoreError
        When the library cannot be read or holds no such session.
    """
    both = [check_session(store, one, program) for one in (session_id, other_id)]
    first, second = sorted(both, key=_recorded)
    pairs = found_and_left(
        first.checkup.windows, second.checkup.windows, first.info.conditions, second.info.conditions
    )
    return FoundAndLeft(first, second, pairs)


def _recorded(check: SessionCheck) -> tuple[float, int]:
    at = check.info.started_at
    return (0.0 if at is None else at.timestamp(), check.info.id)
