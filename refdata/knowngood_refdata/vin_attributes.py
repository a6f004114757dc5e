"""Compare what the reader knows of the car, word by word, with what is on record of a configuration."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.vin_points import Configuration, Known, Point, Side

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

_FUELS = {
    **dict.fromkeys(("petrol", "gasoline", "gas"), "petrol"),
    "diesel": "diesel",
    "electric": "electric",
}


@dataclass(frozen=True, slots=True)
class Attribute:
    """An attribute that a vehicle has on record and a reader can know."""

    title: str
    recorded: Callable[[Configuration], str]
    given: Callable[[Known], str]
    named_by_model: bool = False

    def scope(self, vehicle: Configuration) -> tuple[str, ...]:
        """Within what this attribute is named alike."""
        if self.named_by_model:
            return self.title, vehicle.make.casefold(), vehicle.model.casefold()
        return (self.title,)


MAKE = Attribute("make", lambda vehicle: vehicle.make, lambda known: known.make)
MODEL = Attribute("model", lambda vehicle: vehicle.model, lambda known: known.model)
ENGINE = Attribute("engine", lambda vehicle: vehicle.engine, lambda known: known.engine, named_by_model=True)
MARKET = Attribute("market", lambda vehicle: vehicle.market, lambda known: known.market)
EVAPORATORS = Attribute(
    "evaporator set-up",
    lambda vehicle: vehicle.evaporators,
    lambda known: known.evaporators,
    named_by_model=True,
)
ATTRIBUTES = (MAKE, MODEL, ENGINE, MARKET, EVAPORATORS)


@dataclass(frozen=True, slots=True)
class Answers:
    """What the reader knows, and where on record its very words stand.

    A vehicle that says something else is excluded only where the words are in use: elsewhere they may be
    another name for the same. Engines and evaporators are named alike within a make and model, markets,
    makes and models throughout.
    """

    known: Known
    in_use: frozenset[tuple[str, ...]]

    @classmethod
    def among(cls, known: Known, vehicles: Iterable[Configuration]) -> Answers:
        """The answers of a reader beside all vehicles that are compared."""
        given = [attribute for attribute in ATTRIBUTES if attribute.given(known).strip()]
        in_use = {
            attribute.scope(vehicle)
            for vehicle in vehicles
            for attribute in given
            if same(attribute.given(known), attribute.recorded(vehicle))
        }
        return cls(known, frozenset(in_use))


def about_attributes(vehicle: Configuration, answers: Answers) -> list[Point]:
    """What the reader's answers say of one vehicle."""
    points: list[Point] = []
    for attribute in ATTRIBUTES:
        given, recorded = attribute.given(answers.known).strip(), attribute.recorded(vehicle)
        if not given:
            continue
        if not recorded:
            points.append(Point(Side.OPEN, f"The {attribute.title} is not on record.", 0))
        elif attribute.scope(vehicle) in answers.in_use:
            points.append(_exactly(attribute.title, given, recorded))
        else:
            points.append(_roughly(attribute, given, recorded))
    return points


def _exactly(title: str, given: str, recorded: str) -> Point:
    if same(given, recorded):
        return Point(Side.FOR, f"The {title} is {recorded}.", 3)
    return Point(Side.AGAINST, f"The {title} is {recorded}, not {given}.")


def _roughly(attribute: Attribute, given: str, recorded: str) -> Point:
    """Words not in use may be another name for the same: only an engine's size and fuel exclude."""
    if attribute is ENGINE:
        for read, title in ((_sizes, "size"), (_fuels, "fuel")):
            if read(given) and read(recorded) and not read(given) & read(recorded):
                return Point(Side.AGAINST, f"The engine is {recorded}: another {title} than {given}.")
        if _words(given) <= _words(recorded):
            return Point(Side.FOR, f"The engine is {recorded}.", 2)
    return Point(Side.OPEN, f"The {attribute.title} is {recorded}; whether that is {given} is open.", -1)


def identified(vehicle: Configuration, known: Known) -> bool:
    """Whether the reader gave every attribute on record of the vehicle, in its very words."""
    return all(
        same(attribute.recorded(vehicle), attribute.given(known))
        for attribute in ATTRIBUTES
        if attribute.recorded(vehicle) or attribute in (MAKE, MODEL)
    )


def same(one: str, other: str) -> bool:
    """Whether two texts are the same but for case and surrounding spaces."""
    return one.strip().casefold() == other.strip().casefold()


def _words(text: str) -> set[str]:
    plain = text.casefold().replace(",", ".")
    return {_FUELS.get(word, word) for word in re.findall(r"\d+\.\d+|[^\W\d_]+|\d+", plain)} - {"l", "cc"}


def _sizes(text: str) -> set[str]:
    return set(re.findall(r"\d+\.\d", text.replace(",", ".")))


def _fuels(text: str) -> set[str]:
    return _words(text) & set(_FUELS.values())
