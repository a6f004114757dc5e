"""The delivery fleet that the invented shop looks after: its lists, and readings of its vans over years."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from knowngood_demo.cars import CARS
from knowngood_demo.readings import Spread, draw_conditions, one_of_many, visit
from knowngood_refdata.drafts import ReadingDraft
from knowngood_refdata.queries import readings, vehicles

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from knowngood_demo.cars import Car
    from knowngood_refdata.store import Store

_SEED = 471
_VISITS_BEFORE = (860, 730, 500, 365, 130)
"""Days before today on which the vans that are followed were read."""
_WEATHER = Spread((27.0, 31.0), (42.0, 52.0))


@dataclass(frozen=True, slots=True)
class Van:
    """A unit of the fleet: what it loses in a year in grams, and what its counters rise by in a year."""

    name: str
    depot: str
    body: str
    charge_g: int
    loss_g: float
    km_a_year: int
    km: int
    followed: bool = False
    topped_up: bool = False


VANS = (
    Van("HL-1101", "Quay", "parcel van", 750, 95.0, 31_000, 214_000, followed=True),
    Van("HL-1102", "Quay", "parcel van", 750, 22.0, 28_000, 168_000, followed=True),
    Van("HL-1103", "Mill Road", "parcel van", 750, 35.0, 36_000, 251_000),
    Van("HL-1201", "Mill Road", "high roof van", 1_150, 28.0, 24_000, 133_000),
    Van("HL-1202", "Mill Road", "high roof van", 1_150, 130.0, 27_000, 197_000, topped_up=True),
    Van("HL-1203", "Fellside", "high roof van", 1_150, 18.0, 19_000, 88_000),
    Van("HL-901", "Fellside", "courier car", 520, 15.0, 22_000, 121_000),
    Van("HL-902", "Fellside", "courier car", 520, 58.0, 25_000, 160_000),
    Van("HL-903", "Quay", "courier car", 520, 25.0, 17_000, 92_000),
)
_DONE_BEFORE = (95, 345, 140, 210, 325, 180, 380, 230, 60)
"""Days before today on which checks were done, in turn."""
_CHECKS = ("Season check", "Condenser cleaned", "Leak check", "Charge recovered", "Cabin filter")


def write_lists(folder: Path, today: date) -> Path:
    """Write the fleet's lists as the fleet hands them over, the dates counted back from a day."""
    folder.mkdir(parents=True, exist_ok=True)
    rng = np.random.default_rng(_SEED)
    rows: dict[str, list[Sequence[object]]] = {
        "units": [("unit", "depot", "body", "usual loss g")],
        "services": [("unit", "date", "work", "recovered g", "charged g", "repaired", "note")],
        "counters": [("unit", "date", "hours", "odometer km")],
        "checks": [("unit", "date", "check", "hours", "odometer km", "note")],
    }
    for number, van in enumerate(VANS):
        rows["units"].append((van.name, van.depot, van.body, 60 if "roof" in van.body else 40))
        rows["services"] += _services(van, today, rng)
        rows["counters"] += [(van.name, *_counters(van, today, days)) for days in (400, 210, 20)]
        rows["checks"] += _checks(van, number, today)
    for name, lines in rows.items():
        with (folder / f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
            csv.writer(file).writerows(lines)
    return folder


def add_readings(store: Store, today: date) -> None:
    """Enter the readings of the vans that are followed, as candidates: the book is not made of them."""
    drafts = [
        draft for number, van in enumerate(VANS) if van.followed for draft in _read(store, van, number, today)
    ]
    readings.add_many(store, drafts)


def _read(store: Store, van: Van, number: int, today: date) -> list[ReadingDraft]:
    car, vehicle_id, unit_id = _car_of(store, van.name)
    place = CARS.index(car)
    design = one_of_many(car.design, np.random.default_rng((470, place, int(van.name[-1]) - 1)))
    rng = np.random.default_rng((_SEED, number))
    found = []
    for days in _VISITS_BEFORE:
        years = (_VISITS_BEFORE[0] - days) / 365.25
        left = 1.0 - van.loss_g / van.charge_g * years
        at = datetime.combine(today - timedelta(days=days), time(10, 30), UTC)
        seen = visit(design, car, draw_conditions(rng, _WEATHER), (), rng, charge_share=left)
        found += [
            ReadingDraft(
                vehicle_id, unit_id, None, at, one.conditions, one.engine_rpm, one.fan_stage, one.values
            )
            for one in seen
        ]
    return found


def _car_of(store: Store, name: str) -> tuple[Car, int, int]:
    for place, car in enumerate(CARS):
        for vehicle in vehicles.search(store, f"{car.years[0]} {car.name}"):
            for unit in vehicles.units(store, vehicle.id):
                if unit.fleet_number == name and name.startswith(f"HL-{place + 1}"):
                    return car, vehicle.id, unit.id
    raise LookupError(f"no car {name}")


def _services(van: Van, today: date, rng: np.random.Generator) -> list[Sequence[object]]:
    """Weighed in three times, each recovery leaving a little behind; one van was refilled in between."""
    days = (900, 520, 150)
    found: list[Sequence[object]] = [
        (van.name, today - timedelta(days[0]), "weighed in", "", van.charge_g, "", "")
    ]
    for before, now in pairwise(days):
        added = 90 if van.topped_up and now == days[-1] else 0
        if added:
            found.append((van.name, today - timedelta(now + 120), "topped up", "", added, "", "on the road"))
        held = van.charge_g + added - van.loss_g * (before - now) / 365.25
        recovered = round(held * (1.0 - rng.uniform(0.01, 0.04)) + rng.normal(0.0, 5.0))
        found.append((van.name, today - timedelta(now), "weighed in", recovered, van.charge_g, "", ""))
    return found


def _counters(van: Van, today: date, days: int) -> tuple[date, int, int]:
    km = round(van.km - van.km_a_year * days / 365.25)
    return today - timedelta(days), round(km / 27.0), km


def _checks(van: Van, number: int, today: date) -> list[Sequence[object]]:
    found: list[Sequence[object]] = []
    for place, check in enumerate(_CHECKS):
        days = _DONE_BEFORE[(3 * number + 5 * place) % len(_DONE_BEFORE)]
        at, hours, km = _counters(van, today, days)
        found.append((van.name, at, check, hours, km, ""))
    return found
