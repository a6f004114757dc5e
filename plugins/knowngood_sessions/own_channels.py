"""The derived channels that every session has: saturation temperatures and what follows from them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.api import DerivedChannel
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Quantity, Role
from knowngood_refdata.refrigerants import UnknownRefrigerant, saturation
from knowngood_sessions.core.channels.brought import CONDENSING, EVAPORATING_BELOW_VENT, PRESSURE_RATIO

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from numpy.typing import NDArray

    from knowngood_refdata.refrigerants import SaturationCurve

_LOW, _HIGH = Role.LOW_SIDE.value, Role.HIGH_SIDE.value
_EVAPORATING = Quantity.EVAPORATING.value


def own_channels(refrigerant: str) -> tuple[DerivedChannel, ...]:
    """The channels for a refrigerant; none for one that has no saturation curve here."""
    try:
        curve = saturation(refrigerant)
    except UnknownRefrigerant:
        return ()
    return (
        _saturated(curve, _EVAPORATING, _LOW),
        _saturated(curve, CONDENSING, _HIGH),
        _difference(Quantity.SUPERHEAT.value, Role.SUCTION_LINE.value, _EVAPORATING),
        _difference(Quantity.SUBCOOLING.value, CONDENSING, Role.LIQUID_LINE.value),
        _difference(Quantity.CONDENSING_ABOVE_AMBIENT.value, CONDENSING, Role.AMBIENT.value),
        _difference(EVAPORATING_BELOW_VENT, Role.VENT.value, _EVAPORATING),
        DerivedChannel(PRESSURE_RATIO, PRESSURE_RATIO, None, (_LOW, _HIGH), pressure_ratio),
    )


def pressure_ratio(given: Mapping[str, NDArray[np.float64]]) -> NDArray[np.float64]:
    """High side by low side, both absolute, (n,); NaN where the low side is no pressure."""
    import numpy as np

    low, high = given[_LOW], given[_HIGH]
    ratio: NDArray[np.float64] = np.divide(high, low, out=np.full(low.shape, np.nan), where=low > 0.0)
    return ratio


def _saturated(curve: SaturationCurve, name: str, side: str) -> DerivedChannel:
    def compute(given: Mapping[str, NDArray[np.float64]]) -> NDArray[np.float64]:
        return curve.temperature_k(given[side])

    return DerivedChannel(name, name, Kind.TEMPERATURE, (side,), compute)


def _difference(name: str, warmer: str, colder: str) -> DerivedChannel:
    def compute(given: Mapping[str, NDArray[np.float64]]) -> NDArray[np.float64]:
        return given[warmer] - given[colder]

    return DerivedChannel(name, name, Kind.TEMPERATURE_DIFFERENCE, (warmer, colder), compute)
