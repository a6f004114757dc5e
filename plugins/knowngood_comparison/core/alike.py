"""What two configurations of a pair differ in, and by how much their charges do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from knowngood_refdata.records import SpecValue, Vehicle

DESIGN = ("compressor", "metering device", "fan", "oil", "evaporators")
"""The spec fields whose difference bears on the readings."""


@dataclass(frozen=True, slots=True)
class ChargeDifference:
    """Second less first of the most trusted charge weights: in kg, and as a share of the first."""

    kg: float
    share: float


@dataclass(frozen=True, slots=True)
class Otherwise:
    """Something in which two configurations differ beside the refrigerant; an empty text is not on record."""

    name: str
    first: str
    second: str


def charges(vehicle: Vehicle) -> tuple[SpecValue, ...]:
    """The charge weights on record for a vehicle, the most trusted source first."""
    return vehicle.specs.get("charge", ())


def charge_difference(first: Vehicle, second: Vehicle) -> ChargeDifference | None:
    """The difference between the charges of the most trusted sources; None unless both are on record."""
    values = [one.value for one in (first.spec("charge"), second.spec("charge")) if one is not None]
    if len(values) != 2 or values[0] is None or values[1] is None or values[0] <= 0.0:
        return None
    return ChargeDifference(values[1] - values[0], (values[1] - values[0]) / values[0])


def otherwise(first: Vehicle, second: Vehicle) -> tuple[Otherwise, ...]:
    """In what two configurations differ beside the refrigerant; what is alike is left out."""
    rows = [
        ("model", f"{first.make} {first.model}", f"{second.make} {second.model}"),
        ("engine", first.engine, second.engine),
        ("years", _years(first), _years(second)),
        ("market", first.market, second.market),
        *((name, _printed(first, name), _printed(second, name)) for name in DESIGN),
    ]
    return tuple(Otherwise(*row) for row in rows if row[1].casefold() != row[2].casefold())


def _years(vehicle: Vehicle) -> str:
    if vehicle.year_to == vehicle.year_from:
        return f"{vehicle.year_from}"
    return (
        f"{vehicle.year_from} on" if vehicle.year_to is None else f"{vehicle.year_from} to {vehicle.year_to}"
    )


def _printed(vehicle: Vehicle, field: str) -> str:
    value = vehicle.spec(field)
    return "" if value is None else value.as_printed
