"""Vehicles as the lines of a table: one a spec value, or one a vehicle.

Every column has a header that the importer knows, so that what was written is read back as it is. Numbers
stand beside the text as printed, with their unit in the header or in a column of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from knowngood_refdata.quantities import UNITS, Kind, MeasuringUnit, unit
from knowngood_specs.core.fields import FIELDS, Field

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from knowngood_refdata.records import SpecValue, Vehicle

Cell: TypeAlias = str | float | int | None

_NAMES = (
    "Make", "Model", "Engine", "Year from", "Year to", "Build from", "Build to", "Generation", "Body",
    "Market", "Evaporators", "Maker", "System family", "VIN pattern",
)  # fmt: skip
_VALUE = (
    "Field", "As printed", "Number", "Tolerance", "Unit of measure", "Source kind", "Citation", "Page",
    "Revision", "Reviewed by",
)  # fmt: skip
_USUAL = {Kind.MASS: "g", Kind.VOLUME: "mL", Kind.LENGTH: "mm", Kind.TEMPERATURE: "K"}


@dataclass(frozen=True, slots=True)
class Sheet:
    """A header and the lines below it, which are made as they are asked for."""

    header: tuple[str, ...]
    lines: Iterator[tuple[Cell, ...]]


def value_lines(vehicles: Sequence[Vehicle], fields: Sequence[Field] = FIELDS) -> Sheet:
    """One line a spec value; a vehicle without any has one line of its own."""
    kinds = {one.name: one.kind for one in fields}

    def lines() -> Iterator[tuple[Cell, ...]]:
        for vehicle in vehicles:
            names = _names(vehicle)
            values = [one for held in vehicle.specs.values() for one in held]
            if not values:
                yield (*names, *(None,) * len(_VALUE), vehicle.notes)
            for index, one in enumerate(values):
                # The notes are the vehicle's: they stand once.
                yield (*names, *_value(one, kinds.get(one.field)), "" if index else vehicle.notes)

    return Sheet((*_NAMES, *_VALUE, "Notes"), lines())


def vehicle_lines(vehicles: Sequence[Vehicle], fields: Sequence[Field] = FIELDS) -> Sheet:
    """One line a vehicle, with the most trusted value of each field that any of them holds.

    Further values of a field are left out: `value_lines` holds them all.
    """
    held = {name for vehicle in vehicles for name, values in vehicle.specs.items() if values}
    kinds = {one.name: one.kind for one in fields}
    shown = [one.name for one in fields if one.name in held]
    shown += sorted(held - set(shown))
    header = [*_NAMES]
    for name in shown:
        header += _headers(name, kinds.get(name))

    def lines() -> Iterator[tuple[Cell, ...]]:
        for vehicle in vehicles:
            cells = [*_names(vehicle)]
            for name in shown:
                cells += _wide(vehicle.spec(name), kinds.get(name))
            yield (*cells, vehicle.notes)

    return Sheet((*header, "Notes"), lines())


def _names(one: Vehicle) -> tuple[Cell, ...]:
    return (
        one.make, one.model, one.engine, one.year_from, one.year_to, one.build_from, one.build_to,
        one.generation, one.body, one.market, one.evaporators, one.maker, one.family, one.vin_pattern,
    )  # fmt: skip


def _value(one: SpecValue, kind: Kind | None) -> tuple[Cell, ...]:
    number, tolerance, measured_in = _numbers(one, kind)
    source = (str(one.source_kind), one.citation, one.page, one.revision, one.reviewed_by)
    return (one.field, one.as_printed, number, tolerance, measured_in, *source)


def _headers(name: str, kind: Kind | None) -> list[str]:
    measured_in = _unit_name(kind) if kind else ""
    numbers = [f"{name}: number in {measured_in}", f"{name}: tolerance in {measured_in}"] if kind else []
    sources = ("source kind", "citation", "page", "revision", "reviewed by")
    return [f"{name}: as printed", *numbers, *(f"{name}: {part}" for part in sources)]


def _wide(one: SpecValue | None, kind: Kind | None) -> list[Cell]:
    if one is None:
        return [None] * (8 if kind else 6)
    _, printed, number, tolerance, _, *source = _value(one, kind)
    return [printed, number, tolerance, *source] if kind else [printed, *source]


def _numbers(one: SpecValue, kind: Kind | None) -> tuple[float | None, float | None, str]:
    if kind is None or one.value is None:
        return None, None, ""
    measured = _unit_of(kind)
    tolerance = None if one.tolerance is None else _rounded(one.tolerance / measured.factor)
    return _rounded(measured.from_si(one.value)), tolerance, _unit_name(kind)


def _rounded(number: float) -> float:
    """Without the noise that a conversion leaves in the last digits."""
    return float(f"{number:.14g}")


def _unit_of(kind: Kind) -> MeasuringUnit:
    if kind is Kind.PRESSURE:
        return unit("kPa", kind)
    usual = _USUAL.get(kind)
    if usual is not None:
        return unit(usual, kind)
    return next(one for one in UNITS if one.kind is kind and one.factor == 1.0)


def _unit_name(kind: Kind) -> str:
    # A pressure says what it counts from.
    return "kPa abs" if kind is Kind.PRESSURE else _unit_of(kind).symbol
