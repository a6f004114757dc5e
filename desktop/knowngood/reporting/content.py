"""Everything that the report says, as words ready to be laid out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood.reporting.conditions import NOT_RECORDED, condition_rows, instrument_rows, not_tested
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from collections.abc import Set as AbstractSet
    from datetime import datetime

    from knowngood.api import ReportSection
    from knowngood.scales import System
    from knowngood_refdata.records import Reading, Role, SessionInfo, SpecValue, Unit, Vehicle

Rows = tuple[tuple[str, str], ...]

CAUTIONS = (
    (
        "Information for trained, licensed persons. The vehicle maker's procedure, the refrigerant's data "
        "sheet and local law prevail wherever they differ from this report."
    ),
    "Refrigerant is recovered, never vented. A leak is repaired before the system is filled again.",
    (
        "Correct the charge by weight only, to the under-hood label: recover, weigh, evacuate, charge by "
        "weight. No pressure in this report is a target for charging."
    ),
)
_MILDLY_FLAMMABLE = (
    "{} is mildly flammable (ISO 817 class A2L): ventilate, keep ignition sources away, and use equipment "
    "made for it."
)
# Qt sets the process to the user's language, in which the standard library would name the months.
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_A2L = frozenset({"R-1234yf"})


@dataclass(frozen=True, slots=True)
class Subject:
    """What the report is about, as it came from the library.

    ``roles`` are the channels recorded; ``known_good`` the known-good readings that the library holds of
    this vehicle.
    """

    info: SessionInfo
    vehicle: Vehicle | None
    unit: Unit | None
    roles: AbstractSet[Role]
    known_good: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class Content:
    """The report's words: headings, rows of name and value, sentences, and the plugins' sections."""

    shop: str
    title: str
    vehicle_name: str
    printed_at: str
    vehicle: Rows
    conditions: Rows
    instruments: Rows
    sections: tuple[ReportSection, ...]
    compared: tuple[str, ...]
    not_tested: tuple[str, ...]
    cautions: tuple[str, ...]
    technician: str


def compose(
    subject: Subject,
    sections: tuple[ReportSection, ...],
    system: System,
    *,
    shop: str,
    printed_at: datetime,
) -> Content:
    """Put the report's words together."""
    info = subject.info
    return Content(
        shop=shop,
        title=info.title or info.source_name,
        vehicle_name=subject.vehicle.name if subject.vehicle else "Vehicle not identified",
        printed_at=_moment(printed_at),
        vehicle=_vehicle_rows(subject, system),
        conditions=condition_rows(info.conditions, system),
        instruments=instrument_rows(info.instruments, system) + _recording_rows(info),
        sections=sections,
        compared=_compared(subject),
        not_tested=not_tested(subject.roles, info.conditions),
        cautions=_cautions(info.refrigerant),
        technician=info.technician or NOT_RECORDED,
    )


def _vehicle_rows(subject: Subject, system: System) -> Rows:
    vehicle, unit = subject.vehicle, subject.unit
    rows = [("refrigerant", subject.info.refrigerant or NOT_RECORDED)]
    charge = vehicle.spec("charge") if vehicle else None
    rows.append(("charge weight", _charge(charge, system) if charge else "not in the library"))
    if charge:
        rows.append(("its source", _source(charge)))
    for name in ("compressor", "metering device", "fan", "oil"):
        value = vehicle.spec(name) if vehicle else None
        if value:
            rows.append((name, value.as_printed))
    if unit and unit.vin:
        rows.append(("VIN", unit.vin))
    if unit and unit.fleet_number:
        rows.append(("fleet number", unit.fleet_number))
    return tuple(rows)


def _charge(charge: SpecValue, system: System) -> str:
    if charge.value is None:
        return charge.as_printed
    own = formatting.text(charge.value, Kind.MASS, system, uncertainty_si=charge.tolerance)
    return f"{charge.as_printed} ({own})" if own != charge.as_printed else own


def _source(value: SpecValue) -> str:
    return ", ".join(part for part in (str(value.source_kind), value.citation, value.revision) if part)


def _recording_rows(info: SessionInfo) -> Rows:
    started = _moment(info.started_at) if info.started_at else NOT_RECORDED
    return (
        ("recorded", started),
        ("length", f"{formatting.clock(info.duration_s)}, {info.sample_count} samples"),
        ("file", f"{info.source_name}, SHA-256 {info.source_sha256[:12]}"),
    )


def _compared(subject: Subject) -> tuple[str, ...]:
    if subject.vehicle is None:
        return ("Nothing was compared: the session belongs to no vehicle of the library.",)
    readings = [one for one in subject.known_good if one.session_id != subject.info.id]
    if not readings:
        return ("Nothing was compared: the library holds no known-good reading of this vehicle.",)
    cars = len({one.unit_id for one in readings})
    return (
        (
            f"This library holds {_count(len(readings), 'known-good reading')} of {_count(cars, 'car')} of "
            "this vehicle. A range above rests on those of them that were taken under matching conditions."
        ),
        "They are this shop's own readings, not figures of the maker.",
        (
            "Uncertainties are at 95 %, from the instruments' limits and the scatter of the readings. "
            "A difference smaller than its uncertainty is no finding."
        ),
    )


def _cautions(refrigerant: str) -> tuple[str, ...]:
    return (*CAUTIONS, _MILDLY_FLAMMABLE.format(refrigerant)) if refrigerant in _A2L else CAUTIONS


def _moment(when: datetime) -> str:
    """A moment in the local time of whoever reads; one without zone is local already."""
    local = when.astimezone() if when.tzinfo else when
    return f"{local.day} {_MONTHS[local.month - 1]} {local:%Y, %H:%M}"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
