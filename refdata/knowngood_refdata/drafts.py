"""What is handed to the store to become a record: the records without what the store adds."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from knowngood_refdata.records import Conditions, Estimate, Instruments, Quantity, SourceKind, Standing

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from knowngood_refdata.records import Findings


@dataclass(frozen=True, slots=True)
class SpecDraft:
    """A spec value to be entered; see `knowngood_refdata.records.SpecValue`."""

    field: str
    value: float | None
    as_printed: str
    source_kind: SourceKind
    citation: str
    tolerance: float | None = None
    revision: str = ""
    reviewed_by: str = ""
    page: str = ""


@dataclass(frozen=True, slots=True)
class VehicleDraft:
    """A vehicle configuration to be added, with the spec values known at once.

    ``maker`` is whoever builds the vehicle, the make when empty; ``family`` names the system family of the
    maker, made when new. The build months and the VIN pattern are those of
    `knowngood_refdata.records.Vehicle`.
    """

    make: str
    model: str
    engine: str
    year_from: int
    year_to: int | None = None
    market: str = ""
    evaporators: str = ""
    maker: str = ""
    family: str = ""
    notes: str = ""
    specs: tuple[SpecDraft, ...] = ()
    build_from: str = ""
    build_to: str = ""
    generation: str = ""
    body: str = ""
    vin_pattern: str = ""


@dataclass(frozen=True, slots=True)
class UnitDraft:
    """One real car to be added to a configuration."""

    vin: str = ""
    fleet_number: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class SessionDraft:
    """A recorded session to be saved; its samples and its source file are given beside it."""

    vehicle_id: int | None
    title: str
    refrigerant: str
    source_name: str
    conditions: Conditions = field(default_factory=Conditions)
    instruments: Instruments = field(default_factory=Instruments)
    unit_id: int | None = None
    started_at: datetime | None = None
    technician: str = ""
    note: str = ""
    findings: Findings | None = None


@dataclass(frozen=True, slots=True)
class ReadingDraft:
    """A steady point to be added to the book, a candidate unless decided otherwise."""

    vehicle_id: int
    unit_id: int | None
    session_id: int | None
    taken_at: datetime
    conditions: Conditions
    engine_rpm: float | None
    fan_stage: int | None
    values: Mapping[Quantity, Estimate]
    standing: Standing = Standing.CANDIDATE
    decided_why: str = ""
