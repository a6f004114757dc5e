"""Which units give values that a vehicle's A/C can have.

The spans tell a unit from another, not a healthy system from a sick one: most samples of a warm car with
its A/C running lie inside. A rare session that does not is asked about once. Common practice, no source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind, unit
from knowngood_refdata.records import Role

if TYPE_CHECKING:
    from numpy.typing import NDArray

_C = 273.15
_SPANS: dict[Role, tuple[float, float]] = {
    Role.LOW_SIDE: (0.35e5, 9.0e5),
    Role.HIGH_SIDE: (3.5e5, 38e5),
    Role.BAROMETER: (0.5e5, 1.1e5),
    Role.SUCTION_LINE: (_C - 12.0, _C + 42.0),
    Role.LIQUID_LINE: (_C + 8.0, _C + 90.0),
    Role.DISCHARGE_LINE: (_C + 35.0, _C + 160.0),
    Role.VENT: (_C - 4.0, _C + 38.0),
    Role.AMBIENT: (_C + 4.0, _C + 55.0),
    Role.INTAKE: (_C + 4.0, _C + 65.0),
    Role.COOLANT: (_C + 40.0, _C + 130.0),
    Role.HUMIDITY: (0.03, 1.02),
    Role.ENGINE_SPEED: (0.0, 9_000.0),
}
"""From and to in SI; pressures of the two sides as gauge."""

_OFFERED: dict[Kind, tuple[str, ...]] = {
    Kind.PRESSURE: ("psi", "bar", "kPa", "MPa", "kgf/cm²"),
    Kind.TEMPERATURE: ("°C", "°F", "K"),
    Kind.ROTATION: ("rpm",),
    Kind.FRACTION: ("%", "1"),
}
_ENOUGH = 0.9
_TOO_FEW = 0.5
_ENOUGH_SAMPLES = 10_000


def share_inside(
    values: NDArray[np.float64], role: Role, unit_name: str, kind: Kind, *, gauge: bool
) -> float:
    """The share of the values (n,) that lie in the span of the role when read in the unit.

    NaN is left out; with no value at all, or a role without a span, the answer is 1.

    >>> share_inside(np.array([75.0, 150.0]), Role.VENT, "°C", Kind.TEMPERATURE, gauge=False)
    0.0
    """
    values = thinned(values)
    finite = values[np.isfinite(values)]
    if role not in _SPANS or finite.size == 0:
        return 1.0
    low, high = _SPANS[role]
    si = unit(unit_name, kind).to_si(finite)
    if role in (Role.LOW_SIDE, Role.HIGH_SIDE) and not gauge:
        si = si - STANDARD_ATMOSPHERE_PA
    return float(np.mean((si >= low) & (si <= high)))


def thinned(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """At most twice `_ENOUGH_SAMPLES` of the values (n,), evenly taken: enough to judge a unit by."""
    return values[:: max(1, values.size // _ENOUGH_SAMPLES)]


def plausible_units(values: NDArray[np.float64], role: Role, kind: Kind) -> tuple[str, ...]:
    """The units of a kind in which most of the values fit the role, the likeliest first.

    >>> plausible_units(np.array([148.0, 151.0]), Role.HIGH_SIDE, Kind.PRESSURE)
    ('psi',)
    """
    offered = _OFFERED.get(kind, ())
    shares = {name: share_inside(values, role, name, kind, gauge=True) for name in offered}
    fitting = [name for name in offered if shares[name] >= _ENOUGH]
    return tuple(sorted(fitting, key=lambda name: -_centred(values, role, name, kind)))


def offered_units(kind: Kind) -> tuple[str, ...]:
    """The units that are worth offering for a kind."""
    return _OFFERED.get(kind, ())


def contradicts(values: NDArray[np.float64], role: Role, unit_name: str, kind: Kind, *, gauge: bool) -> bool:
    """Whether most of the values lie outside what the role can have in this unit."""
    return share_inside(values, role, unit_name, kind, gauge=gauge) < _TOO_FEW


_TYPICAL = {Role.LOW_SIDE: 2.2e5, Role.HIGH_SIDE: 11e5}


def _centred(values: NDArray[np.float64], role: Role, unit_name: str, kind: Kind) -> float:
    """How close the middle value lies to the middle of the role's span, or to its typical value."""
    low, high = _SPANS.get(role, (0.0, 1.0))
    values = thinned(values)
    middle = float(unit(unit_name, kind).to_si(np.nanmedian(values))) if np.isfinite(values).any() else low
    if role in _TYPICAL:
        # Rounded, so that units that nearly agree (bar, kgf/cm²) keep the usual order.
        return -round(abs(float(np.log(max(middle, 1.0) / _TYPICAL[role]))))
    return -abs(middle - 0.5 * (low + high))
