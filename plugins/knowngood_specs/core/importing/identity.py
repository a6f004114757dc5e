"""When two entries name the same vehicle: names compared in their letters and digits, years exactly."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from typing import NamedTuple, TypeAlias

from knowngood_refdata.drafts import VehicleDraft
from knowngood_refdata.records import Vehicle

Named: TypeAlias = Vehicle | VehicleDraft

_DECIMAL = re.compile(r"(?<=\d)[.,](?=\d)")
_OUT = re.compile(r"[^\w.]+|_+|(?<!\d)\.|\.(?!\d)")


class Key(NamedTuple):
    """What must agree for two entries to be one vehicle, each name as `folded` gives it."""

    make: str
    model: str
    engine: str
    market: str
    year_from: int
    year_to: int | None


class Variant(NamedTuple):
    """What tells vehicles of one key apart; empty where it is not said."""

    evaporators: str
    build_from: str
    build_to: str
    generation: str
    body: str


@lru_cache(maxsize=65_536)
def folded(name: str) -> str:
    """A name without differences of case, accents' composition, blanks and signs.

    >>> folded("1,6  Petrol"), folded("1.6-petrol")
    ('1.6 petrol', '1.6 petrol')
    """
    plain = unicodedata.normalize("NFKC", name).casefold()
    # A name of signs alone is still a name.
    return " ".join(_OUT.sub(" ", _DECIMAL.sub(".", plain)).split()) or " ".join(plain.split())


def key_of(one: Named) -> Key:
    """The key of an entry."""
    return Key(
        folded(one.make),
        folded(one.model),
        folded(one.engine),
        folded(one.market),
        one.year_from,
        one.year_to,
    )


def variant_of(one: Named) -> Variant:
    """The variant of an entry."""
    return Variant(
        folded(evaporators_named(one.evaporators)),
        one.build_from,
        one.build_to,
        folded(one.generation),
        folded(one.body),
    )


def evaporators_named(text: str) -> str:
    """One way of saying the two usual answers; another text as it is.

    >>> evaporators_named("Dual"), evaporators_named("1"), evaporators_named("three evaporators")
    ('dual evaporator', 'single evaporator', 'three evaporators')
    """
    bare = folded(text).removesuffix("evaporators").removesuffix("evaporator").strip()
    if bare in {"single", "1", "one", "front", "front only"}:
        return "single evaporator"
    if bare in {"dual", "2", "two", "double", "front and rear", "front rear"}:
        return "dual evaporator"
    return text


def differs(one: Variant, other: Variant) -> bool:
    """Whether two variants say different things about the same point."""
    return any(a and b and a != b for a, b in zip(one, other, strict=True))


def overlap(one: Key, other: Key) -> bool:
    """Whether the years of two keys have a year in common."""
    first = one.year_to is None or other.year_from <= one.year_to
    return first and (other.year_to is None or one.year_from <= other.year_to)


def name_line(one: Named) -> str:
    """A vehicle in one line, as `knowngood_refdata.records.Vehicle.name` gives it, with its build months."""
    vehicle = (
        one
        if isinstance(one, Vehicle)
        else Vehicle(
            0, one.make, one.model, one.engine, one.year_from, one.year_to, one.market, one.evaporators
        )
    )
    build = " to ".join(part for part in (one.build_from, one.build_to) if part)
    return f"{vehicle.name}, built {build}" if build else vehicle.name
