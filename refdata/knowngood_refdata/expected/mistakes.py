"""Mistakes of entry: another unit, gauge for absolute, one side or line taken for the other.

Each is undone on what a person enters (both pressures, both line temperatures, vent and ambient), so that all
that follows from an entry changes with it; or on the differences, where these were entered themselves. Which
mistakes there are is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.modelled import STEADY, Modelled
from knowngood_refdata.quantities import ZERO_CELSIUS_K

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from knowngood_refdata.expected.model.nesting import Floats
    from knowngood_refdata.refrigerants import SaturationCurve

STANDARD_PA = 101_325.0
PSI_PA = 6894.757293168361
EVAPORATING, ABOVE, SUPERHEAT, SUBCOOLING, VENT = range(len(STEADY))


@dataclass(frozen=True, slots=True)
class Taken:
    """Readings as the model has them.

    ``values`` (5, n) are the quantities of `STEADY` [K], ``ambient_k`` and ``intake_k`` (n,) their air; NaN
    where not measured.
    """

    values: Floats
    ambient_k: Floats
    intake_k: Floats


@dataclass(frozen=True, slots=True)
class Entered:
    """What a person enters, (n,) each: absolute pressures [Pa] and temperatures [K]."""

    low_pa: Floats
    high_pa: Floats
    suction_k: Floats
    liquid_k: Floats
    vent_k: Floats
    ambient_k: Floats
    intake_k: Floats


RESTS_ON = (
    ("low_pa",),
    ("high_pa", "ambient_k"),
    ("low_pa", "suction_k"),
    ("high_pa", "liquid_k"),
    ("vent_k",),
)
"""Which entries each of the quantities rests on."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """What happened, where, and how readings are mended; ``air`` tells whether the ambient is touched.

    ``touches`` are the quantities that change, ``sides`` whether the pressures do.
    """

    what: str
    where: str
    touches: tuple[Modelled, ...]
    mended: Callable[[Taken, Entered, SaturationCurve], Taken]
    air: bool = False
    sides: bool = False

    @property
    def words(self) -> str:
        """As a clause: ``degrees Fahrenheit were entered as degrees Celsius in the line temperatures``."""
        return f"{self.what} {self.where}".rstrip()


def middles(values: Floats) -> Floats:
    """Median of each row (m,) of values (m, n), NaN left out; NaN for a row without any."""
    known = np.isfinite(values)
    if known.all():
        return np.asarray(np.median(values, axis=1))
    pairs = zip(values, known, strict=True)
    return np.array([np.median(row[at]) if at.any() else np.nan for row, at in pairs])


def entered(taken: Taken, curve: SaturationCurve) -> Entered:
    """What must have been entered for readings to come out as they did."""
    evaporating, above, superheat, subcooling, vent = taken.values
    condensing = above + taken.ambient_k
    return Entered(
        curve.pressure_pa(evaporating), curve.pressure_pa(condensing), evaporating + superheat,
        condensing - subcooling, vent, taken.ambient_k, taken.intake_k,
    )  # fmt: skip


def modelled(one: Entered, curve: SaturationCurve) -> Floats:
    """The quantities (5, n) that follow from entries; NaN off the saturation curve."""
    evaporating, condensing = curve.temperature_k(one.low_pa), curve.temperature_k(one.high_pa)
    return np.array(
        [
            evaporating, condensing - one.ambient_k, one.suction_k - evaporating,
            condensing - one.liquid_k, one.vent_k,
        ]
    )  # fmt: skip


def _of_entries(
    what: str, where: str, fields: tuple[str, ...], mend: Callable[[Entered], Entered], *, follow: bool = True
) -> Mistake:
    """A mistake in some entries; what follows from them was worked out afterwards, or entered by itself."""
    touched = tuple(n for n, rests in enumerate(RESTS_ON) if set(rests) & set(fields))
    if not follow:
        touched = tuple(n for n in touched if n in (EVAPORATING, ABOVE))

    def mended(taken: Taken, was: Entered, curve: SaturationCurve) -> Taken:
        right = mend(was)
        values = taken.values.copy()
        values[list(touched)] = modelled(right, curve)[list(touched)]
        return Taken(values, right.ambient_k, right.intake_k)

    sides = bool({"low_pa", "high_pa"} & set(fields))
    return Mistake(what, where, tuple(STEADY[n] for n in touched), mended, "ambient_k" in fields, sides)


def _of_values(what: str, where: str, places: tuple[int, ...], mend: Callable[[Floats], Floats]) -> Mistake:
    """A mistake in quantities that were entered themselves."""

    def mended(taken: Taken, _was: Entered, _curve: SaturationCurve) -> Taken:
        values = taken.values.copy()
        values[list(places)] = mend(values[list(places)])
        return replace(taken, values=values)

    return Mistake(what, where, tuple(STEADY[n] for n in places), mended)


def _each(fields: tuple[str, ...], mend: Callable[[Floats], Floats]) -> Callable[[Entered], Entered]:
    return lambda one: replace(one, **{name: mend(getattr(one, name)) for name in fields})


def celsius_of_fahrenheit(kelvins: Floats) -> Floats:
    """What was meant [K] where degrees Fahrenheit were taken for degrees Celsius."""
    return (kelvins - ZERO_CELSIUS_K - 32.0) / 1.8 + ZERO_CELSIUS_K


def fahrenheit_of_celsius(kelvins: Floats) -> Floats:
    """What was meant [K] where degrees Celsius were taken for degrees Fahrenheit."""
    return (kelvins - ZERO_CELSIUS_K) * 1.8 + 32.0 + ZERO_CELSIUS_K


def _regauged(factor: float, pressure: Floats) -> Floats:
    return (pressure - STANDARD_PA) * factor + STANDARD_PA


def _moved(by_pa: float, pressure: Floats) -> Floats:
    return pressure + by_pa


def _swapped(first: str, second: str) -> Callable[[Entered], Entered]:
    return lambda one: replace(one, **{first: getattr(one, second), second: getattr(one, first)})


_LINES, _AIR, _SIDES = ("suction_k", "liquid_k"), ("ambient_k", "intake_k"), ("low_pa", "high_pa")
_PLACES = (
    ("", (*_LINES, "vent_k", *_AIR)),
    ("in line and vent temperatures", (*_LINES, "vent_k")),
    ("in the line temperatures", _LINES),
    ("in the vent temperature", ("vent_k",)),
    ("in the ambient temperature", _AIR),
)


def _temperatures() -> Iterable[Mistake]:
    for what, mend in (
        ("degrees Fahrenheit were entered as degrees Celsius", celsius_of_fahrenheit),
        ("degrees Celsius were entered as degrees Fahrenheit", fahrenheit_of_celsius),
    ):
        for where, fields in _PLACES:
            yield _of_entries(what, where, fields, _each(fields, mend))
        yield _of_values(what, "in the evaporating temperature", (EVAPORATING,), mend)


def _differences() -> Iterable[Mistake]:
    three = (ABOVE, SUPERHEAT, SUBCOOLING)
    for what, factor in (
        ("degrees Fahrenheit were entered as kelvins", 1.0 / 1.8),
        ("kelvins were entered as degrees Fahrenheit", 1.8),
    ):
        yield _of_values(what, "", three, partial(np.multiply, factor))
        for one in three:
            yield _of_values(what, f"in {STEADY[one]}", (one,), partial(np.multiply, factor))
    for one in three[1:]:
        yield _of_values("the sign was turned round", f"in {STEADY[one]}", (one,), np.negative)


def _pressures() -> Iterable[Mistake]:
    for what, mend in (
        ("gauge pressure was entered as absolute", partial(_moved, STANDARD_PA)),
        ("absolute pressure was entered as gauge", partial(_moved, -STANDARD_PA)),
        ("psi were entered as kilopascals", partial(_regauged, PSI_PA / 1e3)),
        ("kilopascals were entered as psi", partial(_regauged, 1e3 / PSI_PA)),
        ("bar were entered as psi", partial(_regauged, 1e5 / PSI_PA)),
        ("bar were entered as kilopascals", partial(_regauged, 100.0)),
        ("megapascals were entered as bar", partial(_regauged, 10.0)),
    ):
        for follow in (True, False):
            yield _of_entries(what, "", _SIDES, _each(_SIDES, mend), follow=follow)
    yield _of_entries("high and low side were swapped", "", _SIDES, _swapped(*_SIDES))
    yield _of_entries("suction and liquid line were swapped", "", _LINES, _swapped(*_LINES))


USUAL = (
    "degrees Fahrenheit were entered as degrees Celsius",
    "degrees Fahrenheit were entered as kelvins",
    "psi were entered as kilopascals",
    "gauge pressure was entered as absolute",
)
"""The kinds that happen most (common practice, no source)."""
MISTAKES = (*_temperatures(), *_differences(), *_pressures())
