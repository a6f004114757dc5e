"""The fields of a vehicle's specification: their names, what they hold, and what is commonly printed."""

from __future__ import annotations

from dataclasses import dataclass

from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import CompressorKind, MeteringDevice


@dataclass(frozen=True, slots=True)
class Field:
    """One field; ``kind`` is None for a text, ``choices`` are what is offered, never all that is taken."""

    name: str
    title: str
    kind: Kind | None = None
    choices: tuple[str, ...] = ()
    example: str = ""


CHARGE = Field("charge", "Charge weight", Kind.MASS, example="470 ± 15 g, 17.6 oz or 0,50 kg")
REFRIGERANT = Field("refrigerant", "Refrigerant", None, ("R-134a", "R-1234yf"))
COMPRESSOR = Field("compressor", "Compressor", None, tuple(CompressorKind))
METERING = Field("metering device", "Metering device", None, tuple(MeteringDevice))
FAN = Field(
    "fan", "Fan", None, ("single-stage fan", "two-stage fan", "three-stage fan", "variable-speed fan")
)
OIL = Field("oil", "Oil", Kind.VOLUME, example="PAG 46, 120 mL")
EVAPORATORS = Field("evaporators", "Evaporators", None, ("single evaporator", "dual evaporator"))

FIELDS = (CHARGE, REFRIGERANT, COMPRESSOR, METERING, FAN, OIL, EVAPORATORS)
"""In the order in which a record shows them."""


def field_named(name: str) -> Field:
    """The field of a name; one that only this library knows is a text.

    >>> field_named("charge").kind
    <Kind.MASS: 'mass'>
    >>> field_named("belt").title
    'Belt'
    """
    return next((one for one in FIELDS if one.name == name), Field(name, name.capitalize()))
