"""Two vehicles field by field: what both say, what one alone says, and where they differ."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_specs.core.agreement import SHORT_KIND, agree
from knowngood_specs.core.fields import FIELDS, field_named

if TYPE_CHECKING:
    from collections.abc import Iterator

    from knowngood_refdata.records import SpecValue, Vehicle

OWN = (
    ("Make", "make"),
    ("Model", "model"),
    ("Generation", "generation"),
    ("Engine or drive", "engine"),
    ("Body", "body"),
    ("Market", "market"),
    ("Evaporators, as named", "evaporators"),
    ("Made by", "maker"),
    ("System family", "family"),
    ("VIN pattern", "vin_pattern"),
    ("Notes", "notes"),
)


@dataclass(frozen=True, slots=True)
class Pair:
    """One field of both; ``differs`` when both say something and it is not the same."""

    title: str
    one: str
    other: str
    differs: bool


def side_by_side(one: Vehicle, other: Vehicle) -> tuple[Pair, ...]:
    """Their own data, then their spec values with the kinds of their sources; empty fields are left out."""
    return (*_own(one, other), *_specs(one, other))


def _own(one: Vehicle, other: Vehicle) -> Iterator[Pair]:
    for title, name in OWN[:4]:
        yield from _texts(title, getattr(one, name), getattr(other, name))
    yield from _texts("Model years", _years(one), _years(other))
    yield from _texts("Build months", _months(one), _months(other))
    for title, name in OWN[4:]:
        yield from _texts(title, getattr(one, name), getattr(other, name))


def _specs(one: Vehicle, other: Vehicle) -> Iterator[Pair]:
    usual = [field.name for field in FIELDS]
    own = sorted({*one.specs, *other.specs} - set(usual))
    for name in (*usual, *own):
        mine, theirs = one.specs.get(name, ()), other.specs.get(name, ())
        if mine or theirs:
            differs = bool(mine and theirs) and any(not agree(a, b) for a in mine for b in theirs)
            yield Pair(field_named(name).title, _printed(mine), _printed(theirs), differs)


def _texts(title: str, one: str, other: str) -> Iterator[Pair]:
    if one or other:
        yield Pair(title, one, other, bool(one and other) and one.casefold() != other.casefold())


def _printed(values: tuple[SpecValue, ...]) -> str:
    return "\n".join(f"{one.as_printed} ({SHORT_KIND[one.source_kind]})" for one in values)


def _years(vehicle: Vehicle) -> str:
    if vehicle.year_to is None:
        return f"{vehicle.year_from} on"
    return f"{vehicle.year_from} to {vehicle.year_to}"


def _months(vehicle: Vehicle) -> str:
    if not (vehicle.build_from or vehicle.build_to):
        return ""
    return f"{vehicle.build_from or 'the first'} to {vehicle.build_to or 'the last'}"
