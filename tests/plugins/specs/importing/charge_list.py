"""A list of charges as a shop would bring it, and a vehicle on record that it meets."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.records import SourceKind, SpecValue, Vehicle

if TYPE_CHECKING:
    from knowngood_specs.core.importing.plan import Plan, PlannedRow

LABEL, BOOK = SourceKind.UNDER_HOOD_LABEL, SourceKind.SERVICE_INFORMATION
HEADER = "Make;Model;Engine;Years;Evaporators;Charge;Source kind;Citation\n"
CHARGE = SpecValue(1, "charge", 0.470, 0.015, "470 ± 15 g", LABEL, "photographed")
SKERRY = Vehicle(
    7, "Tarn", "Skerry", "1.6 petrol", 2021, 2023, evaporators="single evaporator", maker="Tarn",
    specs={"charge": (CHARGE,)},
)  # fmt: skip


def only(planned: Plan) -> PlannedRow:
    (row,) = planned.rows
    return row
