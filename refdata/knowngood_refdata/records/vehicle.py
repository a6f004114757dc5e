"""A vehicle configuration with its spec values, and one real car of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime


class SourceKind(StrEnum):
    """Where a spec value comes from, the most trusted kind first: the label on the car beats the book."""

    UNDER_HOOD_LABEL = "under-hood label"
    BULLETIN = "bulletin"
    SERVICE_INFORMATION = "service information"
    MEASURED = "measured"
    GENERIC = "generic"


class CompressorKind(StrEnum):
    """How displacement is controlled."""

    FIXED = "fixed displacement"
    INTERNAL_VARIABLE = "internally controlled variable"
    EXTERNAL_VARIABLE = "externally controlled variable"
    ELECTRIC = "electric"


class MeteringDevice(StrEnum):
    """What drops the pressure ahead of the evaporator."""

    ORIFICE_TUBE = "orifice tube"
    EXPANSION_VALVE = "expansion valve"
    ELECTRONIC_VALVE = "electronic expansion valve"


@dataclass(frozen=True, slots=True)
class SpecValue:
    """One value of a vehicle's specification with everything needed to trust it.

    ``value`` is in SI when the field is a quantity and ``None`` when it is text; ``as_printed`` is the
    text of the source, unit included (``470 ± 15 g``).
    """

    id: int
    field: str
    value: float | None
    tolerance: float | None
    as_printed: str
    source_kind: SourceKind
    citation: str
    revision: str = ""
    entered_by: str = ""
    reviewed_by: str = ""
    page: str = ""
    entered_at: datetime | None = None
    reviewed_at: datetime | None = None
    version: int = 1


@dataclass(frozen=True, slots=True)
class SpecDecided:
    """Someone's decision which of several values of a field counts, with the reason."""

    field: str
    spec_id: int
    why: str
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Vehicle:
    """A vehicle configuration: year range, make, model, engine, and its spec values.

    ``specs`` holds, for each field, every value on record: first the one that someone has decided for (see
    ``decided``), else the most trusted source. ``build_from`` and ``build_to`` are the months of a
    build-date split, both included (``2021-07``), empty without one; ``vin_pattern`` holds patterns separated
    by spaces.
    Field names are plain: ``refrigerant``, ``charge``, ``compressor``, ``metering device``, ``fan``,
    ``oil``, ``evaporators``.
    """

    id: int
    make: str
    model: str
    engine: str
    year_from: int
    year_to: int | None
    market: str = ""
    evaporators: str = ""
    maker: str = ""
    family: str = ""
    family_id: int | None = None
    notes: str = ""
    version: int = 1
    specs: Mapping[str, tuple[SpecValue, ...]] = field(default_factory=dict)
    build_from: str = ""
    build_to: str = ""
    generation: str = ""
    body: str = ""
    vin_pattern: str = ""
    decided: Mapping[str, SpecDecided] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """The vehicle in one line: ``Tarn Skerry 1.6 petrol, 2021-23, single evaporator``."""
        if self.year_to is None:
            years = f"{self.year_from} on"
        elif self.year_to == self.year_from:
            years = f"{self.year_from}"
        else:
            years = f"{self.year_from}\N{EN DASH}{self.year_to % 100:02d}"
        head = " ".join(part for part in (self.make, self.model, self.engine) if part)
        return ", ".join(part for part in (head, years, self.market, self.evaporators) if part)

    def spec(self, name: str) -> SpecValue | None:
        """The most trusted value of a field, or None when the library holds none."""
        values = self.specs.get(name, ())
        return values[0] if values else None

    @property
    def refrigerant(self) -> str | None:
        """The refrigerant's designation, ``R-134a`` or ``R-1234yf``; None when not on record."""
        value = self.spec("refrigerant")
        return value.as_printed if value else None


@dataclass(frozen=True, slots=True)
class Unit:
    """One real car of a configuration."""

    id: int
    vehicle_id: int
    vin: str = ""
    fleet_number: str = ""
    note: str = ""
    version: int = 1
