"""The fleet's part of the report on a session, on both databases."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np

from knowngood.formatting import System
from knowngood_fleet import library
from knowngood_fleet.core.fleet import Done
from knowngood_fleet.core.lists import check_called
from knowngood_fleet.section import sections
from knowngood_refdata.drafts import SessionDraft
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import Channel, Recording, Role

if TYPE_CHECKING:
    from knowngood_refdata.store import Store


def session_of(store: Store, vehicle_id: int, unit_id: int | None) -> int:
    values = np.array([300.0, 301.0, 302.0])
    recorded = Recording(np.arange(3.0), (Channel("PL", Role.LOW_SIDE, "kPa", False, values),))
    draft = SessionDraft(vehicle_id, "Season check", "R-134a", "run.csv", unit_id=unit_id)
    return sessions.save(store, draft, recorded, f"of {unit_id}".encode())


def test_a_session_of_a_fleet_unit_gets_a_section_and_any_other_none(
    fleet_store: Store, wherries: int
) -> None:
    bus, other, *_ = library.cars(fleet_store)
    library.add_units(fleet_store, [bus], "Quay", "city bus")
    (section,) = sections(fleet_store, session_of(fleet_store, wherries, bus.unit_id), System.US)
    assert section.title == "Fleet"
    assert "HL-901, Quay, city bus" in section.html
    assert "Not enough weighings" in section.html
    assert "never done" in section.html
    for unit_id in (other.unit_id, None):
        assert sections(fleet_store, session_of(fleet_store, wherries, unit_id), System.US) == []


def test_the_section_names_what_is_due_and_leaves_out_what_is_not(fleet_store: Store, wherries: int) -> None:
    (bus, *_) = library.cars(fleet_store)
    library.add_units(fleet_store, [bus], "Quay", "city bus")
    today = datetime.now(UTC).astimezone().date()
    library.add_done(fleet_store, bus.unit_id, Done(check_called("leak"), today))
    (section,) = sections(fleet_store, session_of(fleet_store, wherries, bus.unit_id), System.SI)
    assert "Leak check" not in section.html
    assert "Cabin filter" in section.html
