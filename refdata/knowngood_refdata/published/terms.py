"""The words a published table is written in: what it goes by, what it gives, and what is possible."""

from __future__ import annotations

from enum import StrEnum

from knowngood_refdata.quantities import Kind


class BadTable(ValueError):  # noqa: N818 - reads as what it is
    """A published table was entered or stored in a way that cannot be right; the text says what."""


class Variable(StrEnum):
    """What a table is entered with."""

    AMBIENT = "ambient"
    INTAKE = "cabin intake"
    HUMIDITY = "relative humidity"
    ENGINE_SPEED = "engine speed"
    LIQUID_LINE = "liquid line"


class Figure(StrEnum):
    """What a table gives."""

    LOW_SIDE = "low side"
    HIGH_SIDE = "high side"
    VENT = "vent temperature"
    AT_REST = "pressure at rest"
    SUPERHEAT = "superheat"
    SUBCOOLING = "subcooling"


class Reference(StrEnum):
    """What a printed pressure counts from. One that does not say is taken as gauge, and that is told."""

    GAUGE = "gauge"
    ABSOLUTE = "absolute"
    NOT_SAID = "not said"


class Circuit(StrEnum):
    """Which evaporator ran."""

    FRONT = "front"
    REAR = "rear"
    BOTH = "front and rear"


class Doors(StrEnum):
    """How the doors stood; tables tell the front doors from all of them."""

    CLOSED = "closed"
    OPEN = "all open"
    FRONT_OPEN = "front open"


KIND_OF_VARIABLE: dict[Variable, Kind] = {
    Variable.AMBIENT: Kind.TEMPERATURE,
    Variable.INTAKE: Kind.TEMPERATURE,
    Variable.HUMIDITY: Kind.FRACTION,
    Variable.ENGINE_SPEED: Kind.ROTATION,
    Variable.LIQUID_LINE: Kind.TEMPERATURE,
}
KIND_OF_FIGURE: dict[Figure, Kind] = {
    Figure.LOW_SIDE: Kind.PRESSURE,
    Figure.HIGH_SIDE: Kind.PRESSURE,
    Figure.VENT: Kind.TEMPERATURE,
    Figure.AT_REST: Kind.PRESSURE,
    Figure.SUPERHEAT: Kind.TEMPERATURE_DIFFERENCE,
    Figure.SUBCOOLING: Kind.TEMPERATURE_DIFFERENCE,
}
POSSIBLE: dict[Variable | Figure, tuple[float, float]] = {
    Variable.AMBIENT: (223.15, 343.15),
    Variable.INTAKE: (223.15, 353.15),
    Variable.HUMIDITY: (0.0, 1.0),
    Variable.ENGINE_SPEED: (0.0, 12_000.0),
    Variable.LIQUID_LINE: (223.15, 393.15),
    # A gauge shows no less than a perfect vacuum; 20 MPa is beyond the relief valve of any R-744 system.
    Figure.LOW_SIDE: (-101_400.0, 20e6),
    Figure.HIGH_SIDE: (-101_400.0, 20e6),
    Figure.AT_REST: (-101_400.0, 20e6),
    Figure.VENT: (243.15, 343.15),
    Figure.SUPERHEAT: (0.0, 80.0),
    Figure.SUBCOOLING: (0.0, 80.0),
}
"""SI values beyond which a unit or a digit must be wrong (common practice, no source)."""


def kind_of(what: Variable | Figure) -> Kind:
    """The kind of quantity, which says the units it can be printed in."""
    return KIND_OF_VARIABLE[what] if isinstance(what, Variable) else KIND_OF_FIGURE[what]
