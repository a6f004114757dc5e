"""Which unit, and how many digits, each unit system shows a quantity in."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from knowngood_refdata.quantities import Kind, MeasuringUnit, unit
from knowngood_refdata.records import Quantity, Role

Subject = Kind | Quantity | Role
"""What can be shown: a kind of quantity, a compared quantity, or the role of a channel."""


class System(StrEnum):
    """The unit systems that the program can show."""

    US = "us"
    SI = "si"


@dataclass(frozen=True, slots=True)
class Scale:
    """A display unit and the digits after the decimal point that a bare value is shown with."""

    unit: MeasuringUnit
    decimals: int


_SCALES: dict[System, dict[Kind, Scale]] = {
    System.US: {
        Kind.PRESSURE: Scale(unit("psi", Kind.PRESSURE), 1),
        Kind.TEMPERATURE: Scale(unit("°F", Kind.TEMPERATURE), 1),
        Kind.TEMPERATURE_DIFFERENCE: Scale(unit("°F", Kind.TEMPERATURE_DIFFERENCE), 1),
        Kind.MASS: Scale(unit("oz", Kind.MASS), 1),
        Kind.LENGTH: Scale(unit("ft", Kind.LENGTH), 0),
        Kind.VOLUME: Scale(unit("fl oz", Kind.VOLUME), 1),
    },
    System.SI: {
        Kind.PRESSURE: Scale(unit("bar", Kind.PRESSURE), 1),
        Kind.TEMPERATURE: Scale(unit("°C", Kind.TEMPERATURE), 1),
        Kind.TEMPERATURE_DIFFERENCE: Scale(unit("K", Kind.TEMPERATURE_DIFFERENCE), 1),
        Kind.MASS: Scale(unit("g", Kind.MASS), 0),
        Kind.LENGTH: Scale(unit("m", Kind.LENGTH), 0),
        Kind.VOLUME: Scale(unit("mL", Kind.VOLUME), 0),
    },
}
_COMMON: dict[Kind, Scale] = {
    Kind.ROTATION: Scale(unit("rpm", Kind.ROTATION), 0),
    Kind.FRACTION: Scale(unit("%", Kind.FRACTION), 0),
    Kind.TIME: Scale(unit("s", Kind.TIME), 0),
}
_BAROMETER: dict[System, Scale] = {
    System.US: Scale(unit("inHg", Kind.PRESSURE), 2),
    System.SI: Scale(unit("kPa", Kind.PRESSURE), 1),
}

_KIND_OF_QUANTITY: dict[Quantity, Kind] = {
    Quantity.LOW_SIDE: Kind.PRESSURE,
    Quantity.HIGH_SIDE: Kind.PRESSURE,
    Quantity.SUPERHEAT: Kind.TEMPERATURE_DIFFERENCE,
    Quantity.SUBCOOLING: Kind.TEMPERATURE_DIFFERENCE,
    Quantity.CONDENSING_ABOVE_AMBIENT: Kind.TEMPERATURE_DIFFERENCE,
    Quantity.EVAPORATING: Kind.TEMPERATURE,
    Quantity.VENT: Kind.TEMPERATURE,
}
_KIND_OF_ROLE: dict[Role, Kind] = {
    Role.LOW_SIDE: Kind.PRESSURE,
    Role.HIGH_SIDE: Kind.PRESSURE,
    Role.BAROMETER: Kind.PRESSURE,
    Role.HUMIDITY: Kind.FRACTION,
    Role.FAN_COMMAND: Kind.FRACTION,
    Role.COMPRESSOR_COMMAND: Kind.FRACTION,
    Role.ENGINE_SPEED: Kind.ROTATION,
    **dict.fromkeys(
        (
            Role.SUCTION_LINE,
            Role.LIQUID_LINE,
            Role.DISCHARGE_LINE,
            Role.VENT,
            Role.AMBIENT,
            Role.INTAKE,
            Role.COOLANT,
        ),
        Kind.TEMPERATURE,
    ),
}


def kind_of(what: Subject) -> Kind:
    """The kind of quantity that a subject is measured in.

    Raises
    ------
    ValueError
        For `Role.OTHER`, whose kind is known to nobody.

    >>> kind_of(Quantity.SUPERHEAT)
    <Kind.TEMPERATURE_DIFFERENCE: 'temperature difference'>
    """
    if isinstance(what, Kind):
        return what
    if isinstance(what, Quantity):
        return _KIND_OF_QUANTITY[what]
    if what in _KIND_OF_ROLE:
        return _KIND_OF_ROLE[what]
    raise ValueError(f"a channel '{what}' has no kind of quantity")


def scale_of(what: Subject, system: System, *, difference: bool = False) -> Scale:
    """The display scale of a subject; ``difference`` asks for that of a change or an uncertainty."""
    if what is Role.BAROMETER:
        return _BAROMETER[system]
    kind = kind_of(what)
    if difference and kind is Kind.TEMPERATURE:
        kind = Kind.TEMPERATURE_DIFFERENCE
    return _COMMON.get(kind) or _SCALES[system][kind]
