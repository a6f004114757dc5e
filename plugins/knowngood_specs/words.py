"""A vehicle's record in sentences and lines, in either unit system; no Qt."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import CompressorKind
from knowngood_specs.core.agreement import conflict_sentence
from knowngood_specs.core.fields import CHARGE, COMPRESSOR, EVAPORATORS, FIELDS, REFRIGERANT, field_named
from knowngood_specs.core.form import read_charge

if TYPE_CHECKING:
    from knowngood.formatting import System
    from knowngood_refdata.records import SpecValue, Vehicle
    from knowngood_specs.core.form import ReadAmount
    from knowngood_specs.gather import Evidence

DOT = "  \N{MIDDLE DOT}  "
NOT_ON_RECORD = "not on record"
NO_CHARGE = "No charge weight is on record. Read the under-hood label and add it with its source."
PREVAILS = (
    "The label on the car and the maker's procedure prevail over this record. Charge by weight only. "
    "Identify the refrigerant in the car before connecting anything."
)
FLAMMABLE = "R-1234yf is mildly flammable (class A2L, ISO 817): ventilate, no ignition sources."
HIGH_VOLTAGE = (
    "Electric compressor: high voltage, for qualified staff only; no oil but the one the maker names."
)


@dataclass(frozen=True, slots=True)
class ValueLine:
    """One value: as printed, in the shown unit system (empty when that says the same), and its source."""

    as_printed: str
    converted: str
    source: str


@dataclass(frozen=True, slots=True)
class FieldLines:
    """A field with all its values, the most trusted source first, and a sentence when they differ."""

    title: str
    values: tuple[ValueLine, ...]
    conflict: str = ""


def record_lines(vehicle: Vehicle, system: System) -> tuple[FieldLines, ...]:
    """Every field of a record, the usual ones even when nothing is on record, the charge first."""
    usual = [one.name for one in FIELDS]
    own = sorted(name for name in vehicle.specs if name not in usual)
    return tuple(_field_lines(vehicle, name, system) for name in (*usual, *own))


def value_line(spec: SpecValue, system: System) -> ValueLine:
    """One value with its conversion and its source."""
    kind = field_named(spec.field).kind
    converted = ""
    if spec.value is not None and kind is not None:
        converted = formatting.text(spec.value, kind, system, uncertainty_si=spec.tolerance)
    # What is printed in the shown unit already is not said twice.
    said = _says(spec.as_printed, converted)
    return ValueLine(spec.as_printed, "" if said else converted, source_text(spec))


def source_text(spec: SpecValue) -> str:
    """Kind of source, citation, revision, and who entered and reviewed the value."""
    kind, citation = str(spec.source_kind), spec.citation
    origin = citation if citation.casefold().startswith(kind) else f"{kind}: {citation}"
    return ", ".join(
        part
        for part in (
            origin.rstrip(": "),
            _revision(spec.revision),
            f"entered by {spec.entered_by}" if spec.entered_by else "",
            f"reviewed by {spec.reviewed_by}" if spec.reviewed_by else "",
        )
        if part
    )


def origin_line(vehicle: Vehicle) -> str:
    """Who builds the vehicle and which system family it belongs to; empty when only the make is known."""
    maker = f"Made by {vehicle.maker}" if vehicle.maker and vehicle.maker != vehicle.make else ""
    family = f"system family {vehicle.family}" if vehicle.family else ""
    line = ", ".join(part for part in (maker, family) if part)
    return line[:1].upper() + line[1:]


def short_name(vehicle: Vehicle) -> str:
    """Make, model, engine and years: what the list shows first."""
    return vehicle.name.removesuffix(f", {_variant(vehicle)}")


def list_line(vehicle: Vehicle) -> str:
    """What the list shows below: refrigerant and charge weight, then what tells variants apart."""
    charge = vehicle.spec(CHARGE.name)
    weight = charge.as_printed if charge else "charge weight not on record"
    filling = f"{vehicle.refrigerant or 'refrigerant not on record'}  {weight}"
    return DOT.join(part for part in (filling, _variant(vehicle)) if part)


def evidence_text(evidence: Evidence) -> str:
    """How much the book knows about a vehicle, in a line."""
    if not evidence.readings:
        known = "No known-good readings yet"
    else:
        cars = f"of {_counted(evidence.cars, 'car')}" if evidence.cars else "of cars not named"
        known = f"{_counted(evidence.readings, 'known-good reading')} {cars}"
    sessions = _counted(evidence.sessions, "session") if evidence.sessions else "no sessions"
    return f"{known}{DOT}{sessions} recorded"


def cautions(vehicle: Vehicle) -> str:
    """What can hurt someone who works by this record, and what prevails over it."""
    gases = [one.as_printed.casefold() for one in vehicle.specs.get(REFRIGERANT.name, ())]
    compressors = [one.as_printed.casefold() for one in vehicle.specs.get(COMPRESSOR.name, ())]
    parts = [PREVAILS]
    if any("1234yf" in gas for gas in gases):
        parts.append(FLAMMABLE)
    if any(CompressorKind.ELECTRIC in compressor for compressor in compressors):
        parts.append(HIGH_VOLTAGE)
    return " ".join(parts)


def charge_echo(text: str, read_amount: ReadAmount) -> str:
    """How a charge weight that is being typed is understood, in both systems; empty when it is not."""
    try:
        value_kg, tolerance_kg = read_charge(text, read_amount)
    except ValueError:
        return ""
    both = (
        formatting.text(value_kg, Kind.MASS, system, uncertainty_si=tolerance_kg)
        for system in reversed(formatting.System)
    )
    return f"understood as {' = '.join(both)}"


def _field_lines(vehicle: Vehicle, name: str, system: System) -> FieldLines:
    specs = vehicle.specs.get(name, ())
    lines = tuple(value_line(one, system) for one in specs)
    if not lines and name == EVAPORATORS.name and vehicle.evaporators:
        lines = (ValueLine(vehicle.evaporators, "", "as the vehicle is named"),)
    return FieldLines(field_named(name).title, lines, conflict_sentence(specs))


def _variant(vehicle: Vehicle) -> str:
    return ", ".join(part for part in (vehicle.market, vehicle.evaporators) if part)


def _revision(text: str) -> str:
    # A bare number or letter needs the word before it; "rev. B" and "third printing" speak for themselves.
    return f"revision {text}" if text and " " not in text else text


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _says(text: str, amount: str) -> bool:
    wanted = r"\s*".join(re.escape(part) for part in amount.split())
    return re.search(rf"(?<![\w.,]){wanted}(?!\w)", text, re.IGNORECASE) is not None
