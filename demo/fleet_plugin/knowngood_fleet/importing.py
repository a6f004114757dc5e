"""Take the lists of a fleet from a folder into the library."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_fleet import library
from knowngood_fleet.core import lists
from knowngood_fleet.core.lists import ListRefused

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable
    from pathlib import Path

    from knowngood_refdata.store import Store

FILES = {kind: f"{kind}.csv" for kind in lists.COLUMNS}


@dataclass(frozen=True, slots=True)
class Taken:
    """How many rows of each list were entered."""

    units: int
    services: int
    counters: int
    checks: int

    def __str__(self) -> str:
        return f"{self.units} units, {self.services} services, {self.counters} counters, {self.checks} checks"


def take_lists(store: Store, folder: Path) -> Taken:
    """Enter ``units.csv``, ``services.csv``, ``counters.csv`` and ``checks.csv``; a list may be missing.

    Units are cars of the library with that fleet number or VIN. All lists are read before anything is
    stored.

    Raises
    ------
    ListRefused
        When a list cannot be read, or names a unit that is neither a car of the library nor of the fleet.
    OSError
        When a file cannot be read.
    """
    units = lists.read_units(_text(folder, "units"))
    services = lists.read_services(_text(folder, "services"))
    counters = lists.read_counters(_text(folder, "counters"))
    checks = lists.read_checks(_text(folder, "checks"))
    cars = {one.name: one for one in library.cars(store)}
    known = {one.name: one.unit_id for one in library.units(store)}
    _need("units", (one.name for one in units), {*cars, *known})
    after = {**known, **{one.name: cars[one.name].unit_id for one in units if one.name in cars}}
    for kind, rows in (("services", services), ("counters", counters), ("checks", checks)):
        _need(kind, (name for name, _ in rows), after)
    new = [one for one in units if one.name in cars]
    for one in new:
        library.add_units(store, [cars[one.name]], one.depot, one.body, one.usual_loss_kg)
    library.add_all(
        store,
        [(after[name], row) for name, row in services],
        [(after[name], row) for name, row in counters],
        [(after[name], row) for name, row in checks],
    )
    return Taken(len(new), len(services), len(counters), len(checks))


def _text(folder: Path, kind: str) -> str:
    path = folder / FILES[kind]
    try:
        return path.read_text(encoding="utf-8") if path.exists() else ",".join(lists.COLUMNS[kind])
    except UnicodeDecodeError:
        raise ListRefused(f"{path.name} is no text in UTF-8. Nothing was stored.") from None


def _need(kind: str, names: Iterable[str], known: Collection[str]) -> None:
    unknown = next((one for one in names if one not in known), None)
    if unknown is not None:
        raise ListRefused(
            f"{kind} names '{unknown}', which is no car of the library with that fleet number or VIN. "
            "Nothing was stored; enter the car on the Vehicle specs page first."
        )
