"""The values of a record side by side, field by field, those that differ first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_specs.core.agreement import conflicts
from knowngood_specs.core.fields import FIELDS, field_named

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.records import SpecDecided, SpecValue, Vehicle
    from knowngood_specs.core.fields import Field


@dataclass(frozen=True, slots=True)
class Sides:
    """All values of one field, the one that counts first.

    ``differ`` tells whether they say different things, ``decided`` who let the first of them count and why;
    without it the most trusted kind of source counts.
    """

    field: Field
    values: tuple[SpecValue, ...]
    differ: bool
    decided: SpecDecided | None

    @property
    def alone(self) -> bool:
        """Whether a single source tells of the field."""
        return len(self.values) == 1


def sides_of(vehicle: Vehicle, fields: Sequence[Field] = FIELDS) -> tuple[Sides, ...]:
    """Every field that something is on record of: those that differ, those that agree, those told once."""
    order = {one.name: place for place, one in enumerate(fields)}
    found = [
        Sides(field_named(name, fields), tuple(values), conflicts(values), vehicle.decided.get(name))
        for name, values in vehicle.specs.items()
        if values
    ]

    def place(one: Sides) -> tuple[bool, bool, int, str]:
        return not one.differ, one.alone, order.get(one.field.name, len(order)), one.field.name

    return tuple(sorted(found, key=place))
