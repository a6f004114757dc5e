"""The fleet as a table for a spreadsheet: one row a unit, in SI units that each heading names."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from knowngood_fleet.core.drift import FOLLOWED
from knowngood_fleet.core.due import State
from knowngood_refdata.formula_cells import guarded

if TYPE_CHECKING:
    from pathlib import Path

    from knowngood_fleet.gather import Fleet, UnitFound

HEADINGS = (
    "unit",
    "design",
    "depot",
    "body",
    "engine hours",
    "odometer km",
    "charge g",
    "loss g a year",
    "loss 95 % half width g a year",
    "loss verdict",
    "loss since",
    "refill flag",
    "checks overdue",
    "checks due now",
    "next check",
    "next check by",
    *(
        f"{quantity} {what}"
        for quantity in FOLLOWED
        for what in ("drift K a year", "drift 95 % half width K a year", "drift verdict", "off sisters K")
    ),
)


def csv_text(fleet: Fleet) -> str:
    """The table; what a spreadsheet might take for a formula is marked as text."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADINGS)
    for one in fleet.units:
        writer.writerow([_cell(value) for value in _row(one)])
    return out.getvalue()


def save(fleet: Fleet, path: Path) -> None:
    """Write the table where a spreadsheet opens it as it is.

    Raises
    ------
    OSError
        When the file cannot be written.
    """
    path.write_bytes(csv_text(fleet).encode("utf-8-sig"))


def _row(found: UnitFound) -> list[object]:
    unit, leak = found.unit, found.leak
    rate = None if leak.kg_per_year is None else 1e3 * leak.kg_per_year.value
    half = None if rate is None else 1e3 * leak.half_width_95
    following = found.due[0] if found.due else None
    row: list[object] = [
        unit.name,
        unit.design,
        unit.depot,
        unit.body,
        unit.hours,
        unit.odometer_km,
        None if unit.charge_kg is None else 1e3 * unit.charge_kg,
        rate,
        half,
        leak.verdict.value,
        leak.since,
        found.flag.refill.value,
        found.pressing(State.OVERDUE),
        found.pressing(State.DUE),
        following.check.name if following else None,
        following.on if following else None,
    ]
    for quantity in FOLLOWED:
        drift = next((one for one in found.drifts if one.quantity is quantity), None)
        slope = drift.kelvin_per_year if drift else None
        row += [
            slope.value if slope else None,
            drift.half_width_95 if drift and slope else None,
            drift.course.value if drift else None,
            drift.today.value if drift and drift.today else None,
        ]
    return row


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.4g}" if abs(value) < 1e3 else f"{value:.0f}"
    return guarded(value) if isinstance(value, str) else str(value)
