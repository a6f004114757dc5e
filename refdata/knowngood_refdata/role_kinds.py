"""What kind of quantity the channel of a role holds."""

from __future__ import annotations

from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Role

KIND_OF_ROLE: dict[Role, Kind] = {
    Role.LOW_SIDE: Kind.PRESSURE,
    Role.HIGH_SIDE: Kind.PRESSURE,
    Role.BAROMETER: Kind.PRESSURE,
    Role.HUMIDITY: Kind.FRACTION,
    Role.ENGINE_SPEED: Kind.ROTATION,
    Role.SUCTION_LINE: Kind.TEMPERATURE,
    Role.LIQUID_LINE: Kind.TEMPERATURE,
    Role.DISCHARGE_LINE: Kind.TEMPERATURE,
    Role.VENT: Kind.TEMPERATURE,
    Role.AMBIENT: Kind.TEMPERATURE,
    Role.INTAKE: Kind.TEMPERATURE,
    Role.COOLANT: Kind.TEMPERATURE,
}
"""A command stays as recorded, whatever it counts in; roles that are not listed say nothing of their kind."""


def roles_of(kind: Kind) -> tuple[Role, ...]:
    """The roles whose channels hold this kind of quantity.

    >>> [one.value for one in roles_of(Kind.PRESSURE)]
    ['low side', 'high side', 'barometer']
    """
    return tuple(role for role, its_kind in KIND_OF_ROLE.items() if its_kind is kind)
