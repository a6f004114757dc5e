"""What an import is to add to the library, row by row: made by whoever reads a file, applied by the store."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeAlias

from knowngood_refdata.drafts import SpecDraft, UnitDraft, VehicleDraft

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime


@dataclass(frozen=True, slots=True)
class VehicleFill:
    """What is written into a vehicle on record: names that it lacks so far, and notes below its own.

    ``details`` may hold ``family``, ``generation``, ``body`` and ``vin_pattern``.
    """

    details: Mapping[str, str] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


Draft: TypeAlias = VehicleDraft | SpecDraft | UnitDraft | VehicleFill
"""The kind of draft says what is added: a vehicle with its values, a value, a car, or what one lacks."""


@dataclass(frozen=True, slots=True)
class ImportEntry:
    """One addition that an import makes.

    Attributes
    ----------
    draft
        What is added.
    row_number
        The row of the file that it comes from, counted as the file's reader counts, for messages.
    vehicle_id
        The vehicle of the library to which a value or a car is added.
    new_vehicle
        The place in the plan, from 0, of the earlier entry that adds the vehicle to which a value or a car
        is added; one of the two is given, and neither for a vehicle.
    """

    draft: Draft
    row_number: int
    vehicle_id: int | None = None
    new_vehicle: int | None = None

    @classmethod
    def vehicle(cls, draft: VehicleDraft, row_number: int) -> ImportEntry:
        """A vehicle to be added."""
        return cls(draft, row_number)

    @classmethod
    def belonging(
        cls, draft: SpecDraft | UnitDraft | VehicleFill, row_number: int, vehicle_id: int
    ) -> ImportEntry:
        """A value or a car to be added to a vehicle of the library, or what that lacks."""
        return cls(draft, row_number, vehicle_id=vehicle_id)

    @classmethod
    def following(cls, draft: SpecDraft | UnitDraft, row_number: int, new_vehicle: int) -> ImportEntry:
        """A value or a car to be added to a vehicle that the same plan adds."""
        return cls(draft, row_number, new_vehicle=new_vehicle)


@dataclass(frozen=True, slots=True)
class ImportSource:
    """Where an import comes from, and how many rows of it became what (added, doubted, refused ...)."""

    name: str
    sha256: str
    counts: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ImportInfo:
    """An import that was made; ``undone_at`` is None as long as it stands."""

    id: int
    source_name: str
    sha256: str
    counts: Mapping[str, int]
    imported_at: datetime
    imported_by: str
    undone_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Kept:
    """What an undone import leaves in place, and why in words."""

    table: str
    row_id: int
    why: str


@dataclass(frozen=True, slots=True)
class Undone:
    """What taking an import back did: rows taken back by table, and what was kept."""

    taken_back: Mapping[str, int]
    kept: tuple[Kept, ...] = ()
