"""What is looked at for oddities, and which unit a number was likelier written in."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

import numpy as np

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind, unit
from knowngood_refdata.records import Role
from knowngood_refdata.role_kinds import KIND_OF_ROLE

from .plausible import offered_units, share_inside

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from numpy.typing import NDArray

    from knowngood_refdata.records import Instruments
    from knowngood_refdata.refrigerants import SaturationCurve

OTHER_TEMPERATURE = {"°C": "°F", "°F": "°C"}
_SI_UNITS = {Kind.PRESSURE: "Pa", Kind.TEMPERATURE: "K", Kind.FRACTION: "1"}


class Writer(Protocol):
    """Writes a value in SI for a reader, with its unit; a pressure is absolute."""

    def __call__(self, value: float, what: Role | Kind) -> str:
        """The words."""


@dataclass(frozen=True, slots=True)
class Oddity:
    """Something odd in words, and the roles it is about, the likeliest culprit first."""

    roles: tuple[Role, ...]
    text: str


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What a point is judged against; ``units`` are those in which its values were written, by role."""

    curve: SaturationCurve
    instruments: Instruments
    units: Mapping[Role, str] = field(default_factory=dict)
    ambient_k: float | None = None
    intake_k: float | None = None
    barometer_pa: float = STANDARD_ATMOSPHERE_PA


def better_unit(value_si: float, role: Role, as_read: str, zero_pa: float = 0.0) -> str:
    """The unit in which the same number would be usual for the role, empty when none or it is usual now.

    Parameters
    ----------
    as_read
        The unit that the number was read in.
    zero_pa
        What a gauge pressure counts from; it was added to the value.

    >>> better_unit(277.0, Role.SUCTION_LINE, "°C"), better_unit(273.15 + 68.0, Role.VENT, "°C")
    ('', '°F')
    """
    kind = KIND_OF_ROLE.get(role)
    if kind is None:
        return ""
    number = np.array([unit(as_read, kind).from_si(value_si - zero_pa)])
    if _usual(number, role, as_read, kind):
        return ""
    others = (one for one in offered_units(kind) if one not in (as_read, "K"))
    return next((one for one in others if _usual(number, role, one, kind)), "")


def _usual(number: NDArray[np.float64], role: Role, name: str, kind: Kind) -> bool:
    return share_inside(number, role, name, kind, gauge=True) == 1.0


def odd_units(point: Mapping[Role, float], around: Surroundings, write: Writer) -> Iterator[Oddity]:
    """Values that no such line or side has; whichever unit was meant, it is told what was read."""
    for role, value in point.items():
        kind = KIND_OF_ROLE.get(role)
        if kind not in _SI_UNITS:
            continue
        zero = around.barometer_pa if role in (Role.LOW_SIDE, Role.HIGH_SIDE) else 0.0
        if _usual(np.array([value - zero]), role, _SI_UNITS[kind], kind):
            continue
        written = around.units.get(role, "")
        better = better_unit(value, role, written, zero) if written else ""
        advice = f"in {better} the same number would be usual" if better else "look at it and its unit"
        yield Oddity((role,), f"{write(value, role)} is unusual for {_a(role)}: {advice}.")


def reread(value_k: float, role: Role, around: Surroundings) -> float:
    """What the same number would be [K] in the other unit of temperature; NaN where none was written."""
    written = around.units.get(role, "")
    other = OTHER_TEMPERATURE.get(written)
    if other is None:
        return math.nan
    number = unit(written, Kind.TEMPERATURE).from_si(value_k)
    return float(unit(other, Kind.TEMPERATURE).to_si(number))


def _a(role: Role) -> str:
    return f"{'an' if role.value[0] in 'aeiou' else 'a'} {role.value}"
