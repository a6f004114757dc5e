"""Mistakes of entry that explain a distance: the value in another unit, or gauge for absolute."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.expected.model.modelled import Modelled
from knowngood_refdata.quantities import ZERO_CELSIUS_K

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood_refdata.refrigerants import SaturationCurve

STANDARD_PA = 101_325.0
PSI_PA = 6894.757293168361
_CLOSER = 0.25
"""A mistake explains a distance when it leaves less than this part of it."""

_WITH_PRESSURE = (Modelled.EVAPORATING, Modelled.CONDENSING_ABOVE_AMBIENT)
_DIFFERENCES = (Modelled.CONDENSING_ABOVE_AMBIENT, Modelled.SUPERHEAT, Modelled.SUBCOOLING)


@dataclass(frozen=True, slots=True)
class Mistake:
    """What happened, and what the value would be had it not."""

    words: str
    mended: Callable[[float], float]


_OF_DIFFERENCES = (
    Mistake("degrees Fahrenheit were entered as kelvins", lambda v: v / 1.8),
    Mistake("kelvins were entered as degrees Fahrenheit", lambda v: v * 1.8),
    Mistake("the sign is turned round", lambda v: -v),
)
_OF_TEMPERATURES = (
    Mistake("degrees Fahrenheit were entered as degrees Celsius", lambda k: (k - ZERO_CELSIUS_K - 32) / 1.8),
    Mistake("degrees Celsius were entered as degrees Fahrenheit", lambda k: (k - ZERO_CELSIUS_K) * 1.8 + 32),
)
_OF_PRESSURES = (
    Mistake("gauge pressure was entered as absolute", lambda p: p + STANDARD_PA),
    Mistake("absolute pressure was entered as gauge", lambda p: p - STANDARD_PA),
    Mistake("psi were entered as kilopascals", lambda p: _regauged(p, PSI_PA / 1e3)),
    Mistake("kilopascals were entered as psi", lambda p: _regauged(p, 1e3 / PSI_PA)),
    Mistake("kgf/cm² or bar were entered in place of one another", lambda p: _regauged(p, 0.980665)),
)


def _regauged(pressure: float, factor: float) -> float:
    return (pressure - STANDARD_PA) * factor + STANDARD_PA


@dataclass(frozen=True, slots=True)
class Explained:
    """The mistake in words, and how far the mended value is ``left`` from what is expected."""

    words: str
    left: float


def mended(
    what: Modelled, value: float, expected: float, curve: SaturationCurve, ambient_k: float | None
) -> tuple[Explained, ...]:
    """What each mistake of entry would leave of a distance.

    Values as the model has them: temperatures [K] and differences [K].
    """
    tried = [Explained(one.words, _mended(one, value) - expected) for one in _plain(what)]
    above = 0.0 if what is Modelled.EVAPORATING else ambient_k
    if above is not None and what in _WITH_PRESSURE:
        tried += [
            Explained(one.words, _through_pressure(one, value + above, curve) - above - expected)
            for one in _OF_PRESSURES
        ]
    return tuple(one for one in tried if math.isfinite(one.left))


def explained(
    what: Modelled, value: float, expected: float, curve: SaturationCurve, ambient_k: float | None
) -> Explained | None:
    """The mistake of entry that brings a value close to what is expected; None when none does."""
    tried = mended(what, value, expected, curve, ambient_k)
    near = [one for one in tried if abs(one.left) < _CLOSER * abs(value - expected)]
    return min(near, key=lambda one: abs(one.left), default=None)


def _plain(what: Modelled) -> tuple[Mistake, ...]:
    if what in _DIFFERENCES:
        return _OF_DIFFERENCES
    return _OF_TEMPERATURES if what in (Modelled.EVAPORATING, Modelled.VENT) else ()


def _mended(mistake: Mistake, value: float) -> float:
    return mistake.mended(value) + (ZERO_CELSIUS_K if mistake in _OF_TEMPERATURES else 0.0)


def _through_pressure(mistake: Mistake, temperature_k: float, curve: SaturationCurve) -> float:
    """The saturation temperature of the mended pressure; NaN off the curve, which is never near."""
    return float(curve.temperature_k(mistake.mended(float(curve.pressure_pa(temperature_k)))))
