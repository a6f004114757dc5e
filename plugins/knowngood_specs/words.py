"""A vehicle's record in sentences and lines, in either unit system; no Qt."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood.formatting import Shown
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import CompressorKind
from knowngood_refdata.vin_months import MonthSpan
from knowngood_specs.core.agreement import conflict_sentence
from knowngood_specs.core.fields import (
    COMPRESSOR,
    DISPLACEMENT,
    EVAPORATORS,
    FIELDS,
    REFRIGERANT,
    Section,
    field_named,
)
from knowngood_specs.core.form import read_charge
from knowngood_specs.core.value_form import amount_of

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from knowngood.formatting import Subject, System
    from knowngood_refdata.records import SpecDecided, SpecValue, Unit, Vehicle
    from knowngood_specs.core.fields import Field
    from knowngood_specs.core.form import ReadAmount
    from knowngood_specs.core.sides import Sides
    from knowngood_specs.core.value_form import ReadQuantity
    from knowngood_specs.gather import Evidence

DOT = "  \N{MIDDLE DOT}  "
NOT_ON_RECORD = "not on record"
MOST_CARS = 12
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


@dataclass(frozen=True, slots=True)
class SectionLines:
    """A section of a record: the fields that are told, and the titles of what else can be entered."""

    title: str
    fields: tuple[FieldLines, ...]
    others: tuple[str, ...] = ()


def record_sections(
    vehicle: Vehicle, system: System, fields: Sequence[Field] = FIELDS
) -> tuple[SectionLines, ...]:
    """Every section of a record, the charge first.

    A field stands in it when something is on record or when it is a usual one; the others are named only.
    """
    known = {one.name for one in fields}
    strays = tuple(field_named(name) for name in sorted(vehicle.specs) if name not in known)
    told: list[SectionLines] = []
    for section in Section:
        within = [one for one in (*fields, *strays) if one.section is section]
        lines = {one.name: _field_lines(vehicle, one, system) for one in within}
        shown = tuple(lines[one.name] for one in within if one.usual or lines[one.name].values)
        others = tuple(one.title for one in within if not one.usual and not lines[one.name].values)
        if shown or others:
            told.append(SectionLines(str(section), shown, others))
    return tuple(told)


def field_lines(vehicle: Vehicle, name: str, system: System, fields: Sequence[Field] = FIELDS) -> FieldLines:
    """One field of a record with all its values."""
    return _field_lines(vehicle, field_named(name, fields), system)


def value_line(spec: SpecValue, system: System, fields: Sequence[Field] = FIELDS) -> ValueLine:
    """One value with its conversion and its source."""
    field = field_named(spec.field, fields)
    converted = ""
    if spec.value is not None and field.kind is not None:
        shown = Shown.DISPLACEMENT if field.name == DISPLACEMENT.name else field.kind
        converted = formatting.text(spec.value, shown, system, uncertainty_si=spec.tolerance)
    # What is printed in the shown unit already is not said twice.
    said = _says(spec.as_printed, converted)
    return ValueLine(spec.as_printed, "" if said else converted, source_text(spec))


def source_text(spec: SpecValue) -> str:
    """Kind of source, citation, page, revision, and who entered and reviewed the value."""
    kind, citation = str(spec.source_kind), spec.citation
    origin = citation if citation.casefold().startswith(kind) else f"{kind}: {citation}"
    return ", ".join(
        part
        for part in (
            origin.rstrip(": "),
            _page(spec.page),
            _revision(spec.revision),
            f"entered by {spec.entered_by}" if spec.entered_by else "",
            f"reviewed by {spec.reviewed_by}" if spec.reviewed_by else "",
        )
        if part
    )


def where_line(spec: SpecValue) -> str:
    """Citation, page and revision of a value."""
    parts = (spec.citation, _page(spec.page), _revision(spec.revision))
    return ", ".join(part for part in parts if part)


def standing_line(spec: SpecValue) -> str:
    """Who entered a value and when, and who reviewed it."""
    entered = f"entered by {spec.entered_by or 'someone not named'}{_on(spec.entered_at)}"
    reviewed = (
        f"reviewed by {spec.reviewed_by}{_on(spec.reviewed_at)}" if spec.reviewed_by else "not reviewed"
    )
    return f"{entered}; {reviewed}"


def counts_because(spec: SpecValue, decided: SpecDecided | None) -> str:
    """Why a value counts before the others of its field."""
    if decided is None:
        return f"Counts: {spec.source_kind} is the most trusted source here"
    return f"Counts: decided by {decided.who}{_on(decided.at)}: {decided.why}"


def sides_sentence(sides: Sides) -> str:
    """Whether the sources of a field say the same, and what to do when not."""
    if not sides.differ:
        return f"{len(sides.values)} sources agree"
    return conflict_sentence(sides.values, sides.decided)


def sentence(text: str) -> str:
    """A text with a capital at its beginning."""
    return text[:1].upper() + text[1:]


def origin_line(vehicle: Vehicle) -> str:
    """Who builds the vehicle and which system family it belongs to; empty when only the make is known."""
    maker = f"Made by {vehicle.maker}" if vehicle.maker and vehicle.maker != vehicle.make else ""
    family = f"system family {vehicle.family}" if vehicle.family else ""
    line = ", ".join(part for part in (maker, family) if part)
    return sentence(line)


def build_line(vehicle: Vehicle) -> str:
    """Generation, body and months of a build-date split; empty when none is on record."""
    months = MonthSpan.on_record(vehicle.build_from, vehicle.build_to)
    built = "" if months.is_open else f"built {months.words}"
    parts = (f"generation {vehicle.generation}" if vehicle.generation else "", vehicle.body, built)
    line = ", ".join(part for part in parts if part)
    return sentence(line)


def cars_line(cars: Sequence[Unit]) -> str:
    """The cars of a vehicle by fleet number or VIN, the first dozen; empty when none is on record."""
    names = [" ".join(part for part in (one.fleet_number, one.vin) if part) or one.note for one in cars]
    more = f" and {len(names) - MOST_CARS} more" if len(names) > MOST_CARS else ""
    return f"Cars of this configuration: {', '.join(names[:MOST_CARS])}{more}." if names else ""


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
    return _understood(value_kg, tolerance_kg, Kind.MASS)


def amount_echo(field: Field, text: str, read: ReadQuantity) -> str:
    """How a value that is being typed is understood; empty for a field of texts and for what is refused."""
    if field.kind is None or not text.strip():
        return ""
    try:
        value, tolerance = amount_of(field, text, read)
    except ValueError:
        return ""
    if value is None:
        return "kept as text: no single amount is read from it"
    shown = Shown.DISPLACEMENT if field.name == DISPLACEMENT.name else field.kind
    return _understood(value, tolerance, shown)


def _understood(value: float, tolerance: float | None, what: Subject) -> str:
    both = [
        formatting.text(value, what, system, uncertainty_si=tolerance)
        for system in reversed(formatting.System)
    ]
    return f"understood as {' = '.join(dict.fromkeys(both))}"


def _field_lines(vehicle: Vehicle, field: Field, system: System) -> FieldLines:
    specs = vehicle.specs.get(field.name, ())
    lines = tuple(value_line(one, system, (field,)) for one in specs)
    if not lines and field.name == EVAPORATORS.name and vehicle.evaporators:
        lines = (ValueLine(vehicle.evaporators, "", "as the vehicle is named"),)
    return FieldLines(field.title, lines, conflict_sentence(specs, vehicle.decided.get(field.name)))


def _on(moment: datetime | None) -> str:
    return f" on {moment.astimezone():%Y-%m-%d}" if moment else ""


def _page(text: str) -> str:
    return f"page {text}" if text and text[0].isdigit() else text


def _revision(text: str) -> str:
    # A bare number or letter needs the word before it; "rev. B" and "third printing" speak for themselves.
    return f"revision {text}" if text and " " not in text else text


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _says(text: str, amount: str) -> bool:
    wanted = r"\s*".join(re.escape(part) for part in amount.split())
    return re.search(rf"(?<![\w.,]){wanted}(?!\w)", text, re.IGNORECASE) is not None
