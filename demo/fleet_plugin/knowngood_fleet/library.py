"""The fleet in the library: read as records, and entered row by row; nothing entered is overwritten."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import Table, insert, select, update

from knowngood_fleet.core.fleet import Counters, Done, FleetUnit, went_back
from knowngood_fleet.core.leaks import USUAL_LOSS_KG, Service, Work
from knowngood_fleet.rows import COUNTERS, DONE, SERVICE, UNIT
from knowngood_refdata.errors import NotFound
from knowngood_refdata.queries import vehicles

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from knowngood_refdata.records import Unit, Vehicle
    from knowngood_refdata.store import Store


class Refused(ValueError):  # noqa: N818 - a refusal is an answer
    """What was to be entered makes no sense. The text says why; nothing was stored."""


@dataclass(frozen=True, slots=True)
class Car:
    """A real car of the library that can become a unit of the fleet."""

    unit_id: int
    vehicle_id: int
    name: str
    design: str


def cars(store: Store) -> tuple[Car, ...]:
    """The real cars of the library that are no units of the fleet yet, by name."""
    with store.reading() as session:
        taken = set(session.scalars(select(UNIT.c.unit_id)))
    found = [
        Car(one.id, vehicle.id, name_of(one), vehicle.name)
        for vehicle in vehicles.search(store, limit=100_000)
        for one in vehicles.units(store, vehicle.id)
        if one.id not in taken
    ]
    return tuple(sorted(found, key=lambda car: (car.name, car.unit_id)))


def units(store: Store) -> tuple[FleetUnit, ...]:
    """The units of the fleet with everything entered about them, by name."""
    rows = {table: _rows(store, table) for table in (UNIT, SERVICE, COUNTERS, DONE)}
    services = _by_unit(rows[SERVICE], lambda row: _service(row) if not row["struck_why"] else None)
    counters = _by_unit(rows[COUNTERS], lambda row: Counters(row["at"], row["hours"], row["odometer_km"]))
    done = _by_unit(
        rows[DONE],
        lambda row: Done(row["check_name"], row["at"], row["hours"], row["odometer_km"], row["note"]),
    )
    kinds, names = _on_record(store, {row["vehicle_id"] for row in rows[UNIT]})
    found = []
    for row in rows[UNIT]:
        number, kind = row["unit_id"], kinds.get(row["vehicle_id"])
        charge = kind.spec("charge") if kind else None
        unit = FleetUnit(
            number,
            row["vehicle_id"],
            names.get(number, f"car number {number}, no longer on record"),
            kind.name if kind else "no longer on record",
            row["depot"],
            row["body"],
            row["usual_loss_kg"],
            charge.value if charge else None,
            tuple(sorted(counters[number], key=lambda one: one.at)),
            tuple(sorted(services[number], key=lambda one: one.at)),
            tuple(sorted(done[number], key=lambda one: one.at)),
        )
        found.append(unit)
    return tuple(sorted(found, key=lambda one: (one.name, one.unit_id)))


def unit(store: Store, unit_id: int) -> FleetUnit | None:
    """One unit of the fleet; None when the car is none."""
    return next((one for one in units(store) if one.unit_id == unit_id), None)


def add_units(
    store: Store, cars_in: Iterable[Car], depot: str, body: str, usual_loss_kg: float = USUAL_LOSS_KG
) -> int:
    """Make cars of the library units of the fleet; how many.

    Raises
    ------
    Refused
        Without a depot, or with a usual loss below zero.
    """
    if not depot.strip():
        raise Refused("A unit stands at a depot. Name it; nothing was stored.")
    if usual_loss_kg < 0.0:
        raise Refused("A usual loss is zero or more. Nothing was stored.")
    told: dict[str, Any] = {"depot": depot.strip(), "body": body.strip(), "usual_loss_kg": usual_loss_kg}
    told |= {"entered_by": store.user, "entered_at": datetime.now(UTC)}
    rows = [{"unit_id": one.unit_id, "vehicle_id": one.vehicle_id, **told} for one in cars_in]
    if rows:
        with store.writing("units added to the fleet") as session:
            session.execute(insert(UNIT), rows)
    return len(rows)


def move(store: Store, unit_id: int, depot: str) -> None:
    """Let a unit stand at another depot."""
    if not depot.strip():
        raise Refused("A unit stands at a depot. Name it; nothing was stored.")
    with store.writing("fleet unit moved") as session:
        session.execute(update(UNIT).where(UNIT.c.unit_id == unit_id).values(depot=depot.strip()))


def add_service(store: Store, unit_id: int, service: Service) -> None:
    """Enter what was weighed at a service.

    Raises
    ------
    Refused
        When a weight is negative or nothing was charged at a top-up.
    """
    add_all(store, [(unit_id, service)])


def add_all(
    store: Store,
    services: Sequence[tuple[int, Service]] = (),
    counters: Sequence[tuple[int, Counters]] = (),
    checks: Sequence[tuple[int, Done]] = (),
) -> None:
    """Enter many rows, each with its unit's number, all of them or none.

    Raises
    ------
    Refused
        As `add_service` and `add_counters`.
    """
    known = {one.unit_id: one for one in units(store)} if counters else {}
    for unit_id, read in counters:
        known[unit_id] = _with_counters(known[unit_id], read)
    for _, service in services:
        _check_service(service)
    stamp = {"entered_by": store.user, "entered_at": datetime.now(UTC)}
    with store.writing("fleet lists entered") as session:
        for table, rows in (
            (SERVICE, [_service_row(number, one) for number, one in services]),
            (COUNTERS, [_counters_row(number, one) for number, one in counters]),
            (DONE, [_done_row(number, one) for number, one in checks]),
        ):
            if rows:
                session.execute(insert(table), [{**row, **stamp} for row in rows])


def strike_service(store: Store, service_id: int, why: str) -> None:
    """Let a service that was entered wrongly count no longer; it stays on record with the reason."""
    if not why.strip():
        raise Refused("A service is struck out with a reason. Nothing was changed.")
    with store.writing("fleet service struck out") as session:
        session.execute(update(SERVICE).where(SERVICE.c.id == service_id).values(struck_why=why.strip()))


def add_counters(store: Store, unit_id: int, counters: Counters) -> None:
    """Enter what the counters of a unit showed.

    Raises
    ------
    Refused
        When a counter would run backwards, or none was read.
    """
    add_all(store, counters=[(unit_id, counters)])


def add_done(store: Store, unit_id: int, done: Done) -> None:
    """Enter that a check was done."""
    add_all(store, checks=[(unit_id, done)])


def name_of(car: Unit) -> str:
    """What people call a car: its fleet number, else its VIN."""
    return car.fleet_number or car.vin or car.note or f"car {car.id}"


def _rows(store: Store, table: Table) -> list[Mapping[str, Any]]:
    with store.reading() as session:
        return [dict(row) for row in session.execute(select(table)).mappings()]


def _with_counters(unit: FleetUnit, read: Counters) -> FleetUnit:
    if read.hours is None and read.odometer_km is None:
        raise Refused("Neither engine hours nor odometer were given. Nothing was stored.")
    wrong = went_back(unit, read)
    if wrong:
        raise Refused(f"{unit.name}: {wrong}. Nothing was stored; look at both readings.")
    return replace(unit, counters=tuple(sorted((*unit.counters, read), key=lambda one: one.at)))


def _check_service(service: Service) -> None:
    if service.charged_kg < 0.0 or (service.recovered_kg or 0.0) < 0.0:
        raise Refused("A weight is zero or more. Nothing was stored.")
    if service.work is Work.TOPPED_UP and service.charged_kg == 0.0:
        raise Refused("Nothing was added, so there is nothing to enter. Nothing was stored.")
    if service.limit_kg <= 0.0 or not 0.0 <= service.left_share < 1.0:
        raise Refused("A scale has a limit of error above zero, and recovery leaves less than all behind.")


def _service_row(unit_id: int, service: Service) -> dict[str, Any]:
    names = ("at", "charged_kg", "recovered_kg", "limit_kg", "left_share", "repaired", "note")
    row = {name: getattr(service, name) for name in names}
    return {"unit_id": unit_id, "work": service.work.value, **row}


def _counters_row(unit_id: int, read: Counters) -> dict[str, Any]:
    return {"unit_id": unit_id, "at": read.at, "hours": read.hours, "odometer_km": read.odometer_km}


def _done_row(unit_id: int, done: Done) -> dict[str, Any]:
    counted = {"hours": done.hours, "odometer_km": done.odometer_km}
    return {"unit_id": unit_id, "check_name": done.check, "at": done.at, "note": done.note, **counted}


def _by_unit(rows: Iterable[Mapping[str, Any]], record: Any) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        one = record(row)
        if one is not None:
            found[row["unit_id"]].append(one)
    return found


def _service(row: Mapping[str, Any]) -> Service:
    return Service(
        row["at"],
        Work(row["work"]),
        row["charged_kg"],
        row["recovered_kg"],
        row["limit_kg"],
        row["left_share"],
        row["repaired"],
        row["note"],
        row["id"],
    )


def _on_record(store: Store, ids: Collection[int]) -> tuple[dict[int, Vehicle], dict[int, str]]:
    """The vehicles with these numbers and the names of their cars; those no longer on record are left out."""
    kinds, names = {}, {}
    for number in ids:
        try:
            kinds[number] = vehicles.vehicle(store, number)
        except NotFound:
            continue
        names.update({one.id: name_of(one) for one in vehicles.units(store, number)})
    return kinds, names
