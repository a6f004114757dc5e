"""Where a vehicle stands in the tree: its maker, its family, and the traits that families share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.records import CompressorKind, MeteringDevice

if TYPE_CHECKING:
    from collections.abc import Iterable

    from knowngood_refdata.records import Vehicle

UNKNOWN = "not recorded"
KINDS = (*map(str, CompressorKind), UNKNOWN)
METERINGS = (*map(str, MeteringDevice), UNKNOWN)
ELECTRIC = KINDS.index(CompressorKind.ELECTRIC)
TRAITS = (len(KINDS), len(METERINGS))


Branch = tuple[str, str, int, int]
"""A family as the tree has it: maker, family, compressor kind, metering device."""


@dataclass(frozen=True, slots=True)
class Place:
    """A vehicle's place: equal makers and families are told by the text that names them.

    A family is split by its traits, since cars whose compressors work differently answer differently.
    """

    maker: str
    family: str
    kind: int
    metering: int
    vehicle: int

    @property
    def branch(self) -> Branch:
        """The family as the tree has it."""
        return self.maker, self.family, self.kind, self.metering


def place(vehicle: Vehicle) -> Place:
    """A vehicle's place. One whose family nobody recorded is a family of its own."""
    maker = (vehicle.maker or vehicle.make).casefold()
    if vehicle.family_id is not None:
        family = f"#{vehicle.family_id}"
    else:
        family = vehicle.family.casefold() or f"alone {vehicle.id}"
    kind = _found(vehicle, "compressor", KINDS)
    return Place(maker, family, kind, _found(vehicle, "metering device", METERINGS), vehicle.id)


def _found(vehicle: Vehicle, field: str, known: tuple[str, ...]) -> int:
    spec = vehicle.spec(field)
    text = spec.as_printed.strip().casefold() if spec else UNKNOWN
    return known.index(text) if text in known else known.index(UNKNOWN)


def places(vehicles: Iterable[Vehicle]) -> dict[int, Place]:
    """The place of each vehicle by its id."""
    return {one.id: place(one) for one in vehicles}
