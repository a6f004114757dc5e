"""Fetch what a check-up needs from the library and carry it out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_checkup.cases import known_of
from knowngood_checkup.core.admission import OpenNote, requirements
from knowngood_checkup.core.checkup import Car, CheckUp, check
from knowngood_checkup.core.explain.brought import NOTHING, Brought
from knowngood_checkup.core.explained import known_answers
from knowngood_checkup.core.published import published_comparisons
from knowngood_refdata.quantities import local_barometer_pa
from knowngood_refdata.queries import checkups, sessions, tables, vehicles
from knowngood_refdata.queries.known_book import book_for_session

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.api import CheckNote, Program
    from knowngood_checkup.core.admission import Requirement
    from knowngood_checkup.core.published import PublishedComparison
    from knowngood_refdata.records import Findings, FoundOut, SessionInfo, SpecValue, Vehicle
    from knowngood_refdata.store import Store

CHARGE, CAUTION = "charge", "caution"


@dataclass(frozen=True, slots=True)
class SessionCheck:
    """A session, its vehicle, what was found in it and how that compares with the book.

    For each steady window ``asked`` holds what a known-good reading needs and how it stands, ``published``
    what the published tables of this car say. ``notes`` are what the checks of all plugins found.
    """

    info: SessionInfo
    vehicle: Vehicle | None
    findings: Findings
    found_out: FoundOut
    checkup: CheckUp
    known_good_count: int
    asked: tuple[tuple[Requirement, ...], ...] = ()
    published: tuple[tuple[PublishedComparison, ...], ...] = ()
    notes: Sequence[CheckNote] = ()

    @property
    def barometer_pa(self) -> float:
        """The air pressure that the session's gauges were vented to."""
        conditions = self.info.conditions
        return local_barometer_pa(conditions.barometer_pa, conditions.altitude_m)

    @property
    def label(self) -> SpecValue | None:
        """The charge weight that counts for this car."""
        return None if self.vehicle is None else self.vehicle.spec(CHARGE)


def check_session(store: Store, session_id: int, program: Program | None = None) -> SessionCheck:
    """Compare a stored session with what the book expects of its vehicle.

    A session's own readings never count as evidence for it. Without a ``program`` no other plugin is asked.

    Raises
    ------
    knowngood_refdata.store.StoreError
        When the library cannot be read or holds no such session.
    """
    info = sessions.info(store, session_id)
    found, found_out = sessions.findings(store, session_id), checkups.found_out(store, session_id)
    book = book_for_session(store, session_id)
    vehicle = None if info.vehicle_id is None else vehicles.vehicle(store, info.vehicle_id)
    label = None if vehicle is None else vehicle.spec(CHARGE)
    car = None if vehicle is None else Car(vehicle, info.unit_id, info.conditions)
    brought = NOTHING if program is None else Brought.of(program.explanations(), program.measurements())
    answers = known_answers(found_out.answers, found_out.weighings, label, brought.measurements)
    known = known_of(store, session_id, brought.explanations)
    checked = check(book, car, found, answers, known, brought)
    notes = () if program is None else tuple(program.session_checks(session_id))
    opened = tuple(OpenNote(one.text, one.source, one.level.value == CAUTION) for one in notes)
    return SessionCheck(
        info,
        vehicle,
        found,
        found_out,
        checked,
        sum(one.vehicle_id == info.vehicle_id for one in book.readings),
        tuple(
            requirements(one, info.conditions, found_out, label, checked.explained, opened)
            for one in checked.windows
        ),
        _published(store, vehicle, info, found),
        notes,
    )


def _published(
    store: Store, vehicle: Vehicle | None, info: SessionInfo, found: Findings
) -> tuple[tuple[PublishedComparison, ...], ...]:
    if vehicle is None:
        return ()
    stored = tables.tables(store, vehicle.id)
    held = [(one.table, one.citation) for one in stored if one.table is not None]
    return tuple(published_comparisons(held, vehicle, info.conditions, one) for one in found.windows)
