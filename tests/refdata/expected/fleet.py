"""What an invented fleet consists of: its library of known-good readings, and readings kept back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_refdata.records import (
    CompressorKind,
    MeteringDevice,
    Reading,
    SourceKind,
    SpecValue,
    Standing,
    Vehicle,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood_refdata.records import Conditions, Estimate, Quantity

FIRST_DAY = datetime(2024, 5, 2, 9, 0, tzinfo=UTC)


class Kept(StrEnum):
    """How a reading that was kept back is related to the library."""

    KNOWN = "known car"
    NEW_UNIT = "another car of a known configuration"
    NEW_CONFIGURATION = "new configuration of a known family"
    NEW_MAKER = "new maker"


@dataclass(frozen=True, slots=True)
class Fleet:
    """Vehicles, the readings of the library, and the readings kept back with their relation to it."""

    vehicles: tuple[Vehicle, ...]
    library: tuple[Reading, ...]
    kept_back: tuple[tuple[Kept, Reading], ...]

    def vehicle(self, reading: Reading) -> Vehicle:
        """The vehicle of a reading."""
        found = self.vehicles[reading.vehicle_id - 1]
        assert found.id == reading.vehicle_id
        return found


def vehicle(
    number: int,
    maker: str,
    family: int,
    kind: CompressorKind,
    metering: MeteringDevice | None = None,
    refrigerant: str = "R-134a",
) -> Vehicle:
    """A configuration with the specs that the ranges look at."""
    texts = {"compressor": str(kind), "refrigerant": refrigerant}
    if metering is not None:
        texts["metering device"] = str(metering)
    specs = {
        name: (SpecValue(0, name, None, None, text, SourceKind.UNDER_HOOD_LABEL, "label"),)
        for name, text in texts.items()
    }
    return Vehicle(
        number, maker, f"Model {number}", "1.6 petrol", 2015, 2020,
        maker=maker, family=f"{maker} system {family}", family_id=family, specs=specs,
    )  # fmt: skip


def reading(
    number: int,
    of: Vehicle,
    unit: int | None,
    visit: int | None,
    conditions: Conditions,
    engine_rpm: float | None,
    values: Mapping[Quantity, Estimate],
    fan_stage: int | None = None,
) -> Reading:
    """A known-good reading; visits lie a day apart."""
    at = FIRST_DAY + timedelta(days=visit or 0, minutes=number % 60)
    return Reading(
        number, of.id, unit, visit, at, conditions, engine_rpm, fan_stage, values, Standing.KNOWN_GOOD
    )
