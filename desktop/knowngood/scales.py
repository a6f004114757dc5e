"""Which unit, and how many digits, each unit system shows a quantity in."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from knowngood_refdata.quantities import Kind, MeasuringUnit, unit
from knowngood_refdata.records import Quantity, Role
from knowngood_refdata.role_kinds import KIND_OF_ROLE


class Shown(StrEnum):
    """What the trade writes in a unit of its own, whatever else of its kind is written in."""

    VACUUM = "vacuum"
    DISPLACEMENT = "displacement"
    BORE = "bore"
    CYLINDER_WEIGHT = "weight of a cylinder"
    VESSEL = "volume of a vessel"
    HOSE = "length of a hose"
    REST_TIME = "time at rest"
    RATIO = "ratio"


Subject = Kind | Quantity | Role | Shown
"""What can be shown: a kind of quantity, a compared quantity, the role of a channel, a special case."""


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
        Kind.SPECIFIC_ENERGY: Scale(unit("Btu/lb", Kind.SPECIFIC_ENERGY), 2),
        Kind.SPECIFIC_ENTROPY: Scale(unit("Btu/(lb·°F)", Kind.SPECIFIC_ENTROPY), 4),
        Kind.DENSITY: Scale(unit("lb/ft³", Kind.DENSITY), 3),
        Kind.SPECIFIC_VOLUME: Scale(unit("ft³/lb", Kind.SPECIFIC_VOLUME), 2),
        Kind.VOLUMETRIC_CAPACITY: Scale(unit("Btu/ft³", Kind.VOLUMETRIC_CAPACITY), 1),
        Kind.POWER: Scale(unit("Btu/h", Kind.POWER), 0),
        Kind.MASS_FLOW: Scale(unit("lb/h", Kind.MASS_FLOW), 1),
        Kind.VOLUME_FLOW: Scale(unit("cfm", Kind.VOLUME_FLOW), 0),
        Kind.HUMIDITY_RATIO: Scale(unit("gr/lb", Kind.HUMIDITY_RATIO), 1),
    },
    System.SI: {
        Kind.PRESSURE: Scale(unit("bar", Kind.PRESSURE), 1),
        Kind.TEMPERATURE: Scale(unit("°C", Kind.TEMPERATURE), 1),
        Kind.TEMPERATURE_DIFFERENCE: Scale(unit("K", Kind.TEMPERATURE_DIFFERENCE), 1),
        Kind.MASS: Scale(unit("g", Kind.MASS), 0),
        Kind.LENGTH: Scale(unit("m", Kind.LENGTH), 0),
        Kind.VOLUME: Scale(unit("mL", Kind.VOLUME), 0),
        Kind.SPECIFIC_ENERGY: Scale(unit("kJ/kg", Kind.SPECIFIC_ENERGY), 2),
        Kind.SPECIFIC_ENTROPY: Scale(unit("kJ/(kg·K)", Kind.SPECIFIC_ENTROPY), 4),
        Kind.DENSITY: Scale(unit("kg/m³", Kind.DENSITY), 2),
        Kind.SPECIFIC_VOLUME: Scale(unit("m³/kg", Kind.SPECIFIC_VOLUME), 4),
        Kind.VOLUMETRIC_CAPACITY: Scale(unit("kJ/m³", Kind.VOLUMETRIC_CAPACITY), 0),
        Kind.POWER: Scale(unit("kW", Kind.POWER), 2),
        Kind.MASS_FLOW: Scale(unit("kg/h", Kind.MASS_FLOW), 1),
        Kind.VOLUME_FLOW: Scale(unit("m³/h", Kind.VOLUME_FLOW), 0),
        Kind.HUMIDITY_RATIO: Scale(unit("g/kg", Kind.HUMIDITY_RATIO), 2),
    },
}
_COMMON: dict[Kind, Scale] = {
    Kind.ROTATION: Scale(unit("rpm", Kind.ROTATION), 0),
    Kind.FRACTION: Scale(unit("%", Kind.FRACTION), 0),
    Kind.TIME: Scale(unit("s", Kind.TIME), 0),
}
_SPECIAL: dict[Subject, dict[System, Scale]] = {
    Role.BAROMETER: {
        System.US: Scale(unit("inHg", Kind.PRESSURE), 2),
        System.SI: Scale(unit("kPa", Kind.PRESSURE), 1),
    },
    Shown.VACUUM: {
        System.US: Scale(unit("micron", Kind.PRESSURE), 0),
        System.SI: Scale(unit("mbar", Kind.PRESSURE), 3),
    },
    # A compressor's displacement is named in cubic centimetres everywhere.
    Shown.DISPLACEMENT: dict.fromkeys(System, Scale(unit("cm³", Kind.VOLUME), 0)),
    Shown.BORE: {
        System.US: Scale(unit("in", Kind.LENGTH), 3),
        System.SI: Scale(unit("mm", Kind.LENGTH), 1),
    },
    Shown.CYLINDER_WEIGHT: {
        System.US: Scale(unit("lb", Kind.MASS), 3),
        System.SI: Scale(unit("kg", Kind.MASS), 3),
    },
    Shown.VESSEL: {
        System.US: Scale(unit("in³", Kind.VOLUME), 1),
        System.SI: Scale(unit("L", Kind.VOLUME), 2),
    },
    Shown.HOSE: {
        System.US: Scale(unit("ft", Kind.LENGTH), 1),
        System.SI: Scale(unit("m", Kind.LENGTH), 2),
    },
    Shown.REST_TIME: dict.fromkeys(System, Scale(unit("h", Kind.TIME), 1)),
    # A plain number, written without a unit.
    Shown.RATIO: dict.fromkeys(System, Scale(unit("1", Kind.FRACTION), 2)),
}

_KIND_OF_SHOWN: dict[Shown, Kind] = {
    Shown.VACUUM: Kind.PRESSURE,
    Shown.DISPLACEMENT: Kind.VOLUME,
    Shown.BORE: Kind.LENGTH,
    Shown.CYLINDER_WEIGHT: Kind.MASS,
    Shown.VESSEL: Kind.VOLUME,
    Shown.HOSE: Kind.LENGTH,
    Shown.REST_TIME: Kind.TIME,
    Shown.RATIO: Kind.FRACTION,
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
    **KIND_OF_ROLE,
    Role.FAN_COMMAND: Kind.FRACTION,
    Role.COMPRESSOR_COMMAND: Kind.FRACTION,
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
    if isinstance(what, Shown):
        return _KIND_OF_SHOWN[what]
    if isinstance(what, Quantity):
        return _KIND_OF_QUANTITY[what]
    if what in _KIND_OF_ROLE:
        return _KIND_OF_ROLE[what]
    raise ValueError(f"a channel '{what}' has no kind of quantity")


def counts_from_zero(what: Subject) -> bool:
    """Whether a pressure is absolute by its nature: the air itself, and a vacuum.

    >>> [counts_from_zero(one) for one in (Role.BAROMETER, Shown.VACUUM, Role.LOW_SIDE)]
    [True, True, False]
    """
    return what is Role.BAROMETER or what is Shown.VACUUM


def scale_of(what: Subject, system: System, *, difference: bool = False) -> Scale:
    """The display scale of a subject; ``difference`` asks for that of a change or an uncertainty."""
    special = _SPECIAL.get(what)
    if special is not None:
        return special[system]
    kind = kind_of(what)
    if difference and kind is Kind.TEMPERATURE:
        kind = Kind.TEMPERATURE_DIFFERENCE
    return _COMMON.get(kind) or _SCALES[system][kind]
