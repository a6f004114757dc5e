"""Harbour Lane Mobile Air, an invented shop: builds its library once."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from knowngood_demo.cars import CARS, SKERRY
from knowngood_demo.csvfile import US_COLUMNS, with_units_in_header
from knowngood_demo.design import HEALTHY, Faults, Surroundings
from knowngood_demo.instruments import DIGITAL
from knowngood_demo.logs import conditions_of, skerry_session
from knowngood_demo.readings import draw_conditions as draw
from knowngood_demo.readings import one_of_many, visit
from knowngood_demo.specs import vehicle_draft
from knowngood_demo.tables import idle_test
from knowngood_demo.visits import PLANS, Plan
from knowngood_refdata.drafts import ReadingDraft, SessionDraft
from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.queries import readings, sessions, tables, vehicles
from knowngood_refdata.records import CompressorKind, Standing
from knowngood_refdata.store import Store
from knowngood_sessions.core.finding.analysis import analyse

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from knowngood_demo.cars import Car
    from knowngood_demo.readings import HealthyReading

NAME = "Harbour Lane Mobile Air"
TECHNICIANS = ("Ida Quill", "Maro Tench", "Sunniva Hale")
_FIRST_VISIT = datetime(2025, 6, 2, 9, 0, tzinfo=UTC)
_WHY = (
    "weighed-in charge, gas identified, no complaint",
    "charged by weight after a repair, leak check passed, no complaint",
    "new vehicle at its first service, no complaint",
)
_SEED = 470


def ensure_library(path: Path, user: str = TECHNICIANS[0]) -> Path:
    """Build the demo's library at a path unless it lies there already, and give the path back.

    The same vehicles, readings and sessions every time. A half-built library never stands at the path:
    it grows under another name and is moved when complete.

    Parameters
    ----------
    path : Path
        The SQLite file.
    user : str
        Under whose name everything is entered.

    Raises
    ------
    OSError
        When the folder cannot be written.
    knowngood_refdata.store.StoreError
        When the library cannot be made.
    """
    if path.exists():
        return path
    path.parent.mkdir(parents=True, exist_ok=True)
    growing = path.with_name(f"{path.name}.growing")
    _remove(growing)
    store = Store.open(growing, user=user)
    try:
        build_library(store)
    finally:
        store.close()
    growing.replace(path)
    return path


def build_library(store: Store, plans: Sequence[Plan] = PLANS) -> None:
    """Fill an empty library: vehicles, cars, known-good readings, two sessions and a published table.

    Each plan of ``plans`` draws from a seed of its own: leaving some out does not change the others.
    """
    ids = {car: vehicles.add_vehicle(store, vehicle_draft(car)) for car in CARS}
    units = {car: _add_units(store, ids[car], car) for car in CARS}
    for plan in plans:
        _add_visits(store, plan, ids[plan.car], units[plan.car])
    tables.add(store, idle_test(SKERRY), vehicle_id=ids[SKERRY])
    _add_sessions(store, ids[SKERRY], units[SKERRY])
    if readings.readings(store, ids[SKERRY]):
        _retire_one(store, ids[SKERRY])


def _remove(growing: Path) -> None:
    """Take away what an interrupted build left, with the database's own side files."""
    for name in (growing.name, f"{growing.name}-wal", f"{growing.name}-shm"):
        growing.with_name(name).unlink(missing_ok=True)


def _add_units(store: Store, vehicle_id: int, car: Car) -> list[int]:
    count = max((len(plan.visits_by_unit) for plan in PLANS if plan.car is car), default=1)
    place = CARS.index(car) + 1
    return [
        vehicles.add_unit(
            store,
            vehicle_id,
            vin=f"XDEM{car.family.maker[0]}{place:02d}000000{number:04d}",
            fleet_number=f"HL-{100 * place + number}",
            note="",
        )
        for number in range(1, count + 1)
    ]


def _add_visits(store: Store, plan: Plan, vehicle_id: int, units: list[int]) -> None:
    rng = np.random.default_rng((_SEED, PLANS.index(plan)))
    at = _FIRST_VISIT + timedelta(days=3 * PLANS.index(plan))
    drafts: list[ReadingDraft] = []
    for number, (unit_id, visits) in enumerate(zip(units, plan.visits_by_unit, strict=True)):
        # A car keeps its own scatter whatever plan it appears in.
        design = one_of_many(plan.car.design, np.random.default_rng((_SEED, CARS.index(plan.car), number)))
        for _ in range(visits):
            found = visit(design, plan.car, draw(rng, plan.spread), plan.speeds_rpm, rng, plan.leg_s)
            why = str(rng.choice(_WHY))
            drafts += [_draft(plan.car, reading, vehicle_id, unit_id, at, why) for reading in found]
            at += timedelta(days=1, hours=float(rng.integers(0, 5)), minutes=float(rng.integers(0, 60)))
    readings.add_many(store, drafts)


def _draft(
    car: Car, reading: HealthyReading, vehicle_id: int, unit_id: int, at: datetime, why: str
) -> ReadingDraft:
    # An electric compressor does not follow an engine: its cars are read with none running.
    has_engine = car.design.compressor.kind is not CompressorKind.ELECTRIC
    return ReadingDraft(
        vehicle_id=vehicle_id,
        unit_id=unit_id,
        session_id=None,
        taken_at=at,
        conditions=reading.conditions,
        engine_rpm=reading.engine_rpm if has_engine else 0.0,
        fan_stage=reading.fan_stage,
        values=reading.values,
        standing=Standing.KNOWN_GOOD,
        decided_why=why,
    )


def _retire_one(store: Store, vehicle_id: int) -> None:
    """The book also holds a reading that counts no longer: what was wrong with the car was found later."""
    last = readings.readings(store, vehicle_id, Standing.KNOWN_GOOD)[-1]
    why = "cabin filter found blocked two days later"
    readings.decide(store, last.id, last.version, Standing.RETIRED, why)


def _add_sessions(store: Store, vehicle_id: int, units: list[int]) -> None:
    mild = Surroundings(ZERO_CELSIUS_K + 30.8, ZERO_CELSIUS_K + 25.4, 0.51, 98_900.0)
    _add_session(store, vehicle_id, units[0], "Season check", HEALTHY, mild, 21, TECHNICIANS[1])
    warm = Surroundings(ZERO_CELSIUS_K + 32.0, ZERO_CELSIUS_K + 26.5, 0.46, 98_600.0)
    _add_session(
        store, vehicle_id, units[3], "Cools poorly at idle", Faults(charge=0.72), warm, 22, TECHNICIANS[2]
    )


def _add_session(
    store: Store,
    vehicle_id: int,
    unit_id: int,
    title: str,
    faults: Faults,
    around: Surroundings,
    seed: int,
    technician: str,
) -> None:
    _, record = skerry_session(faults, seed, around)
    refrigerant, conditions = SKERRY.design.refrigerant, conditions_of(around)
    draft = SessionDraft(
        vehicle_id=vehicle_id,
        unit_id=unit_id,
        title=title,
        refrigerant=refrigerant,
        source_name=f"skerry_{seed}.csv",
        conditions=conditions,
        instruments=DIGITAL,
        started_at=_FIRST_VISIT + timedelta(days=40 + seed, hours=1),
        technician=technician,
        findings=analyse(record, refrigerant, conditions, DIGITAL),
    )
    sessions.save(store, draft, record, with_units_in_header(record, US_COLUMNS))
