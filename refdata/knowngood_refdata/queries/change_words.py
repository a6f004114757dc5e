"""Changes of the audit trail in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from knowngood_refdata.models import (
    Annotation,
    Configuration,
    ConfirmedCase,
    FieldDefinition,
    HandWindow,
    Maker,
    MeasurementAnswer,
    PerformanceTableRow,
    PictureRow,
    SessionRow,
    SpecDecision,
    SpecValueRow,
    SystemFamily,
    UnitRow,
    WeighingRow,
)
from knowngood_refdata.records import Vehicle

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from knowngood_refdata.models import Audit
    from knowngood_refdata.models.base import Stamped

KINDS = {
    "configuration": "vehicle",
    "spec_value": "spec value",
    "unit": "car",
    "spec_decision": "decision",
    "picture": "picture",
    "performance_table": "published table",
    "maker": "maker",
    "system_family": "system family",
    "field_definition": "added field",
    "session": "session",
    "annotation": "note",
    "hand_window": "window set by hand",
    "weighing": "weighing",
    "measurement_answer": "measurement",
    "confirmed_case": "confirmed case",
}
"""What the rows of a table are called."""

_TITLES = {
    "year_from": "first model year",
    "year_to": "last model year",
    "build_from": "first month built",
    "build_to": "last month built",
    "vin_pattern": "VIN pattern",
    "vin": "VIN",
    "as_printed": "value",
    "value": "value in SI units",
    "tolerance": "tolerance in SI units",
    "source_kind": "kind of source",
    "configuration_id": "vehicle",
    "maker_id": "maker",
    "family_id": "system family",
    "unit_id": "car",
    "spec_value_id": "value that counts",
    "setup": "set-up",
    "sha256": "SHA-256",
    "at_s": "moment (s)",
    "start_s": "start (s)",
    "end_s": "end (s)",
    "until_s": "end of the stretch (s)",
}
_UNTOLD = frozenset({"id", "session_id", "content", "thumbnail", "deleted_at"})
_LONGEST = 300


@dataclass(frozen=True, slots=True)
class FieldChange:
    """What stood in one field before and after; an empty text where nothing did."""

    title: str
    before: str
    after: str


class Names:
    """Names of the records that changes point to, looked up once each."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._known: dict[tuple[str, int], str] = {}

    def of(self, column: str, number: int | None) -> str:
        """The name of what a column points to by its number."""
        if number is None:
            return ""
        if (column, number) not in self._known:
            row = self._session.get(_POINTED_TO[column], number)
            self._known[column, number] = f"number {number}" if row is None else subject(row)
        return self._known[column, number]


_POINTED_TO: dict[str, type[Any]] = {
    "configuration_id": Configuration,
    "maker_id": Maker,
    "family_id": SystemFamily,
    "unit_id": UnitRow,
    "spec_value_id": SpecValueRow,
}


def subject(row: Stamped) -> str:
    """What a row is about, in a few words."""
    match row:
        case Configuration():
            return vehicle_name(row)
        case SpecValueRow():
            return f"{row.field}: {row.as_printed}"
        case UnitRow():
            return row.fleet_number or row.vin or row.note
        case SpecDecision():
            return row.field
        case PictureRow():
            return row.shows or row.name
        case PerformanceTableRow() | FieldDefinition() | SessionRow():
            return row.title
        case Annotation():
            return row.text
        case HandWindow():
            return row.label
        case WeighingRow():
            return row.what
        case MeasurementAnswer():
            return row.measurement
        case ConfirmedCase():
            return row.explanation
        case Maker() | SystemFamily():
            return row.name
    return ""


def vehicle_name(row: Configuration) -> str:
    """The vehicle in one line, as its record is named."""
    return Vehicle(
        row.id, row.make, row.model, row.engine, row.year_from, row.year_to, row.market, row.evaporators,
        build_from=row.build_from, build_to=row.build_to,
    ).name  # fmt: skip


def field_changes(names: Names, audit: Audit) -> tuple[FieldChange, ...]:
    """What a change did field by field; fields that were empty and stayed so are left out."""
    columns = [name for name in audit.after if name not in _UNTOLD]
    if "as_printed" in columns:
        # The printed text holds them with their unit.
        columns = [name for name in columns if name not in ("value", "tolerance")]
    told = (
        FieldChange(
            _TITLES.get(name, name.replace("_", " ")),
            _words(names, name, audit.before.get(name)),
            _words(names, name, audit.after[name]),
        )
        for name in columns
    )
    return tuple(one for one in told if one.before or one.after)


def _words(names: Names, column: str, value: Any) -> str:
    if value is None:
        return ""
    if column in _POINTED_TO:
        return names.of(column, int(value))
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        return ", ".join(f"{key} {inner}" for key, inner in value.items())[:_LONGEST]
    if isinstance(value, float):
        return f"{value:.6g}"
    if column.endswith("_at"):
        return str(value)[:16].replace("T", " ") + " UTC"
    return str(value)
