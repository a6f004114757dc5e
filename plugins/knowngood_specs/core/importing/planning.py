"""The dry run: every row of a table compared with the library and with the rows before it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from knowngood_specs.core.importing.belonging import Belonging, Owner, find_owner
from knowngood_specs.core.importing.beside import Found, compare_spec
from knowngood_specs.core.importing.existing import ExistingIndex, Register, bare_vin
from knowngood_specs.core.importing.identity import folded, key_of, name_line, variant_of
from knowngood_specs.core.importing.plan import Outcome, Plan, PlannedRow
from knowngood_specs.core.importing.recognise import Words
from knowngood_specs.core.importing.row_reader import RowReader, Understood

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from knowngood_refdata.drafts import SpecDraft, UnitDraft, VehicleDraft
    from knowngood_refdata.records import Vehicle
    from knowngood_specs.core.fields import Field
    from knowngood_specs.core.importing.amounts import ReadQuantity
    from knowngood_specs.core.importing.mapping import ColumnMapping
    from knowngood_specs.core.importing.table import Row, Table

__all__ = ["Plan", "plan"]

_STEP = 250
_DETAILS = ("maker", "family", "generation", "body", "vin_pattern")
"""Names of a record that a row may fill where they are empty; differing ones are doubted."""


def plan(
    table: Table,
    mapping: ColumnMapping,
    existing: ExistingIndex,
    read: ReadQuantity,
    *,
    this_year: int,
    fields: Sequence[Field] | None = None,
    progress: Callable[[float], None] = lambda _: None,
) -> Plan:
    """Plan what bringing in a table would do; nothing is stored.

    Parameters
    ----------
    table, mapping
        The table and what its columns mean.
    existing
        What the library holds.
    read
        Reads a text with its unit into SI value and tolerance, raising ValueError with words.
    this_year
        The year in which this happens: later model years are doubted.
    fields
        The spec fields of the library, the usual ones when not given.
    progress
        Called every some hundred rows with the fraction done; what it raises to stop passes through.
    """
    words = Words(fields) if fields is not None else Words()
    planner = _Planner(RowReader(mapping, read, words, this_year), existing)
    rows = []
    for index, row in enumerate(table.rows):
        if index % _STEP == 0:
            progress(index / len(table.rows))
        rows.append(planner.planned(row))
    progress(1.0)
    return Plan(tuple(rows))


@dataclass(slots=True)
class _Effect:
    """What a row adds to its vehicle, what speaks against it, and what it says that is known already."""

    specs: list[SpecDraft] = field(default_factory=list)
    unit: UnitDraft | None = None
    details: list[tuple[str, str]] = field(default_factory=list)
    note: str = ""
    doubts: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    repeats: int | None = None

    @property
    def adds(self) -> bool:
        return bool(self.specs or self.unit or self.details or self.note)


class _Planner:
    """Goes through the rows in order and remembers what the earlier ones add."""

    def __init__(self, reader: RowReader, existing: ExistingIndex) -> None:
        self._reader = reader
        self._existing = existing
        self._new: Register[Owner] = Register()
        self._owners: dict[int, Owner] = {}
        self._cars: dict[str, tuple[Owner, int]] = {}

    def planned(self, row: Row) -> PlannedRow:
        if row.fault:
            return PlannedRow(row.number, Outcome.REFUSED, "", (row.fault,), last_number=row.last_number)
        understood = self._reader.understood(row)
        if understood.vehicle is None:
            what = " ".join(" ".join(row.cells[:3]).split())[:80]
            return PlannedRow(
                row.number, Outcome.REFUSED, what, understood.problems, last_number=row.last_number
            )
        return self._compared(row, understood, understood.vehicle)

    def _compared(self, row: Row, understood: Understood, draft: VehicleDraft) -> PlannedRow:
        key, variant = key_of(draft), variant_of(draft)
        for entry in self._existing.register.same(key):
            if entry.variant == variant and self._says_nothing_new(row, understood, draft, entry.held):
                return self._outcome(row, draft, Outcome.UNCHANGED, ("On record.",), entry.held)
        found = find_owner(draft, self._existing.register, self._new)
        owner = self._owner(found, draft, row.number)
        effect = self._effect(owner, understood, draft, row.number)
        doubts = [*understood.doubts, *found.doubts, *effect.doubts]
        if found.is_new:
            owner.doubts = found.doubts
        if not doubts and not effect.adds and not found.is_new:
            if effect.repeats is not None or owner.vehicle is None:
                doubts = [f"It repeats row {effect.repeats or owner.row}."]
            else:
                return self._outcome(row, draft, Outcome.UNCHANGED, ("On record.",), owner.vehicle)
        return self._adding(row, draft, owner, found, effect, doubts)

    def _adding(
        self,
        row: Row,
        draft: VehicleDraft,
        owner: Owner,
        found: Belonging,
        effect: _Effect,
        doubts: list[str],
    ) -> PlannedRow:
        owner.take(effect.specs, effect.details, row.number)
        if owner.vehicle is not None:
            outcome, words = Outcome.CHANGED, effect.said
        elif found.is_new:
            outcome, words = Outcome.ADDED, ["New vehicle."]
        else:
            outcome, words = Outcome.ADDED, [f"To the new vehicle of row {owner.row}."]
        return PlannedRow(
            number=row.number,
            outcome=Outcome.DOUBTED if doubts else outcome,
            what=name_line(draft),
            reasons=tuple(dict.fromkeys(doubts or words)),
            vehicle_id=owner.vehicle.id if owner.vehicle else None,
            vehicle=draft,
            specs=tuple(effect.specs),
            unit=effect.unit,
            details=tuple(effect.details),
            note=effect.note,
            candidates=found.candidates,
            last_number=row.last_number,
        )

    @staticmethod
    def _outcome(
        row: Row, draft: VehicleDraft, outcome: Outcome, reasons: tuple[str, ...], vehicle: Vehicle
    ) -> PlannedRow:
        return PlannedRow(
            row.number,
            outcome,
            name_line(draft),
            reasons,
            vehicle_id=vehicle.id,
            vehicle=draft,
            last_number=row.last_number,
        )

    def _says_nothing_new(
        self, row: Row, understood: Understood, draft: VehicleDraft, vehicle: Vehicle
    ) -> bool:
        """Whether everything that a row says stands on record, of the library alone."""
        effect = self._effect(Owner(row.number, vehicle), understood, draft, row.number, remember=False)
        return not effect.adds and not effect.doubts

    def _owner(self, found: Belonging, draft: VehicleDraft, number: int) -> Owner:
        if found.vehicle is not None:
            return self._owners.setdefault(found.vehicle.id, Owner(number, found.vehicle))
        if found.owner is not None:
            return found.owner
        owner = Owner(number, None, draft)
        self._new.add(draft, owner)
        return owner

    def _effect(
        self,
        owner: Owner,
        understood: Understood,
        draft: VehicleDraft,
        number: int,
        *,
        remember: bool = True,
    ) -> _Effect:
        effect = _Effect()
        for spec in understood.specs:
            answer = compare_spec(spec, owner.held(spec.field))
            effect.doubts += [answer.doubt] if answer.doubt else []
            if answer.found is Found.NEW and spec not in effect.specs:
                effect.specs.append(spec)
                effect.said.append(answer.words)
            elif answer.found is Found.IN_ROW:
                effect.repeats = answer.row
        self._car(owner, understood.unit, number, effect, remember=remember)
        if owner.row != number or owner.vehicle is not None:
            _fill_details(owner, draft, effect)
        return effect

    def _car(
        self, owner: Owner, unit: UnitDraft | None, number: int, effect: _Effect, *, remember: bool
    ) -> None:
        if unit is None:
            return
        vehicle_id = owner.vehicle.id if owner.vehicle else None
        on_record = self._existing.vehicle_of(unit.vin, unit.fleet_number)
        name = unit.vin or unit.fleet_number
        if on_record is not None:
            if on_record != vehicle_id:
                effect.doubts.append(f"The car {name} is on record as another vehicle (number {on_record}).")
            return
        known = bare_vin(unit.vin) if unit.vin else f"\0{folded(unit.fleet_number)}"
        before = self._cars.get(known)
        if before is not None and before[1] != number:
            if before[0] is not owner:
                effect.doubts.append(f"Row {before[1]} names the same car {name} as another vehicle.")
            else:
                effect.repeats = before[1]
            return
        if remember:
            self._cars[known] = owner, number
        effect.unit = unit
        effect.said.append(f"Adds the car {name}.")


def _fill_details(owner: Owner, draft: VehicleDraft, effect: _Effect) -> None:
    """Names that the record lacks are filled, differing ones doubted, notes put below those on record."""
    for name in _DETAILS:
        said, held = getattr(draft, name), owner.detail(name)
        if not said or folded(said) == folded(held):
            continue
        if held:
            effect.doubts.append(f"The record says {name.replace('_', ' ')} '{held}', the row '{said}'.")
        elif name == "maker" and folded(said) == folded(draft.make):
            continue
        else:
            effect.details.append((name, said))
            effect.said.append(f"Fills in {name.replace('_', ' ')} '{said}'.")
    if draft.notes and " ".join(draft.notes.split()) not in " ".join(owner.detail("notes").split()):
        effect.note = draft.notes
        effect.said.append("Adds a note.")
