"""The charge that the vehicle in hand is said to take, as a start for what is typed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.records import SourceKind

if TYPE_CHECKING:
    from knowngood.widgets import QuantityEdit
    from knowngood_refdata.records import SpecValue, Vehicle

NONE_IN_HAND = "Enter the charge from the under-hood label, and its tolerance."
PREVAILS = " The under-hood label prevails."
NOT_ON_RECORD = "No charge is on record for the vehicle in hand: read its under-hood label."


class StartValue:
    """Writes the charge on record into empty fields, and takes it back when another vehicle is in hand.

    What was typed stays: only empty fields, or those that still hold the charge of the vehicle before, are
    written.
    """

    def __init__(self, charge: QuantityEdit, tolerance: QuantityEdit) -> None:
        self._charge, self._tolerance = charge, tolerance
        self._written: tuple[float | None, float | None] | None = None

    def take(self, vehicle: Vehicle | None) -> None:
        """Follow the vehicle in hand, None for none."""
        if not self._free():
            return
        on_record = _charge(vehicle)
        found = (None, None) if on_record is None else (on_record.value, on_record.tolerance)
        self._written = found
        self._charge.set_si(found[0])
        self._tolerance.set_si(found[1])

    def words(self, vehicle: Vehicle | None) -> str:
        """Where the charge in the field comes from, and what is on record when it is another one."""
        if vehicle is None:
            return "" if self._charge.text() else NONE_IN_HAND
        on_record = _charge(vehicle)
        if on_record is None:
            return NOT_ON_RECORD
        told = _told(on_record, vehicle.refrigerant)
        if self._charge.si() != on_record.value:
            return f"As typed; the vehicle in hand has {told}."
        check = (
            "" if on_record.source_kind is SourceKind.UNDER_HOOD_LABEL else " The under-hood label prevails."
        )
        return f"Of the vehicle in hand: {told}.{check}"

    def _free(self) -> bool:
        edits = self._charge, self._tolerance
        if not any(one.text() for one in edits):
            return True
        return self._written == tuple(one.si() for one in edits)


def _charge(vehicle: Vehicle | None) -> SpecValue | None:
    found = None if vehicle is None else vehicle.spec("charge")
    return None if found is None or found.value is None else found


def _told(on_record: SpecValue, refrigerant: str | None) -> str:
    gas = f" of {refrigerant}" if refrigerant else ""
    source = ", ".join(
        part
        for part in (
            on_record.source_kind,
            on_record.citation,
            f"revision {on_record.revision}" if on_record.revision else "",
        )
        if part
    )
    return f"{on_record.as_printed}{gas} ({source})"
