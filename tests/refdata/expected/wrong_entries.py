"""Readings as they come out when a person enters what was read in a wrong unit or place.

Worked out apart from what recognises such mistakes: from readings back to what was entered, and on again.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import Estimate, Quantity
from knowngood_refdata.refrigerants import saturation

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood_refdata.records import Reading

    Entries = dict[str, float]

ATMOSPHERE_PA = 101_325.0
PSI_PA = 6894.757


def fahrenheit(*names: str) -> Callable[[Entries], Entries]:
    """Some thermometers showed degrees Fahrenheit, and their figures were entered as degrees Celsius."""
    return lambda right: (
        right | {name: (right[name] - ZERO_CELSIUS_K) * 1.8 + 32.0 + ZERO_CELSIUS_K for name in names}
    )


def gauge_times(factor: float) -> Callable[[Entries], Entries]:
    """Gauge pressures came out by a factor too large."""
    return lambda right: (
        right | {name: (right[name] - ATMOSPHERE_PA) * factor + ATMOSPHERE_PA for name in ("low", "high")}
    )


def gauge_as_absolute(right: Entries) -> Entries:
    """Gauge pressures were entered as absolute ones."""
    return right | {name: right[name] - ATMOSPHERE_PA for name in ("low", "high")}


def swapped(first: str, second: str) -> Callable[[Entries], Entries]:
    """One was entered in the place of the other."""
    return lambda right: right | {first: right[second], second: right[first]}


def wrongly(one: Reading, mistake: Callable[[Entries], Entries], refrigerant: str = "R-134a") -> Reading:
    """The reading that follows from wrong entries; what lies off the saturation curve is left out."""
    curve, values, ambient = saturation(refrigerant), one.values, one.conditions.ambient_k
    assert ambient is not None
    evaporating = values[Quantity.EVAPORATING].value
    condensing = values[Quantity.CONDENSING_ABOVE_AMBIENT].value + ambient
    entries = mistake(
        {
            "low": curve.pressure_pa(evaporating),
            "high": curve.pressure_pa(condensing),
            "suction": evaporating + values[Quantity.SUPERHEAT].value,
            "liquid": condensing - values[Quantity.SUBCOOLING].value,
            "vent": values[Quantity.VENT].value,
            "ambient": ambient,
        }
    )
    low, high = (float(curve.temperature_k(entries[name])) for name in ("low", "high"))
    shown = {
        Quantity.EVAPORATING: low,
        Quantity.CONDENSING_ABOVE_AMBIENT: high - entries["ambient"],
        Quantity.SUPERHEAT: entries["suction"] - low,
        Quantity.SUBCOOLING: high - entries["liquid"],
        Quantity.VENT: entries["vent"],
    }
    kept = {
        quantity: Estimate(value, values[quantity].standard_uncertainty)
        for quantity, value in shown.items()
        if np.isfinite(value)
    }
    return replace(one, values=kept, conditions=replace(one.conditions, ambient_k=entries["ambient"]))
