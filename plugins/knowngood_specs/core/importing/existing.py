"""What the library holds already, to be asked by name, by a name near it, and by car."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING, Generic, TypeVar

from knowngood_specs.core.importing.identity import (
    Key,
    Named,
    Variant,
    differs,
    folded,
    key_of,
    overlap,
    variant_of,
)
from knowngood_specs.core.importing.near import NearNames

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from knowngood_refdata.records import Unit, Vehicle

    _Name = tuple[str, str]

Held = TypeVar("Held")
_MOST_COMPARED = 500
"""Of a model with more entries than these the rest are not looked at for likeness."""


@dataclass(frozen=True, slots=True)
class Entry(Generic[Held]):
    """A vehicle under its key and variant, with what is held of it."""

    key: Key
    variant: Variant
    held: Held


class Register(Generic[Held]):
    """Vehicles by their names; serves the library's and those that a file brings."""

    def __init__(self) -> None:
        self._by_key: defaultdict[Key, list[Entry[Held]]] = defaultdict(list)
        self._by_name: dict[_Name, dict[str, list[Entry[Held]]]] = {}
        self._makes = NearNames()
        self._models: defaultdict[str, NearNames] = defaultdict(NearNames)
        self._engines: defaultdict[_Name, NearNames] = defaultdict(NearNames)

    def add(self, named: Named, held: Held) -> Entry[Held]:
        """Take in a vehicle."""
        entry = Entry(key_of(named), variant_of(named), held)
        self._by_key[entry.key].append(entry)
        name = entry.key.make, entry.key.model
        engines = self._by_name.get(name)
        if engines is None:
            engines = self._by_name[name] = {}
            self._makes.add(name[0])
            self._models[name[0]].add(name[1])
        if entry.key.engine not in engines:
            engines[entry.key.engine] = []
            self._engines[name].add(entry.key.engine)
        engines[entry.key.engine].append(entry)
        return entry

    def same(self, key: Key) -> list[Entry[Held]]:
        """The vehicles of a key, whatever their variant."""
        return self._by_key.get(key, [])

    def similar(self, key: Key, variant: Variant) -> Entry[Held] | None:
        """A vehicle that may be meant although its key differs, None when there is none.

        Either the names are one slip away and the rest agrees, or the names agree and the years overlap.
        A vehicle that says another variant is another one.
        """
        for name in self._names(key.make, key.model):
            for entry in islice(self._entries(name, key.engine), _MOST_COMPARED):
                if entry.key != key and _may_be(entry, key, variant):
                    return entry
        return None

    def _names(self, make: str, model: str) -> Iterator[_Name]:
        """The name itself and those one slip away that are held."""
        candidates = [(make, model)]
        if make in self._models:
            candidates += [(make, near) for near in self._models[make].near(model)]
        candidates += [(near, model) for near in self._makes.near(make)]
        return (one for one in candidates if one in self._by_name)

    def _entries(self, name: _Name, engine: str) -> Iterator[Entry[Held]]:
        """The vehicles of a name with the engine, one a slip away, or none said on either side."""
        engines = self._by_name[name]
        wanted = (engine, *self._engines[name].near(engine), "") if engine else tuple(engines)
        return (entry for one in wanted for entry in engines.get(one, ()))


def _may_be(entry: Entry[Held], key: Key, variant: Variant) -> bool:
    markets = entry.key.market == key.market or not entry.key.market or not key.market
    return markets and overlap(entry.key, key) and not differs(entry.variant, variant)


class ExistingIndex:
    """The library's vehicles and cars as the plan asks for them.

    Parameters
    ----------
    vehicles
        Every vehicle of the library, or at least every one of the makes that a file names.
    units
        The cars that are on record.
    """

    def __init__(self, vehicles: Iterable[Vehicle] = (), units: Iterable[Unit] = ()) -> None:
        self.register: Register[Vehicle] = Register()
        self.makes: set[str] = set()
        self.models: set[str] = set()
        for one in vehicles:
            self.register.add(one, one)
            self.makes.add(one.make.casefold())
            self.models.add(one.model.casefold())
        self._vins: dict[str, int] = {}
        self._fleet_numbers: dict[str, int] = {}
        for car in units:
            if car.vin:
                self._vins[bare_vin(car.vin)] = car.vehicle_id
            if car.fleet_number:
                self._fleet_numbers[folded(car.fleet_number)] = car.vehicle_id

    def vehicle_of(self, vin: str, fleet_number: str) -> int | None:
        """The vehicle to which a car is on record, by its VIN or else its fleet number."""
        if vin:
            found = self._vins.get(bare_vin(vin))
            if found is not None or not fleet_number:
                return found
        return self._fleet_numbers.get(folded(fleet_number)) if fleet_number else None


def bare_vin(text: str) -> str:
    """A VIN in capitals without blanks and dashes."""
    return "".join(letter for letter in text.upper() if letter.isalnum())
