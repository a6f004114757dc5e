"""What bringing in a table would do, row by row, before anything is stored."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_specs.core.importing.identity import Key, Variant, key_of, variant_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from knowngood_refdata.drafts import SpecDraft, UnitDraft, VehicleDraft


class Outcome(StrEnum):
    """What becomes of a row."""

    ADDED = "added"
    CHANGED = "changed"
    UNCHANGED = "unchanged"
    DOUBTED = "doubted"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class PlannedRow:
    """One row of the file with its outcome.

    ``vehicle_id`` is the vehicle on record to which the row belongs, None when its vehicle is new.
    ``specs``, ``unit``, ``details`` and ``note`` are what it adds: ``details`` are the names of the
    record that are empty so far (``generation``), ``note`` goes below the notes on record. Nothing on
    record is replaced. A doubted row holds what it would add if it were taken; ``candidates`` are the
    vehicles on record that may be meant.
    """

    number: int
    outcome: Outcome
    what: str
    reasons: tuple[str, ...] = ()
    vehicle_id: int | None = None
    vehicle: VehicleDraft | None = None
    specs: tuple[SpecDraft, ...] = ()
    unit: UnitDraft | None = None
    details: tuple[tuple[str, str], ...] = ()
    note: str = ""
    candidates: tuple[int, ...] = ()
    last_number: int = 0

    @property
    def reason(self) -> str:
        """The reasons in one line."""
        return " ".join(self.reasons)


@dataclass(frozen=True, slots=True)
class ReportLine:
    """A line of the report: the row's number in the file, its outcome, of which vehicle, and why."""

    row: int
    outcome: Outcome
    what: str
    reason: str


@dataclass(frozen=True, slots=True)
class Addition:
    """What the store does for one vehicle: make it (``vehicle``), or add to the one on record.

    ``rows`` are the numbers of the rows that it comes from.
    """

    vehicle_id: int | None
    vehicle: VehicleDraft | None
    specs: tuple[SpecDraft, ...]
    units: tuple[UnitDraft, ...]
    details: Mapping[str, str]
    notes: tuple[str, ...]
    rows: tuple[int, ...]


@dataclass(slots=True)
class _Gathered:
    vehicle_id: int | None
    vehicle: VehicleDraft | None
    specs: list[SpecDraft] = field(default_factory=list)
    units: list[UnitDraft] = field(default_factory=list)
    details: dict[str, str] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    rows: list[int] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Plan:
    """Every row of the table, once, in the order of the file."""

    rows: tuple[PlannedRow, ...]

    @property
    def counts(self) -> dict[Outcome, int]:
        """How many rows have each outcome, every outcome named."""
        counted = Counter(row.outcome for row in self.rows)
        return {outcome: counted[outcome] for outcome in Outcome}

    def report(self) -> Iterator[ReportLine]:
        """A line for every row."""
        return (ReportLine(row.number, row.outcome, row.what, row.reason) for row in self.rows)

    def additions(self, accepted: Mapping[int, int | None] | None = None) -> tuple[Addition, ...]:
        """What is to be stored, one entry a vehicle, in the order of the file.

        Parameters
        ----------
        accepted
            Doubted rows to be taken all the same: row number to the vehicle on record that is meant, None
            for the one that the row was matched with, or a new one. Others stay out.
        """
        accepted = accepted or {}
        gathered: dict[object, _Gathered] = {}
        for row in self.rows:
            if row.vehicle is None or not self._taken(row, accepted):
                continue
            meant = accepted.get(row.number) or row.vehicle_id
            _gather(
                row, meant, gathered.setdefault(_owner(row.vehicle, meant), _Gathered(meant, row.vehicle))
            )
        return tuple(map(_addition, gathered.values()))

    @staticmethod
    def _taken(row: PlannedRow, accepted: Mapping[int, int | None]) -> bool:
        if row.outcome is Outcome.DOUBTED:
            return row.number in accepted
        return row.outcome in (Outcome.ADDED, Outcome.CHANGED)


def _owner(vehicle: VehicleDraft, meant: int | None) -> int | tuple[Key, Variant]:
    return meant if meant is not None else (key_of(vehicle), variant_of(vehicle))


def _gather(row: PlannedRow, meant: int | None, into: _Gathered) -> None:
    into.rows.append(row.number)
    into.specs += [one for one in row.specs if one not in into.specs]
    if row.unit is not None and row.unit not in into.units:
        into.units.append(row.unit)
    # A name that is empty so far is filled once; the first row wins, as the plan doubted the others.
    for name, text in row.details:
        into.details.setdefault(name, text)
    in_draft = into.vehicle.notes if meant is None and into.vehicle else ""
    if row.note and row.note not in (*into.notes, in_draft):
        into.notes.append(row.note)


def _addition(one: _Gathered) -> Addition:
    vehicle = None
    if one.vehicle_id is None and one.vehicle is not None:
        vehicle = replace(_with_details(one.vehicle, one.details), specs=tuple(one.specs))
    return Addition(
        vehicle_id=one.vehicle_id,
        vehicle=vehicle,
        specs=() if vehicle else tuple(one.specs),
        units=tuple(one.units),
        details={} if vehicle else one.details,
        notes=tuple(one.notes),
        rows=tuple(one.rows),
    )


def _with_details(vehicle: VehicleDraft, details: Mapping[str, str]) -> VehicleDraft:
    return replace(
        vehicle,
        maker=vehicle.maker or details.get("maker", ""),
        family=vehicle.family or details.get("family", ""),
        generation=vehicle.generation or details.get("generation", ""),
        body=vehicle.body or details.get("body", ""),
        vin_pattern=vehicle.vin_pattern or details.get("vin_pattern", ""),
    )
